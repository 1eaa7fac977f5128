//! The archive's records for other programs: JSON and CSV out, a table of jaw sets in.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula. Free text that does
//! (also after a tab or a line break) is written with an apostrophe before it, which spreadsheets do not
//! show, and read back without it.

mod fields;
mod import;
mod json;
mod tables;

pub use import::Imported;
pub use tables::CsvFile;

/// Of the exported JSON; a change that breaks readers makes it 2.
const SCHEMA: u32 = 1;
