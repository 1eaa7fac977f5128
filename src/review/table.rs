//! A table (CSV) of what photos belong to.

use std::collections::HashMap;

use csv::ByteRecord;
use serde::de::value::StrDeserializer;
use serde::de::{DeserializeOwned, IntoDeserializer};

use super::written::Written;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::taper::advice::Grip;
use crate::text::outside::{echo, echo_place};
use crate::text::spreadsheet::{Line, Problem, column_name, lines, of_cell};
use crate::units::PerSide;

/// The columns that are known; `file` must be there.
pub(super) const COLUMNS: [&str; 9] = [
    "file", "jaw_set", "check", "jaw", "taper", "grip", "method", "tip", "done",
];

/// What one line says about one photo; what is `None` is unknown.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Row {
    pub(super) line: u64,
    /// Its place in [`Written::lines`].
    pub(super) at: usize,
    /// As in the result: below the reviewed folder, with `/`; or the name alone, where only one photo has it.
    pub(super) file: String,
    pub(crate) jaw_set: Option<String>,
    pub(crate) check: Option<String>,
    pub(crate) jaw: Option<u8>,
    pub(crate) taper: Option<PerSide>,
    pub(crate) grip: Option<Grip>,
    pub(crate) method: Option<Method>,
    pub(crate) tip: Option<TipDirection>,
    pub(crate) done: Option<String>,
}

/// The lines that could be read.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Table {
    rows: Vec<Row>,
    written: Written,
}

impl Table {
    /// Reads a table in UTF-8, cells separated by commas, semicolons or tabs, the columns named in the
    /// first line, in any order. A line with something wrong in it is not used and does not stop the
    /// others. Tapers beyond `largest` are a slip of the unit.
    pub(crate) fn parse(bytes: &[u8], largest: PerSide) -> (Self, Vec<Problem>) {
        let mut problems = Vec::new();
        // A file that is no table is told like a bad first line.
        let lines = lines(bytes).unwrap_or_else(|problem| vec![Err(problem)]);
        let mut lines = lines.into_iter();
        let header = lines.next().unwrap_or_else(|| Err(nameless()));
        let header = match header {
            Ok(header) => header.cells,
            Err(problem) => return (Self::default(), vec![problem]),
        };
        let columns = columns(&header, &mut problems);
        if !columns.contains(&Some("file")) {
            return (Self::default(), [problems, vec![nameless()]].concat());
        }
        let (mut rows, mut written) = (Vec::new(), Written::under(&header, &columns));
        for line in lines {
            let at = written.add(line.as_ref().ok().map(|l| &l.cells));
            match line.and_then(|line| row(&line, &columns, largest)) {
                Ok(Some(row)) => rows.push(Row { at, ..row }),
                Ok(None) => {}
                Err(problem) => problems.push(problem),
            }
        }
        (Self { rows, written }, problems)
    }

    /// All that it says, used or not.
    pub(crate) fn written(&self) -> &Written {
        &self.written
    }

    /// The line of each of these files; lines that speak of none of them, of several, or of one that an
    /// earlier line speaks of, are problems.
    pub(crate) fn of_files(&self, files: &[&str]) -> (HashMap<String, Row>, Vec<Problem>) {
        let mut naming = self.naming();
        for file in files {
            naming.file(file);
        }
        naming.finish()
    }

    /// The same of files that come one after the other.
    pub(crate) fn naming(&self) -> Naming<'_> {
        let texts = self.rows.iter().map(|row| row.file.as_str());
        Naming {
            rows: &self.rows,
            found: texts.map(|text| (text, <[Files; 2]>::default())).collect(),
        }
    }
}

/// Which files the lines of a table speak of: only these are held.
pub(crate) struct Naming<'a> {
    rows: &'a [Row],
    /// By what a line says: files with that place, and with that name.
    found: HashMap<&'a str, [Files; 2]>,
}

/// Files that a text may mean.
#[derive(Debug, Default)]
enum Files {
    #[default]
    None,
    One(String),
    Several,
}

impl Files {
    fn add(&mut self, file: &str) {
        *self = match self {
            Self::None => Self::One(file.to_owned()),
            _ => Self::Several,
        };
    }
}

