//! Tables (CSV) as spreadsheets write and read them: what every table that comes in or goes out shares.

pub(crate) mod cells;

use csv::ByteRecord;

/// What spreadsheets take for the beginning of a formula.
const RISKY: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// Free text for a cell: an apostrophe goes before what a spreadsheet would take for a formula.
/// Apostrophes that stand before such a text already stay apart.
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

/// Why a line, or a column of all lines, was not used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// In the file, the header being line 1.
    pub line: u64,
    /// What is wrong and what to do.
    pub what: String,
}

/// A line of a table.
#[derive(Debug)]
pub(crate) struct Line {
    /// In the file, the header being line 1.
    pub(crate) number: u64,
    /// Trimmed.
    pub(crate) cells: ByteRecord,
}

/// The lines of a table in UTF-8, the header first and empty lines left out; cells are separated by commas,
/// semicolons or tabs.
///
/// # Errors
/// Where the whole file is none.
pub(crate) fn lines(file: &[u8]) -> Result<Vec<Result<Line, Problem>>, Problem> {
    if file.starts_with(b"\xff\xfe") || file.starts_with(b"\xfe\xff") {
        return Err(Problem {
            line: 1,
            what: "the file is UTF-16; save the table as “CSV UTF-8”".to_owned(),
        });
    }
    let file = file.strip_prefix(b"\xef\xbb\xbf").unwrap_or(file);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(delimiter(file))
        .from_reader(file);
    // Bytes in memory, lines of any length: there is nothing that could fail.
    let records = reader.byte_records().map_while(Result::ok);
    Ok(records.map(|cells| line(cells, file)).collect())
}

fn line(cells: ByteRecord, file: &[u8]) -> Result<Line, Problem> {
    let number = cells.position().map_or(0, |place| line_of(place, file));
    if left_open(&cells, file) {
        return Err(Problem {
            line: number,
            what: LEFT_OPEN.to_owned(),
        });
    }
    Ok(Line { number, cells })
}

/// The reader's place is where the line before ended: empty lines after that are passed over.
fn line_of(place: &csv::Position, file: &[u8]) -> u64 {
    let rest = file.get(place.byte() as usize..).unwrap_or_default();
    let ends = rest.iter().take_while(|b| matches!(b, b'\n' | b'\r'));
    place.line() + ends.filter(|b| **b == b'\n').count() as u64
}

const LEFT_OPEN: &str = "a double quote is opened here and never closed, so that this line and those \
                         after it cannot be told apart; close it, or leave it out";

/// Whether the last cell took in the following lines up to the end of the file.
fn left_open(cells: &ByteRecord, file: &[u8]) -> bool {
    let last = cells.iter().next_back().unwrap_or_default();
    let (end, closed) = (file.trim_ascii_end(), b"\"");
    last.contains(&b'\n') && end.ends_with(last.trim_ascii_end()) && !end.ends_with(closed)
}

/// The one that the first line has most of.
fn delimiter(file: &[u8]) -> u8 {
    let first = file.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |d: &u8| first.split(|b| b == d).count();
    // Of equal counts the last one stands.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(count)
        .unwrap_or(b',')
}

/// `Jaw set` and `jaw-set` name the column `jaw_set`.
pub(crate) fn column_name(cell: &[u8]) -> String {
    let name = String::from_utf8_lossy(cell).trim().to_lowercase();
    name.replace([' ', '-'], "_")
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

    // Line ends and quotes as in RFC 4180, section 2.
    #[test]
    fn lines_are_numbered_as_in_the_file() {
        let numbers = |text: &str| -> Vec<u64> {
            let lines = lines(text.as_bytes()).expect("it is a table");
            let number = |line: Result<Line, Problem>| line.map_or_else(|p| p.line, |l| l.number);
            lines.into_iter().map(number).collect()
        };
        assert_eq!(numbers("a,b\n1,2\n3,4\n"), [1, 2, 3]);
        assert_eq!(numbers("\u{feff}a,b\r\n\r\n\r\n1,2\r\n3,4"), [1, 4, 5]);
        assert_eq!(numbers("a,b\n\"1\n1\",2\n3,4\n"), [1, 2, 4]);
        assert_eq!(numbers(""), [] as [u64; 0]);
    }

    #[test]
    fn a_quote_left_open_and_another_encoding_are_told() {
        let open = lines(b"a,b\n1,\"2\n3,4\n").expect("it is a table");
        assert!(open[1].is_err() && open.len() == 2);
        let closed = lines(b"a,b\n1,\"2\n3,4\"\n").expect("it is a table");
        assert!(closed.iter().all(Result::is_ok));
        assert!(lines(b"\xff\xfea\0,\0b\0").is_err());
    }

    #[test]
    fn the_separator_is_what_the_header_has_most_of() {
        for (header, cells) in [("a,b;c,d", 3), ("a;b;c,d", 3), ("a\tb", 2), ("a", 1)] {
            let lines = lines(header.as_bytes()).expect("it is a table");
            assert_eq!(
                lines[0].as_ref().map(|l| l.cells.len()),
                Ok(cells),
                "{header}"
            );
        }
    }
}
