//! Values → bytes: text reports, JSON, pictures, pages, the printed sheet.
//!
//! - *Comes in*: values of `reading`, `taper`, `people` and `review`.
//! - *Goes out*: texts and bytes, the same ones for the same values.
//! - *May not know*: where bytes go. Nothing here reads or writes a file, asks a database or answers a
//!   request.
//!
//! | what | where | its door |
//! | --- | --- | --- |
//! | what the reports tell of a check, for command line and page alike | `check`, `outcome`, `call` | [`CheckReport`] |
//! | text for a terminal; its width, colour and letters are given | `text` | [`to_text`], [`history_to_text`] and others |
//! | JSON of readings, checks, histories, recuts, first tapers, calls | `json`, `history`, `records` | [`to_json`] |
//! | the parts that a first taper and a recut are told in, for text and pages | `told` | [`start_to_text`] |
//! | a picture of each reading | `picture` | [`to_jpeg`] |
//! | a jaw set's history as a picture, as SVG or PNG | `chart` | [`history_to_svg`] |
//! | a page to print for a jaw set's box | `sheet` | [`sheet_to_html`] |
//! | the folder of pages of a review | `review` | [`review_pages`] |
//! | the line of a prove-out under every answer; its state, its operating curve | `prove` | [`ProofNote`] |
//! | a pack of labelled photos to give away | `pack` | |
//! | the report of a study, and its readers' pages | `agreement`, `study` | [`agreement_to_html`] |
//! | words that follow from values, each in one place | `words` | |
//! | the frame of every HTML document; letters for pictures | `document`, `lettering` | |
//!
//! Begin with [`CheckReport`], then [`to_text`] and `text/advice.rs`: what a setter reads first.
//!
//! Every change and taper is stated both ways, per side and on the diameter, always labelled. HTML is made
//! by maud, which escapes; a page holds its style, or has it beside it in its folder, and nothing is loaded
//! from elsewhere. Texts from outside lose control characters and those that turn the direction of writing.

pub use crate::text::outside::printable;

mod agreement;
mod call;
mod chart;
pub(crate) mod check;
mod document;
mod history;
mod json;
mod lettering;
mod outcome;
mod pack;
mod picture;
mod practice;
mod prove;
mod records;
mod review;
mod sheet;
mod study;
mod text;
mod told;
pub(crate) mod words;

pub use agreement::{AgreementReport, agreement_to_html, agreement_to_json, agreement_to_text};
pub use call::CallReport;
pub(crate) use call::right;
pub use chart::{ChartError, history_to_png, history_to_svg};
pub(crate) use document::document;
pub use history::{HistoryReport, history_to_json};
pub use json::{jaws_to_json, photos_to_json, recut_to_json, start_to_json, to_json};
pub use outcome::{CheckReport, FiledNote, JawReport, PhotoReport};
pub use pack::Licence;
pub(crate) use pack::{PackPhoto, RightBy, pack_page, pack_table, photo_file};
pub(crate) use picture::reading_in_two;
pub use picture::{PagePictures, page_pictures, photo_to_jpeg, to_jpeg};
pub(crate) use practice::{Seen, practice_in_words};
#[cfg(target_arch = "wasm32")]
pub(crate) use practice::{few_answers, score_rows};
pub(crate) use prove::proof_rows;
pub use prove::{ProofNote, operating_curve, proof_to_json, proof_to_text};
pub use records::summaries_to_json;
pub use review::{Page, ReviewHeading, picture_path, review_pages, thumb_path};
pub(crate) use review::{Review, SETTLE_PAGE, Survey, shown};
pub use sheet::{SheetError, id_of_uri, jaw_set_uri, sheet_to_html};
pub(crate) use study::{StudyPages, answers_csv, study_pages};
pub(crate) use text::advice::programmed;
pub(crate) use text::history::{in_numbers, standing};
pub use text::{
    TextOptions, call_to_text, cut_to_text, filed_check_to_text, history_to_text, jaw_set_to_text,
    known_of_check_to_text, list_to_text, people_to_text, record_to_text, recut_to_text,
    score_to_text, sight_in_words, start_to_text, to_text,
};
pub(crate) use text::{labels_to_text, reread_to_text};
pub(crate) use told::{Figure, Told};