impl Naming<'_> {
    /// Takes in the next file.
    pub(crate) fn file(&mut self, file: &str) {
        if self.found.is_empty() {
            return;
        }
        let place = in_a_cell(file);
        if let Some([places, _]) = self.found.get_mut(place.as_str()) {
            places.add(file);
        }
        let name = place.rsplit_once('/').map(|(_, name)| name);
        if let Some([_, names]) = name.and_then(|name| self.found.get_mut(name)) {
            names.add(file);
        }
    }

    /// See [`Table::of_files`].
    pub(crate) fn finish(self) -> (HashMap<String, Row>, Vec<Problem>) {
        let (mut rows, mut problems) = (HashMap::new(), Vec::new());
        for row in self.rows {
            let what = match &self.found[row.file.as_str()] {
                // A whole path is meant before a name alone.
                [Files::One(file), _] | [Files::None, Files::One(file)] => {
                    if !rows.contains_key(file) {
                        rows.insert(file.clone(), row.clone());
                        continue;
                    }
                    "an earlier line speaks of this photo; that one was used"
                }
                [Files::None, Files::None] => {
                    "no photo is called so; write its place below the reviewed folder, with /"
                }
                _ => "several photos are called so; write the folder before the name, with /",
            };
            problems.push(Problem {
                line: row.line,
                what: format!("“{}”: {what}", echo_place(&row.file)),
            });
        }
        (rows, problems)
    }
}

/// A file's place as a cell says it: the blanks around a cell are no part of it, `\` stands for `/`, and a
/// line is one line.
pub(crate) fn in_a_cell(file: &str) -> String {
    let plain = |c: char| match c {
        '\\' => '/',
        c if c.is_control() => char::REPLACEMENT_CHARACTER,
        c => c,
    };
    file.trim_ascii().chars().map(plain).collect()
}

fn nameless() -> Problem {
    Problem {
        line: 1,
        what: "no column is called “file”; name the columns in the first line, in UTF-8".to_owned(),
    }
}

fn columns(header: &ByteRecord, problems: &mut Vec<Problem>) -> Vec<Option<&'static str>> {
    let mut columns = Vec::new();
    for cell in header {
        let name = column_name(cell);
        // A column that is not known is told and stops nothing: the table may serve other ends, too.
        let known = COLUMNS.into_iter().find(|c| *c == name);
        // Of two columns with one name it can't be told which one counts.
        let column = known.filter(|c| !columns.contains(&Some(*c)));
        if column.is_none() && !name.is_empty() {
            let (name, known) = (echo(&name), COLUMNS.join(", "));
            problems.push(Problem {
                line: 1,
                what: format!("the column “{name}” was not used; known, once each, are {known}"),
            });
        }
        columns.push(column);
    }
    columns
}

