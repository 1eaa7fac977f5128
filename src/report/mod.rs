//! Values to bytes: text reports, JSON, pictures and the printed sheet. Nothing here reads or writes a file.

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
mod picture;
mod records;
mod review;
mod sheet;
mod study;
mod text;
pub(crate) mod words;

pub use agreement::{AgreementReport, agreement_to_html, agreement_to_json, agreement_to_text};
pub use call::CallReport;
pub(crate) use call::right;
pub use chart::{ChartError, history_to_png, history_to_svg};
pub(crate) use document::document;
pub use history::{HistoryReport, history_to_json};
pub use json::{photos_to_json, recut_to_json, start_to_json, to_json};
pub use outcome::{CheckReport, FiledNote, PhotoReport};
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
