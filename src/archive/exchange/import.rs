//! A table of jaw sets, such as a shop keeps in a spreadsheet → jaw sets.

use std::collections::{BTreeMap, HashMap};

use csv::ByteRecord;
use jiff::civil::DateTime;
use rusqlite::Connection;

use super::super::error::Fault;
use super::super::find::close_to;
use super::super::load;
use super::super::{Archive, ArchiveError, rows, sets, stamp};
use super::fields::{Field, OF_EVERY_SET, OPTIONAL};
use crate::taper::records::{Id, JawSet};
use crate::text::outside::echo;
use crate::text::spreadsheet::{Problem, column_name, lines};

/// What an import did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Imported {
    /// Names of sets that are new.
    pub added: Vec<String>,
    /// Names of sets that were here and of which more is known now.
    pub filled_in: Vec<String>,
    /// How many lines said nothing new.
    pub already: usize,
    /// What was not taken in.
    pub problems: Vec<Problem>,
}

/// What [`Archive::export_csv`] writes besides: an id is used, the others are not.
const PASSED_OVER: [&str; 2] = ["photos", "changed"];

impl Archive {
    /// Takes in a CSV table of jaw sets. The first line names the columns as the fields of a jaw set, in
    /// any order: `name`, `grip` (outside where empty), `material`, `jaw_height`, … Cells are separated
    /// by commas, semicolons or tabs, lengths and pressures have a unit, empty cells are unknown.
    ///
    /// A set that is here already, by its id or else by its name, is filled in where nothing was known;
    /// a line that contradicts what is here is a problem. So the same table can be imported again, and a
    /// mended one too. One bad line or column does not stop the others. `now` becomes `changed` of what is
    /// written.
    ///
    /// # Errors
    /// Where the archive cannot be written; a bad table is no error, see [`Imported::problems`].
    pub fn import_jaw_sets(
        &mut self,
        table: &[u8],
        now: DateTime,
    ) -> Result<Imported, ArchiveError> {
        let mut imported = Imported::default();
        let lines = parse(table, &mut imported.problems);
        self.write(|db| {
            let mut from_line = HashMap::new();
            for (line, cells) in lines {
                if let Err(what) = take_in(db, &cells, now, &mut imported, line, &mut from_line)? {
                    imported.problems.push(Problem { line, what });
                }
            }
            imported.problems.sort_by_key(|p| p.line);
            Ok(imported)
        })
    }
}

/// The cells of a line that are not empty, by column.
type Cells = BTreeMap<&'static str, String>;

fn parse(table: &[u8], problems: &mut Vec<Problem>) -> Vec<(u64, Cells)> {
    // A table that is none at all is a problem like that of a line.
    let lines = lines(table).unwrap_or_else(|problem| vec![Err(problem)]);
    let mut lines = lines.into_iter();
    let header = match lines.next() {
        Some(Ok(header)) => header.cells,
        Some(Err(problem)) => {
            problems.push(problem);
            return Vec::new();
        }
        None => {
            let what = "the file is empty; its first line has to name the columns".into();
            problems.push(Problem { line: 1, what });
            return Vec::new();
        }
    };
    let columns = columns(&header, &mut |line, what| {
        problems.push(Problem { line, what });
    });
    if !columns.contains(&Some("name")) {
        let what = "no column is called “name”; name the columns in the first line".into();
        problems.push(Problem { line: 1, what });
        return Vec::new();
    }
    let mut all = Vec::new();
    for line in lines {
        let cells = line.and_then(|line| match cells(&line.cells, &columns) {
            Ok(cells) => Ok((line.number, cells)),
            Err(what) => Err(Problem {
                line: line.number,
                what,
            }),
        });
        match cells {
            Ok((_, cells)) if cells.is_empty() => {}
            Ok(cells) => all.push(cells),
            Err(problem) => problems.push(problem),
        }
    }
    all
}

fn known_columns() -> Vec<&'static str> {
    let fields = OF_EVERY_SET.iter().chain(&OPTIONAL).map(|f| f.name);
    fields.chain(["id", "hidden"]).chain(PASSED_OVER).collect()
}

/// `None` where nothing is taken from the column.
fn columns(
    header: &ByteRecord,
    problem: &mut impl FnMut(u64, String),
) -> Vec<Option<&'static str>> {
    let known = known_columns();
    let mut columns: Vec<Option<&'static str>> = Vec::new();
    for cell in header {
        let written = String::from_utf8_lossy(cell);
        let name = column_name(cell);
        let column = known.iter().copied().find(|k| *k == name);
        let twice = column.is_some() && columns.contains(&column);
        if twice {
            problem(
                1,
                format!("two columns are called “{name}”; the first one was used"),
            );
        } else if column.is_none() && !name.is_empty() {
            problem(1, unknown_column(&written, &name, &known));
        }
        columns.push(column.filter(|c| !twice && !PASSED_OVER.contains(c)));
    }
    columns
}

