//! What the reports tell about: one photo, and one check.

use super::CallReport;
use crate::reading::inspect::Inspection;
use crate::reading::method::Method;
use crate::taper::advice::{Advice, Grip, Setup};
use crate::taper::records::{Difference, Id, JawSet};

/// One photo as the reports show it.
#[derive(Debug, Clone)]
pub struct PhotoReport {
    /// Name as the user gave it.
    pub file: String,
    /// The reading, or what is wrong with the file and what to do.
    pub outcome: Result<Box<Inspection>, String>,
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

/// Everything that a report tells about one check.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// In the order given.
    pub photos: Vec<PhotoReport>,
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
    /// Which way the jaws grip.
    pub fn grip(&self) -> Grip {
        self.setup.grip
    }

    /// Index in `photos` of the jaw that disagrees with the others.
    ///
    /// [`Advice::odd_jaw`] counts only the photos that count in the check.
    pub fn odd_photo(&self) -> Option<usize> {
        let odd = self.advice.odd_jaw?;
        self.photos
            .iter()
            .enumerate()
            .filter(|(_, p)| p.counts())
            .nth(odd)
            .map(|(i, _)| i)
    }
}
