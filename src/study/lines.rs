//! Tables that people fill in: CSV with commas, semicolons or tabs, columns named in the first line.

use csv::ByteRecord;

/// Something wrong in a table, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// In the file, the header being line 1; `None` where it is about the whole file.
    pub(crate) line: Option<u64>,
    /// What is wrong.
    pub(crate) what: String,
}

impl Fault {
    pub(super) fn at(line: u64, what: impl Into<String>) -> Self {
        Self {
            line: Some(line),
            what: what.into(),
        }
    }

    /// With the file's name in front.
    pub(crate) fn told(&self, file: &str) -> String {
        match self.line {
            Some(line) => format!("{file}, line {line}: {}", self.what),
            None => format!("{file}: {}", self.what),
        }
    }
}

/// A line's cells in the order of the wanted columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) line: u64,
    cells: Vec<String>,
}

impl Line {
    /// Empty where nothing is written.
    pub(super) fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }
}

/// The lines that say anything. `None`, with a fault, where a column of the first `needed` is missing.
pub(super) fn lines(
    bytes: &[u8],
    columns: &[&str],
    needed: usize,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Line>> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(delimiter(bytes))
        .from_reader(bytes);
    // Bytes in memory, lines of any length: there is nothing that could fail.
    let mut records = reader.byte_records().map_while(Result::ok);
    let header = records.next().unwrap_or_default();
    let places: Vec<Option<usize>> = columns.iter().map(|c| place(&header, c)).collect();
    if let Some(missing) = places[..needed].iter().position(Option::is_none) {
        let what = format!(
            "no column is called “{}”; the first line names the columns: {}",
            columns[missing],
            columns.join(",")
        );
        faults.push(Fault::at(1, what));
        return None;
    }
    let line = |record: ByteRecord| {
        let of = |place: &Option<usize>| {
            place
                .and_then(|p| record.get(p))
                .map_or_else(String::new, text)
        };
        Line {
            line: record.position().map_or(0, |at| line_of(at, bytes)),
            cells: places.iter().map(of).collect(),
        }
    };
    let said = |line: &Line| line.cells.iter().any(|c| !c.is_empty());
    Some(records.map(line).filter(said).collect())
}

fn place(header: &ByteRecord, column: &str) -> Option<usize> {
    let named = |cell: &[u8]| text(cell).to_lowercase().replace([' ', '-'], "_") == column;
    header.iter().position(named)
}

/// Old spreadsheets do not write UTF-8; the words that count are plain letters either way.
fn text(cell: &[u8]) -> String {
    let text = String::from_utf8_lossy(cell);
    text.trim()
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// The reader's place is where the line before ended: empty lines after that are passed over.
fn line_of(place: &csv::Position, table: &[u8]) -> u64 {
    let rest = table.get(place.byte() as usize..).unwrap_or_default();
    let ends = rest.iter().take_while(|b| matches!(b, b'\n' | b'\r'));
    place.line() + ends.filter(|b| **b == b'\n').count() as u64
}

/// The one that the first line has most of; of equal counts the comma.
fn delimiter(table: &[u8]) -> u8 {
    let first = table.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |d: &u8| first.split(|b| b == d).count();
    let found = [b'\t', b';', b','].into_iter().max_by_key(count);
    found.unwrap_or(b',')
}
