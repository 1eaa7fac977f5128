//! One line per photo and per check, as the results hold them.

use std::io;

use serde::{Deserialize, Serialize};

use super::jaw::JawReading;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::profile::Band;
use crate::reading::refusal::Reason;
use crate::taper::advice::{Action, Grip};
use crate::units::PerSide;

/// A result's lines, each read when it is asked for: those of a large review would fill the memory.
///
/// All fail where a line cannot be read back. Places are those of the photos by file, and of the checks by jaw set, then when
/// they were made, those of no known set last.
pub(crate) trait Lines {
    /// The photo at that place.
    fn photo(&self, at: usize) -> io::Result<PhotoLine>;
    /// The check at that place.
    fn check(&self, at: usize) -> io::Result<CheckLine>;
    /// The photos of the check at that place, in its order; `None` for one that is not among the photos.
    fn photos_of(&self, check: usize) -> io::Result<Vec<Option<PhotoLine>>>;
}

/// One photo of a reviewed folder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PhotoLine {
    /// Of the file's bytes, lower-case hexadecimal; empty where the file could not be opened.
    pub sha256: String,
    /// Where it lies below the reviewed folder, with `/`.
    pub file: String,
    /// Later files with the same bytes: counted once.
    pub same_as: Vec<String>,
    /// Which check it belongs to: [`CheckLine::check`].
    pub check: String,
    /// As the camera wrote it: `2026-03-04T10:11:12`.
    pub taken: Option<String>,
    /// Width and height of the upright photo.
    pub size_px: Option<[u32; 2]>,
    /// Tip-left, tip-right, base-right, base-left, in pixels of the upright photo.
    pub corners_px: Option<[[f64; 2]; 4]>,
    /// Where it was read so.
    pub method: Method,
    /// The pattern; unreadable where refused or broken.
    pub pattern: Pattern,
    /// 0 where refused or broken.
    pub confidence: f64,
    /// Why it could not be judged.
    pub refusal: Option<Reason>,
    /// What is wrong with the file, and what to do.
    pub error: Option<String>,
    /// In plain words.
    pub warnings: Vec<String>,
    /// 64 stations tip to base, share of the width clean; empty where there is none.
    pub profile: Vec<Option<f64>>,
    /// Stretches with compound.
    pub bands: Vec<Band>,
    /// Share of contact of each third.
    pub contact: Option<Contact>,
    /// Version of the program that read it.
    pub program: String,
}

impl PhotoLine {
    /// Of all files with that content: a name alone must be told from every other.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.file.as_str()).chain(self.same_as.iter().map(String::as_str))
    }
}

impl AsRef<PhotoLine> for PhotoLine {
    fn as_ref(&self) -> &PhotoLine {
        self
    }
}

/// Share of contact, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Contact {
    /// The third at the tip.
    pub tip: f64,
    /// The third between.
    pub middle: f64,
    /// The third at the base.
    pub base: f64,
}

/// One check of a reviewed folder, as it would be advised on today.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckLine {
    /// The same whenever the same photos are reviewed: 32 hexadecimal digits.
    pub check: String,
    /// The jaw set, where the archive, the table or the folder says so.
    pub jaw_set: Option<String>,
    /// When the first photo was taken.
    pub made: Option<String>,
    /// SHA-256 of its photos, in the order taken.
    pub photos: Vec<String>,
    /// Which way the jaws grip.
    pub grip: Grip,
    /// The taper that was cut, where it is known.
    pub taper: Option<PerSide>,
    /// Of the check as a whole.
    pub pattern: Pattern,
    /// What to do.
    pub action: Action,
    /// The least confidence among its readings that count; 0 where none does.
    pub confidence: f64,
    /// Signed: positive adds taper.
    pub change: Option<PerSide>,
    /// Lower end of its interval.
    pub low: Option<PerSide>,
    /// Upper end of its interval.
    pub high: Option<PerSide>,
    /// The taper to cut next.
    pub next_taper: Option<PerSide>,
    /// Index in `photos` of a jaw that disagrees with the others.
    pub odd_jaw: Option<usize>,
    /// One sentence.
    pub what_to_do: String,
    /// A few sentences.
    pub why: String,
    /// In the order to look.
    pub look_at_first: Vec<String>,
    /// What was done about it, where the archive or the table says so.
    pub done: Option<String>,
    /// Version of the rules behind the advice.
    pub rules: String,
    /// The jaws of which several photos were read together, in the order of their first photo; left out where there is
    /// none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub jaws: Vec<JawLine>,
    /// Photos that may be of one jaw, though nobody said so, in the order taken; left out where there are none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub perhaps_one_jaw: Vec<PerhapsOneJaw>,
    /// How far the program is proven in this shop; left out where no prove-out was begun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proof: Option<String>,
}

/// Several photos of one jaw, read together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JawLine {
    /// Its number, as it was said.
    pub jaw: u8,
    /// Indices in [`CheckLine::photos`], two or more, rising.
    pub photos: Vec<usize>,
    /// What they say together.
    pub reading: JawReading,
}

/// Two photos of a check that may be of one jaw: it must be said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PerhapsOneJaw {
    /// Indices in [`CheckLine::photos`], the earlier first.
    pub photos: [usize; 2],
    /// Seconds between them.
    pub seconds: i64,
    /// Whether the check comes to something else with the one answer than with the other.
    pub matters: bool,
}
