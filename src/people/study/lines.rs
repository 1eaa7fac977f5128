//! Tables that people fill in, columns named in the first line.

use csv::ByteRecord;

use crate::text::spreadsheet::{self, Problem, column_name, of_cell};

/// Something wrong in a table, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// In the file, the header being line 1; `None` where it is about the whole file.
    pub(crate) line: Option<u64>,
    /// What is wrong.
    pub(crate) what: String,
}

impl Fault {
    pub(super) fn of(problem: Problem) -> Self {
        Self::at(problem.line, problem.what)
    }

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

/// The lines that say anything; lines that can't be told apart are faults. `None`, with a fault, where there
/// is no table or one of the first `needed` columns is missing.
pub(super) fn lines(
    bytes: &[u8],
    columns: &[&str],
    needed: usize,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Line>> {
    let read = spreadsheet::lines(bytes).and_then(|lines| {
        let mut lines = lines.into_iter();
        let header = lines.next().transpose()?.map(|l| l.cells);
        Ok((places(&header.unwrap_or_default(), columns, needed)?, lines))
    });
    let (places, lines) = read
        .map_err(|problem| faults.push(Fault::of(problem)))
        .ok()?;
    let mut said = Vec::new();
    for line in lines {
        match line {
            Err(problem) => faults.push(Fault::of(problem)),
            Ok(line) => said.push(Line {
                line: line.number,
                cells: places.iter().map(|p| cell(&line.cells, *p)).collect(),
            }),
        }
    }
    said.retain(|line| line.cells.iter().any(|c| !c.is_empty()));
    Some(said)
}

/// Where each column stands.
fn places(
    header: &ByteRecord,
    columns: &[&str],
    needed: usize,
) -> Result<Vec<Option<usize>>, Problem> {
    let place = |column: &&str| header.iter().position(|cell| column_name(cell) == **column);
    let places: Vec<Option<usize>> = columns.iter().map(place).collect();
    match places.iter().take(needed).position(Option::is_none) {
        None => Ok(places),
        Some(missing) => Err(Problem {
            line: 1,
            what: format!(
                "no column is called “{}”; the first line names the columns: {}",
                columns[missing],
                columns.join(",")
            ),
        }),
    }
}

/// Old spreadsheets do not write UTF-8; the words that count are plain letters either way.
fn cell(cells: &ByteRecord, place: Option<usize>) -> String {
    let cell = place.and_then(|p| cells.get(p)).unwrap_or_default();
    let text = String::from_utf8_lossy(cell);
    let text = of_cell(text.trim());
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
