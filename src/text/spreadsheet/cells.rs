//! Tables that go out: cells by the names of their columns.

use std::io::{self, Write};

use super::for_cell;

/// A line: names of columns and cells, in order.
pub(crate) type Cells = Vec<(String, String)>;

/// A table that is written row by row.
pub(crate) struct Rows<W: Write>(csv::Writer<W>);

impl<W: Write> Rows<W> {
    /// Begins with the names of these cells.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(crate) fn under(like: &Cells, into: W) -> io::Result<Self> {
        let mut rows = Self(csv::Writer::from_writer(into));
        rows.0.write_record(like.iter().map(|(name, _)| name))?;
        Ok(rows)
    }

    /// # Errors
    /// Where it cannot be written.
    pub(crate) fn add(&mut self, cells: &Cells) -> io::Result<()> {
        Ok(self.0.write_record(cells.iter().map(|(_, cell)| cell))?)
    }

    /// # Errors
    /// Where its last rows cannot be written.
    pub(crate) fn end(self) -> io::Result<W> {
        self.0.into_inner().map_err(csv::IntoInnerError::into_error)
    }
}

/// The lines of all records. The header comes from a record too, from `like` where there is one and else from
/// the first, so that names and cells cannot go apart; without either there is none.
pub(crate) fn table<T>(records: &[T], cells: impl Fn(&T) -> Cells, like: Option<&T>) -> Vec<u8> {
    let Some(like) = like.or(records.first()) else {
        return Vec::new();
    };
    let written = || {
        let mut rows = Rows::under(&cells(like), Vec::new())?;
        records.iter().try_for_each(|r| rows.add(&cells(r)))?;
        rows.end()
    };
    // Writing to memory does not fail, and all lines have the same length.
    written().unwrap_or_default()
}

pub(crate) fn cell(name: &str, value: impl ToString) -> (String, String) {
    (name.to_owned(), value.to_string())
}

/// Empty where there is no value.
pub(crate) fn maybe<T: ToString>(name: &str, value: Option<T>) -> (String, String) {
    cell(name, value.map(|v| v.to_string()).unwrap_or_default())
}

/// An enumeration's word, as in JSON.
pub(crate) fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        // No enumeration that is asked for has values inside.
        _ => String::new(),
    }
}

/// Free text, which a spreadsheet shall not take for a formula.
pub(crate) fn text(name: &str, value: Option<&str>) -> (String, String) {
    (name.to_owned(), value.map(for_cell).unwrap_or_default())
}