fn unknown_column(written: &str, name: &str, known: &[&'static str]) -> String {
    let shown = echo(written);
    let remedy = match close_to(name, known).first() {
        Some(close) => format!("did you mean “{close}”?"),
        None => format!("known are {}", known.join(", ")),
    };
    format!(
        "the column “{shown}” is not known and was left out ({remedy}); import again when it is right"
    )
}

fn cells(record: &ByteRecord, columns: &[Option<&'static str>]) -> Result<Cells, String> {
    let mut cells = Cells::new();
    for (index, bytes) in record.iter().enumerate() {
        let text = std::str::from_utf8(bytes).map_err(|_| {
            "the line has letters that are not UTF-8; save the table as “CSV UTF-8”".to_owned()
        })?;
        if text.is_empty() {
            continue;
        }
        match columns.get(index) {
            Some(Some(column)) => _ = cells.insert(*column, text.to_owned()),
            Some(None) => {}
            None => return Err(too_many(record.len(), columns.len())),
        }
    }
    Ok(cells)
}

fn too_many(cells: usize, columns: usize) -> String {
    format!(
        "the line has {cells} cells, the header {columns}; put texts that hold the separator in double quotes"
    )
}

/// `Ok(Err(…))`: this line's problem.
fn take_in(
    db: &Connection,
    cells: &Cells,
    now: DateTime,
    imported: &mut Imported,
    line: u64,
    from_line: &mut HashMap<Id, u64>,
) -> Result<Result<(), String>, Fault> {
    // A set that was deleted where the table was exported is not brought back.
    if cells
        .get("hidden")
        .is_some_and(|h| h.eq_ignore_ascii_case("true"))
    {
        imported.already += 1;
        return Ok(Ok(()));
    }
    let given = match jaw_set(cells, now) {
        Ok(given) => given,
        Err(what) => return Ok(Err(what)),
    };
    let Some(here) = here(db, &given, cells)? else {
        from_line.insert(given.id, line);
        rows::write_jaw_set(db, &given, None)?;
        imported.added.push(given.name);
        return Ok(Ok(()));
    };
    // Two lines with one name are two sets to whoever wrote them; filling one in from the other would mix them.
    if let Some(earlier) = from_line.get(&here.id) {
        let name = &given.name;
        return Ok(Err(format!(
            "line {earlier} has the name “{name}”, too; give one of the sets another name"
        )));
    }
    let mut filled = here.clone();
    if let Err(what) = fill_in(&mut filled, &given, cells) {
        return Ok(Err(what));
    }
    from_line.insert(here.id, line);
    if filled == here {
        imported.already += 1;
        return Ok(Ok(()));
    }
    filled.changed = stamp(now, here.changed);
    rows::write_jaw_set(db, &filled, None)?;
    imported.filled_in.push(filled.name);
    Ok(Ok(()))
}

/// The set of that id; else, where it is not hidden, of that name. An id that is here and hidden stays so.
fn here(db: &Connection, given: &JawSet, cells: &Cells) -> Result<Option<JawSet>, Fault> {
    let (id, key) = (given.id.to_string(), rows::name_key(&given.name));
    let mut found = Vec::new();
    if cells.contains_key("id") {
        found = load::jaw_sets(db, "id = ?1", [&id])?;
    }
    if found.is_empty() {
        found = load::jaw_sets(db, "name_key = ?1 AND hidden = 0", [&key])?;
    }
    Ok(found.pop().map(|kept| kept.record))
}

fn jaw_set(cells: &Cells, now: DateTime) -> Result<JawSet, String> {
    let name = cells.get("name");
    let name = name.ok_or("the line has no name; every jaw set needs one, no two the same")?;
    let id = match cells.get("id") {
        Some(id) => id
            .parse()
            .map_err(|e: crate::taper::records::IdError| e.to_string())?,
        None => Id::random().map_err(|e| e.to_string())?,
    };
    let mut set = JawSet::named(id, "", now);
    (OF_EVERY_SET[0].read)(&mut set, name)?;
    sets::check_name(&set.name).map_err(|e| e.to_string())?;
    for field in OF_EVERY_SET[1..].iter().chain(&OPTIONAL) {
        if let Some(cell) = cells.get(field.name) {
            (field.read)(&mut set, cell).map_err(|e| format!("{}: {e}", field.name))?;
        }
    }
    Ok(set)
}

/// Where nothing was known.
///
/// # Errors
/// Where both say something, and not the same.
fn fill_in(here: &mut JawSet, given: &JawSet, cells: &Cells) -> Result<(), String> {
    if rows::name_key(&here.name) != rows::name_key(&given.name) {
        return Err(contradiction(here, &OF_EVERY_SET[0]));
    }
    if cells.contains_key("grip") && here.grip != given.grip {
        return Err(contradiction(here, &OF_EVERY_SET[1]));
    }
    for field in &OPTIONAL {
        let (before, now) = ((field.write)(here), (field.write)(given));
        if before.is_empty() && !now.is_empty() {
            // By way of its text: what is written of one set is what is read of another.
            (field.read)(here, &now)?;
        } else if !now.is_empty() && before.trim() != now.trim() {
            return Err(contradiction(here, field));
        }
    }
    Ok(())
}

fn contradiction(here: &JawSet, field: &Field) -> String {
    format!(
        "“{}” is here already with another {}, {}; change the set itself, or give this one another name",
        here.name,
        field.name,
        (field.write)(here)
    )
}