/// `None` where the line says nothing.
fn row(
    line: &Line,
    columns: &[Option<&'static str>],
    largest: PerSide,
) -> Result<Option<Row>, Problem> {
    let problem = |what| Problem {
        line: line.number,
        what,
    };
    let row = cells(&line.cells, columns, largest).map_err(problem)?;
    Ok(row.map(|row| Row {
        line: line.number,
        ..row
    }))
}

fn cells(
    record: &ByteRecord,
    columns: &[Option<&'static str>],
    largest: PerSide,
) -> Result<Option<Row>, String> {
    let mut row = Row::default();
    for (cell, column) in record.iter().zip(columns) {
        let text = std::str::from_utf8(cell)
            .map_err(|_| "this line is not UTF-8; save the table as “CSV UTF-8”".to_owned())?;
        let text = of_cell(text);
        if let Some(column) = column.filter(|_| !text.is_empty()) {
            set(&mut row, column, text, largest)?;
        }
    }
    if row == Row::default() {
        return Ok(None);
    }
    if row.file.is_empty() {
        return Err("no file is named on this line".to_owned());
    }
    Ok(Some(row))
}

fn set(row: &mut Row, column: &str, text: &str, largest: PerSide) -> Result<(), String> {
    // It would be shown on pages and in messages of one line.
    if text.chars().any(char::is_control) {
        return Err(format!(
            "the cell {column} has a line break or the like in it"
        ));
    }
    let some = || Some(text.to_owned());
    match column {
        // As a path is copied on Windows.
        "file" => row.file = text.replace('\\', "/"),
        "jaw_set" => row.jaw_set = some(),
        "check" => row.check = some(),
        "done" => row.done = some(),
        "jaw" => row.jaw = Some(jaw(text)?),
        "taper" => row.taper = Some(taper(text, largest)?),
        "grip" => row.grip = Some(word(text, "grip; write outside or inside")?),
        "tip" => row.tip = Some(word(text, "tip; write up, down, left or right")?),
        _ => row.method = Some(word(text, "method; write seep or transfer")?),
    }
    Ok(())
}

fn jaw(text: &str) -> Result<u8, String> {
    let number = text.parse().ok().filter(|n| *n > 0);
    number.ok_or_else(|| {
        format!(
            "“{}” is no jaw; write a number from 1, the same for photos of one jaw",
            echo(text)
        )
    })
}

fn taper(text: &str, largest: PerSide) -> Result<PerSide, String> {
    let taper = PerSide::parse_taper(text).map_err(|e| e.to_string())?;
    // Millimetres typed as inches are 25 times too much, and the next taper would follow from them.
    if taper > largest {
        return Err(format!(
            "the taper {} is more than any jaw is cut to; check the unit (in, thou, mm, um)",
            echo(text)
        ));
    }
    Ok(taper)
}

/// One of the words that stand for `T` in JSON, in whatever case.
fn word<T: DeserializeOwned>(text: &str, remedy: &str) -> Result<T, String> {
    let small = text.to_lowercase();
    let word: StrDeserializer<'_, serde::de::value::Error> = small.as_str().into_deserializer();
    T::deserialize(word).map_err(|_| format!("“{}” is no {remedy}", echo(text)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn parse(text: &str) -> (Table, Vec<Problem>) {
        Table::parse(text.as_bytes(), PerSide::of(Length::from_tenths(500)))
    }

    #[test]
    fn a_bad_line_is_named_and_does_not_stop_the_others() {
        let (table, problems) = parse(
            "File;Jaw set;taper;colour\na.jpg;heron;3thou;red\nb.jpg;heron;3;\n;wren;;\n\nb/c.jpg;wren;3in;\nd.jpg;;;\n",
        );
        let lines: Vec<u64> = problems.iter().map(|p| p.line).collect();
        assert_eq!(lines, [1, 3, 4, 6], "{problems:?}");
        let (_, problems) = parse("file,taper\r\n\r\na.jpg,3\r\n");
        assert_eq!(problems[0].line, 3);
        assert_eq!(table.rows.len(), 2);
        assert_eq!(table.rows[0].taper, PerSide::parse_taper("0.003in").ok());
        assert_eq!(table.rows[1].line, 7);
    }

    #[test]
    fn a_jaw_is_a_number_from_one() {
        let (table, problems) = parse("file,jaw\na.jpg,2\nb.jpg,0\nc.jpg,left\nd.jpg,\n");
        let jaws: Vec<_> = table.rows.iter().map(|row| row.jaw).collect();
        assert_eq!(jaws, [Some(2), None]);
        let lines: Vec<u64> = problems.iter().map(|p| p.line).collect();
        assert_eq!(lines, [3, 4]);
    }

    #[test]
    fn a_line_speaks_of_one_photo() {
        let (table, problems) = parse(
            "file,jaw_set\nx/a.jpg,heron\na.jpg,wren\nb.jpg,plover\nb.jpg,wren\nnone.jpg,wren\n",
        );
        assert_eq!(problems, []);
        let (rows, problems) = table.of_files(&["x/a.jpg", "y/a.jpg", "y/b.jpg"]);
        assert_eq!(rows["x/a.jpg"].jaw_set.as_deref(), Some("heron"));
        assert_eq!(rows["y/b.jpg"].jaw_set.as_deref(), Some("plover"));
        let lines: Vec<u64> = problems.iter().map(|p| p.line).collect();
        assert_eq!(lines, [3, 5, 6]);
    }

    #[test]
    fn a_name_that_no_cell_can_say_as_it_is_can_still_be_named() {
        let odd = [" a.jpg ", "x\\b.jpg", "c\nd.jpg"];
        let text = odd.map(in_a_cell).join("\n");
        let (table, problems) = parse(&format!("file\n{text}\n"));
        assert_eq!(problems, []);
        let (rows, problems) = table.of_files(&odd);
        assert_eq!((rows.len(), problems.len()), (3, 0));
        // Two names that a cell can't tell apart are both left.
        let (rows, problems) = table.of_files(&["a.jpg", " a.jpg"]);
        assert_eq!(rows.len(), 0);
        assert!(problems[0].what.contains("several"));
    }

    #[test]
    fn a_table_without_the_column_file_is_said_to_be_none() {
        for text in ["", "name,taper\na.jpg,3thou\n", "\u{0}\u{1}"] {
            let (table, problems) = parse(text);
            assert!(table.rows.is_empty() && problems.iter().any(|p| p.line == 1));
        }
    }
}
