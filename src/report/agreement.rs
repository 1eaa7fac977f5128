//! The report on how well readers agree: text, JSON, and HTML to print.

mod json;
mod meaning;
mod page;
mod text;
mod words;

use crate::people::agreement::Agreement;

pub use json::agreement_to_json;
pub use page::agreement_to_html;
pub use text::agreement_to_text;

/// What the report tells.
#[derive(Debug, Clone)]
pub struct AgreementReport {
    /// What was studied, a few words.
    pub title: String,
    /// Facts about it, a sentence each: the set, the readers, the rounds.
    pub facts: Vec<String>,
    /// The figures.
    pub agreement: Agreement,
    /// What could not be used, a line each, with file and line.
    pub problems: Vec<String>,
}
