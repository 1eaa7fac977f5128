//! Values to bytes: text reports, JSON, pictures and the printed sheet. Nothing here reads or writes a file.

use crate::advice::{Advice, Grip, Setup};
use crate::compound::Method;
use crate::inspect::Inspection;
pub use crate::outside_text::printable;
use crate::records::{Difference, Id, JawSet};

mod agreement;
mod amount;
mod call;
mod chart;
mod document;
mod history;
mod json;
mod lettering;
mod picture;
mod records;
mod review;
mod sheet;
mod study;
mod text;
pub(crate) mod words;

pub use agreement::{AgreementReport, agreement_to_html, agreement_to_json, agreement_to_text};
pub(crate) use amount::{Amount, BothWays};
pub use call::CallReport;
pub(crate) use call::right;
pub use chart::{ChartError, history_to_png, history_to_svg};
pub(crate) use document::document;
pub use history::{HistoryReport, history_to_json};
pub use json::{photos_to_json, recut_to_json, start_to_json, to_json};
pub(crate) use picture::reading_in_two;
pub use picture::{PagePictures, page_pictures, photo_to_jpeg, to_jpeg};
pub use records::summaries_to_json;
pub(crate) use review::shown;
pub use review::{Page, ReviewHeading, picture_path, review_pages, thumb_path};
pub use sheet::{SheetError, id_of_uri, jaw_set_uri, sheet_to_html};
pub(crate) use study::{StudyPages, answers_csv, study_pages};
pub(crate) use text::advice::programmed;
pub(crate) use text::history::{in_numbers, standing};
pub use text::{
    TextOptions, call_to_text, cut_to_text, filed_check_to_text, history_to_text, jaw_set_to_text,
    known_of_check_to_text, list_to_text, people_to_text, record_to_text, recut_to_text,
    score_to_text, sight_in_words, start_to_text, to_text,
};
pub(crate) use words::contact;

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
