//! Everything as five tables: jaw sets, cuts, checks, readings, calls.

use super::super::columns::word;
use super::super::load::{self, Details, Kept, KeptCheck};
use super::super::{Archive, ArchiveError, calls};
use super::fields::{OF_EVERY_SET, OPTIONAL};
use crate::records::{Cut, FiledCall, FiledReading, Id, Item, JawSet, Mounting};
use crate::spreadsheet::for_cell;
use crate::units::{Length, OnDiameter, PerSide, Pressure};

/// One table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CsvFile {
    /// `jaw_sets.csv`, `cuts.csv`, `checks.csv`, `readings.csv` or `calls.csv`.
    pub name: &'static str,
    /// UTF-8, separated by commas, with a header.
    pub bytes: Vec<u8>,
}

impl Archive {
    /// All records, hidden ones marked. Lengths and pressures are exact texts with their unit, tapers and
    /// changes also numbers, labelled per side and on the diameter. `jaw_sets.csv` can be imported.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn export_csv(&self) -> Result<Vec<CsvFile>, ArchiveError> {
        let (sets, cuts, checks, calls) = self.read(|db| {
            let sets = load::jaw_sets(db, "1", [])?;
            let cuts = load::cuts(db, "1", [])?;
            let checks = load::checks(db, "1", [], Details::LeftOut)?;
            Ok((sets, cuts, checks, calls::calls(db, "1", [])?))
        })?;
        let readings: Vec<(Id, &FiledReading)> = checks
            .iter()
            .flat_map(|k| k.check.readings.iter().map(|r| (k.check.id, r)))
            .collect();
        Ok(vec![
            table("jaw_sets.csv", &sets, jaw_set),
            table("cuts.csv", &cuts, cut),
            table("checks.csv", &checks, check),
            table("readings.csv", &readings, reading),
            table("calls.csv", &calls, call),
        ])
    }
}

/// Cells by the names of their columns, in order.
type Line = Vec<(String, String)>;

/// The header comes from the first record, so that names and cells cannot go apart; a table without
/// records has none.
fn table<T>(name: &'static str, records: &[T], line: impl Fn(&T) -> Line) -> CsvFile {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for (index, record) in records.iter().enumerate() {
        let (names, cells): (Vec<String>, Vec<String>) = line(record).into_iter().unzip();
        // Writing to memory does not fail, and all lines have the same length.
        if index == 0 {
            let _ = writer.write_record(&names);
        }
        let _ = writer.write_record(&cells);
    }
    CsvFile {
        name,
        bytes: writer.into_inner().unwrap_or_default(),
    }
}

fn cell(name: &str, value: impl ToString) -> (String, String) {
    (name.to_owned(), value.to_string())
}

fn maybe<T: ToString>(name: &str, value: Option<T>) -> (String, String) {
    (
        name.to_owned(),
        value.map(|v| v.to_string()).unwrap_or_default(),
    )
}

fn text(name: &str, value: Option<&String>) -> (String, String) {
    (
        name.to_owned(),
        value.map(|t| for_cell(t)).unwrap_or_default(),
    )
}

/// Exact, then labelled both ways in both units.
fn taper(name: &str, taper: Option<PerSide>) -> Line {
    let both = taper.map(PerSide::on_diameter);
    let named = |label: &str, value: Option<f64>| maybe(&format!("{name}_{label}"), value);
    vec![
        maybe(
            &format!("{name}_per_side"),
            taper.map(|t| t.length().exact()),
        ),
        named("per_side_thou", taper.map(PerSide::thou)),
        named("on_diameter_thou", both.map(OnDiameter::thou)),
        named("per_side_mm", taper.map(PerSide::millimetres)),
        named("on_diameter_mm", both.map(OnDiameter::millimetres)),
    ]
}

fn mounting(of: &Mounting) -> Line {
    vec![
        text("machine", of.machine.as_ref()),
        text("chuck", of.chuck.as_ref()),
        text("master_jaws", of.master_jaws.as_ref()),
        text("serration", of.serration.as_ref()),
    ]
}

