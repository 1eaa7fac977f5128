//! What the reports tell about: one photo, and one check.

use super::{CallReport, ProofNote};
use crate::reading::inspect::{Inspection, Joined};
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::taper::advice::{Advice, Grip, Setup};
use crate::taper::records::{Difference, Id, JawSet};

/// One photo as the reports show it.
#[derive(Debug, Clone)]
pub struct PhotoReport {
    /// Name as the user gave it.
    pub file: String,
    /// The reading, or what is wrong with the file and what to do.
    pub outcome: Result<Box<Inspection>, String>,
    /// Number of the jaw, where somebody said it: photos with the same one are of one jaw.
    pub jaw: Option<u8>,
    /// Index of an earlier photo with the same bytes: this one does not count.
    pub same_as: Option<usize>,
    /// Where the picture of the reading was written.
    pub picture: Option<String>,
}

impl PhotoReport {
    /// The reading, where the file was a photo.
    pub fn inspection(&self) -> Option<&Inspection> {
        self.outcome.as_deref().ok()
    }

    /// Whether the file was a photo but its face could not be judged.
    pub fn is_refused(&self) -> bool {
        self.inspection()
            .is_some_and(|i| i.reading.refusal.is_some())
    }

    /// Whether the check's advice rests on this photo too.
    pub fn counts(&self) -> bool {
        self.same_as.is_none() && self.outcome.is_ok()
    }
}

/// One jaw of which there are several photos.
#[derive(Debug, Clone)]
pub struct JawReport {
    /// Indices in the report's photos, two or more, rising; the first stands for the jaw where one must.
    pub photos: Vec<usize>,
    /// What they say together.
    pub joined: Joined,
}

/// Everything that a report tells about one check.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// In the order given.
    pub photos: Vec<PhotoReport>,
    /// The jaws of which there are several photos, in the order of their first.
    pub joined: Vec<JawReport>,
    /// How the check was made.
    pub method: Method,
    /// What the user said about the check.
    pub setup: Setup,
    /// Version of the rules behind the advice.
    pub rules: String,
    /// What to do.
    pub advice: Advice,
    /// Where the check stands in the archive, where it was asked for.
    pub filed: Option<FiledNote>,
    /// What somebody called before the reading was shown.
    pub call: Option<CallReport>,
    /// How far the program is proven in this shop; `None` where no prove-out was begun.
    pub proof: Option<ProofNote>,
}

/// A check's place in the archive.
#[derive(Debug, Clone, PartialEq)]
pub struct FiledNote {
    /// The jaw set's name.
    pub jaw_set: String,
    /// The check's id; `None` where nothing could be filed.
    pub check: Option<Id>,
    /// What changed since the check before and spoils the comparison.
    pub differences: Vec<Difference>,
    /// In plain words, what was done.
    pub notes: Vec<String>,
}

impl FiledNote {
    /// About a check of `set`.
    pub(crate) fn of(
        set: &JawSet,
        check: Option<Id>,
        differences: Vec<Difference>,
        notes: Vec<String>,
    ) -> Self {
        Self {
            jaw_set: set.name.clone(),
            check,
            differences,
            notes,
        }
    }
}

impl CheckReport {
    /// With what is to be said of a prove-out, and without what it keeps back.
    pub(crate) fn with_proof(self, proof: Option<ProofNote>) -> Self {
        if !proof.as_ref().is_some_and(|p| p.held) {
            return Self { proof, ..self };
        }
        let advice = self.advice.held();
        Self {
            // A call may have been held against the advice before it was kept back.
            call: self.call.map(|call| call.held(&advice)),
            advice,
            proof,
            ..self
        }
    }

    /// Which way the jaws grip.
    pub fn grip(&self) -> Grip {
        self.setup.grip
    }

    /// Index in `photos` of the jaw that disagrees with the others, its first photo where it has several.
    ///
    /// [`Advice::odd_jaw`] counts only the jaws that count in the check.
    pub fn odd_photo(&self) -> Option<usize> {
        let odd = self.advice.odd_jaw?;
        self.jaws().get(odd).map(|(photo, _)| *photo)
    }

    /// What the check's advice rests on, jaw by jaw: the index of its photo, of several the first, and its reading.
    pub fn jaws(&self) -> Vec<(usize, &Reading)> {
        jaws(&self.photos, &self.joined)
    }

    /// The other photos of its jaw, where this photo is one of several.
    pub fn jaw_of(&self, photo: usize) -> Option<&JawReport> {
        self.joined.iter().find(|jaw| jaw.photos.contains(&photo))
    }
}

/// As [`CheckReport::jaws`].
pub(crate) fn jaws<'a>(
    photos: &'a [PhotoReport],
    joined: &'a [JawReport],
) -> Vec<(usize, &'a Reading)> {
    let of = |(index, photo): (usize, &'a PhotoReport)| {
        let reading = &photo.inspection().filter(|_| photo.counts())?.reading;
        match joined.iter().find(|jaw| jaw.photos.contains(&index)) {
            None => Some((index, reading)),
            Some(jaw) => (jaw.photos[0] == index).then_some((index, &jaw.joined.reading)),
        }
    };
    photos.iter().enumerate().filter_map(of).collect()
}
