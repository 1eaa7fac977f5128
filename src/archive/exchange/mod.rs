//! The archive's records for other programs: JSON and CSV out, a table of jaw sets in.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula. Free text that does
//! (also after a tab or a line break) is written with an apostrophe before it, which spreadsheets do not
//! show, and read back without it.

mod fields;
mod import;
mod json;
mod tables;

pub use import::{Imported, Problem};
pub use tables::CsvFile;

/// Of the exported JSON; a change that breaks readers makes it 2.
const SCHEMA: u32 = 1;

/// What spreadsheets take for the beginning of a formula.
const RISKY: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// Free text for a cell; see above. Apostrophes that stand before such a text already stay apart.
pub(crate) fn for_cell(text: &str) -> String {
    if text.trim_start_matches('\'').starts_with(RISKY) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Reverse of [`for_cell`].
pub(crate) fn of_cell(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.trim_start_matches('\'').starts_with(RISKY) => rest,
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // What spreadsheets take for formulas: OWASP, "CSV Injection", as far as remembered.
    #[test]
    fn no_cell_begins_like_a_formula_and_each_reads_back() {
        for text in [
            "=1+1", "+1", "-3", "@A1", "\t=1", "'=1", "''-1", "plain", "it's", "'",
        ] {
            let cell = for_cell(text);
            assert!(!cell.starts_with(RISKY), "{cell}");
            assert_eq!(of_cell(&cell), text);
        }
    }
}
