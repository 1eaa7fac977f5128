//! Everything as six tables: jaw sets, cuts, checks, readings, calls, labels.

use super::super::load::{self, Details, Kept, KeptCheck};
use super::super::{Archive, ArchiveError, calls, labels};
use super::fields::{OF_EVERY_SET, OPTIONAL};
use crate::people::labels::{Label, Labelled};
use crate::people::records::{FiledCall, Item};
use crate::taper::records::{Cut, FiledReading, Id, JawSet, Mounting};
use crate::text::spreadsheet::cells::{Cells, cell, maybe, table, text, word};
use crate::units::{Length, PerSide, Pressure};

/// One table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CsvFile {
    /// `jaw_sets.csv`, `cuts.csv`, `checks.csv`, `readings.csv`, `calls.csv` or `labels.csv`.
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
        let (sets, cuts, checks, calls, labels) = self.read(|db| {
            let sets = load::jaw_sets(db, "1", [])?;
            let cuts = load::cuts(db, "1", [])?;
            let checks = load::checks(db, "1", [], Details::LeftOut)?;
            let labels = labels::labels(db, "1", [])?;
            Ok((sets, cuts, checks, calls::calls(db, "1", [])?, labels))
        })?;
        let readings: Vec<(Id, &FiledReading)> = checks
            .iter()
            .flat_map(|k| k.check.readings.iter().map(|r| (k.check.id, r)))
            .collect();
        Ok(vec![
            file("jaw_sets.csv", &sets, jaw_set),
            file("cuts.csv", &cuts, cut),
            file("checks.csv", &checks, check),
            file("readings.csv", &readings, reading),
            file("calls.csv", &calls, call),
            file("labels.csv", &labels, label),
        ])
    }
}

fn file<T>(name: &'static str, records: &[T], line: impl Fn(&T) -> Cells) -> CsvFile {
    let bytes = table(records, line, None);
    CsvFile { name, bytes }
}

/// Exact, then labelled both ways in both units.
fn taper(name: &str, taper: Option<PerSide>) -> Cells {
    let exact = taper.map(|t| t.length().exact());
    let mut line = vec![maybe(&format!("{name}_per_side"), exact)];
    line.extend(crate::units::cells::taper(name, taper));
    line
}

fn mounting(of: &Mounting) -> Cells {
    vec![
        text("machine", of.machine.as_deref()),
        text("chuck", of.chuck.as_deref()),
        text("master_jaws", of.master_jaws.as_deref()),
        text("serration", of.serration.as_deref()),
    ]
}

fn jaw_set(kept: &Kept<JawSet>) -> Cells {
    let set = &kept.record;
    let mut line = vec![cell("id", set.id)];
    let fields = OF_EVERY_SET.iter().chain(&OPTIONAL);
    line.extend(fields.map(|f| (f.name.to_owned(), (f.write)(set))));
    line.push(cell("photos", set.photos.join(" ")));
    line.push(cell("changed", set.changed));
    line.push(cell("hidden", kept.hidden));
    line
}

fn cut(kept: &Kept<Cut>) -> Cells {
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
        text("skimmed", cut.skimmed.as_deref()),
        maybe("stock_left", cut.stock_left.map(Length::exact)),
    ]);
    line.extend(mounting(&cut.mounting));
    line.extend([
        text("notes", cut.notes.as_deref()),
        cell("changed", cut.changed),
        cell("hidden", kept.hidden),
    ]);
    line
}

fn check(kept: &KeptCheck) -> Cells {
    let (check, advice) = (&kept.check, &kept.check.advice);
    let mut line = vec![
        cell("id", check.id),
        cell("cut", check.cut),
        cell("jaw_set", kept.jaw_set),
        cell("made", check.made),
        cell("method", word(&check.method)),
        text("compound", check.compound.as_deref()),
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
        text("done", check.done.as_deref()),
        cell("changed", check.changed),
        cell("hidden", kept.hidden),
    ]);
    line
}

fn reading((check, reading): &(Id, &FiledReading)) -> Cells {
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
        text("phone", reading.phone.as_deref()),
    ]
}

/// The change in its exact form, as `--change` takes it, then labelled; no figures where none was called.
fn call(kept: &Kept<FiledCall>) -> Cells {
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

/// Corners as `--corners` takes them.
fn label(label: &Label) -> Cells {
    let (what, value) = match label.what {
        Labelled::Corners(corners) => {
            let corner = |[x, y]: [f64; 2]| format!("{x},{y}");
            ("corners", corners.map(corner).join(" "))
        }
        Labelled::Tip(tip) => ("tip", word(&tip)),
        Labelled::Pattern(pattern) => ("pattern", word(&pattern)),
    };
    vec![
        cell("id", label.id),
        cell("photo", &label.photo),
        cell("what", what),
        cell("value", value),
        maybe("person", label.by.as_ref()),
        cell("at", label.at),
        cell("changed", label.changed),
    ]
}