fn jaw_set(kept: &Kept<JawSet>) -> Line {
    let set = &kept.record;
    let mut line = vec![cell("id", set.id)];
    let fields = OF_EVERY_SET.iter().chain(&OPTIONAL);
    line.extend(fields.map(|f| (f.name.to_owned(), (f.write)(set))));
    line.push(cell("photos", set.photos.join(" ")));
    line.push(cell("changed", set.changed));
    line.push(cell("hidden", kept.hidden));
    line
}

fn cut(kept: &Kept<Cut>) -> Line {
    let cut = &kept.record;
    let mut line = vec![
        cell("id", cut.id),
        cell("jaw_set", cut.jaw_set),
        cell("made", cut.made),
        maybe("diameter", cut.diameter.map(Length::exact)),
        maybe("depth", cut.depth.map(Length::exact)),
    ];
    line.extend(taper("taper", cut.taper));
    line.extend([
        maybe("boring_pressure", cut.boring_pressure.map(Pressure::exact)),
        text("skimmed", cut.skimmed.as_ref()),
        maybe("stock_left", cut.stock_left.map(Length::exact)),
    ]);
    line.extend(mounting(&cut.mounting));
    line.extend([
        text("notes", cut.notes.as_ref()),
        cell("changed", cut.changed),
        cell("hidden", kept.hidden),
    ]);
    line
}

fn check(kept: &KeptCheck) -> Line {
    let (check, advice) = (&kept.check, &kept.check.advice);
    let mut line = vec![
        cell("id", check.id),
        cell("cut", check.cut),
        cell("jaw_set", kept.jaw_set),
        cell("made", check.made),
        cell("method", word(&check.method)),
        text("compound", check.compound.as_ref()),
        maybe("pressure", check.pressure.map(Pressure::exact)),
    ];
    line.extend(mounting(&check.mounting));
    line.extend([
        text("program", Some(&check.program)),
        text("rules", Some(&check.rules)),
        cell("pattern", word(&advice.pattern)),
        cell("action", word(&advice.action)),
    ]);
    line.extend(taper("change", advice.change));
    line.extend(taper("low", advice.low));
    line.extend(taper("high", advice.high));
    line.extend(taper("next_taper", advice.next_taper));
    line.extend([
        text("what_to_do", Some(&advice.what_to_do)),
        text("why", Some(&advice.why)),
        text("done", check.done.as_ref()),
        cell("changed", check.changed),
        cell("hidden", kept.hidden),
    ]);
    line
}

fn reading((check, reading): &(Id, &FiledReading)) -> Line {
    let seen = reading.seen.as_ref();
    vec![
        cell("check", check),
        cell("sha256", &reading.sha256),
        text("file", Some(&reading.file)),
        maybe("taken", reading.taken),
        cell("pattern", word(&reading.pattern)),
        cell("confidence", reading.confidence),
        maybe("refusal", reading.refusal.map(|r| word(&r))),
        maybe("open_end", seen.map(|s| word(&s.open_end))),
        maybe("open_fraction", seen.map(|s| s.open_fraction)),
        maybe("open_sd", seen.map(|s| s.sd)),
    ]
}

/// The change in its exact form, as `--change` takes it, then labelled; no figures where none was called.
fn call(kept: &Kept<FiledCall>) -> Line {
    let (filed, call) = (&kept.record, &kept.record.call);
    let (check, photo) = match &filed.item {
        Item::Check(id) => (Some(*id), None),
        Item::Photo(hash) => (None, Some(hash)),
    };
    let mut line = vec![
        cell("id", filed.id),
        cell("kind", word(&filed.kind)),
        text("person", Some(&call.by.to_string())),
        maybe("check", check),
        maybe("photo", photo),
        maybe("session", filed.session),
        cell("pattern", word(&call.pattern)),
        text("called", Some(&call.change.to_string())),
    ];
    line.extend(taper("change", call.change.per_side()));
    line.extend([
        cell("at", call.at),
        maybe("revealed", filed.revealed),
        cell("changed", filed.changed),
        cell("hidden", kept.hidden),
    ]);
    line
}
