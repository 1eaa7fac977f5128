//! Tables that go out: cells by the names of their columns.

use super::for_cell;

/// A line: names of columns and cells, in order.
pub(crate) type Cells = Vec<(String, String)>;

/// The lines of all records. The header comes from a record too, from `like` where there is one and else from
/// the first, so that names and cells cannot go apart; without either there is none.
pub(crate) fn table<T>(records: &[T], cells: impl Fn(&T) -> Cells, like: Option<&T>) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail, and all lines have the same length.
    if let Some(like) = like.or(records.first()) {
        let _ = writer.write_record(cells(like).into_iter().map(|(name, _)| name));
    }
    for record in records {
        let _ = writer.write_record(cells(record).into_iter().map(|(_, cell)| cell));
    }
    writer.into_inner().unwrap_or_default()
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
