//! Records ↔ rows. Each list of columns is in the order in which the record's values are written and
//! taken.

use rusqlite::types::Value;
use rusqlite::{Connection, Row, params, params_from_iter};

use super::columns::{Cell, Cells, listed, upsert};
use super::error::{Fault, unreadable};
use crate::taper::records::{
    Cut, FiledAdvice, FiledCheck, FiledReading, Id, JawSet, Mounting, Seen,
};

pub(super) const JAW_SET: [&str; 21] = [
    "id",
    "name",
    "grip",
    "material",
    "jaw_height",
    "face_length",
    "face_width",
    "bored_diameter",
    "workpiece",
    "workpiece_diameter",
    "machine",
    "chuck",
    "master_jaws",
    "serration",
    "boring_pressure",
    "production_pressure",
    "bolt_torque",
    "bored_on",
    "stock",
    "notes",
    "changed",
];
/// Derived from the others when a jaw set is written.
const JAW_SET_DERIVED: [&str; 3] = ["name_key", "words", "workpiece_diameter_um"];
pub(super) const CUT: [&str; 15] = [
    "id",
    "jaw_set",
    "made",
    "diameter",
    "depth",
    "taper",
    "boring_pressure",
    "skimmed",
    "stock_left",
    "machine",
    "chuck",
    "master_jaws",
    "serration",
    "notes",
    "changed",
];
pub(super) const CHECK: [&str; 22] = [
    "id",
    "cut",
    "made",
    "method",
    "compound",
    "pressure",
    "machine",
    "chuck",
    "master_jaws",
    "serration",
    "program",
    "rules",
    "pattern",
    "action",
    "change",
    "low",
    "high",
    "next_taper",
    "what_to_do",
    "why",
    "done",
    "changed",
];
pub(super) const READING: [&str; 10] = [
    "sha256",
    "file",
    "taken",
    "pattern",
    "confidence",
    "refusal",
    "open_end",
    "open_fraction",
    "open_sd",
    "phone",
];

/// What names are compared by.
pub(super) fn name_key(name: &str) -> String {
    let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

fn mounting_cells(mounting: &Mounting) -> [Value; 4] {
    [
        mounting.machine.to_cell(),
        mounting.chuck.to_cell(),
        mounting.master_jaws.to_cell(),
        mounting.serration.to_cell(),
    ]
}

/// Everything that is searched by free text, one field a line.
fn words_of(set: &JawSet) -> String {
    let fields = [
        Some(&set.name),
        set.material.as_ref(),
        set.workpiece.as_ref(),
        set.mounting.machine.as_ref(),
        set.mounting.chuck.as_ref(),
        set.mounting.master_jaws.as_ref(),
        set.mounting.serration.as_ref(),
        set.bolt_torque.as_ref(),
        set.bored_on.as_ref(),
        set.notes.as_ref(),
    ];
    let lines: Vec<String> = fields
        .into_iter()
        .flatten()
        .map(|f| f.to_lowercase())
        .collect();
    lines.join("\n")
}

fn jaw_set_cells(set: &JawSet) -> Vec<Value> {
    let mut cells = vec![
        set.id.to_cell(),
        set.name.to_cell(),
        set.grip.to_cell(),
        set.material.to_cell(),
        set.jaw_height.to_cell(),
        set.face_length.to_cell(),
        set.face_width.to_cell(),
        set.bored_diameter.to_cell(),
        set.workpiece.to_cell(),
        set.workpiece_diameter.to_cell(),
    ];
    cells.extend(mounting_cells(&set.mounting));
    cells.extend([
        set.boring_pressure.to_cell(),
        set.production_pressure.to_cell(),
        set.bolt_torque.to_cell(),
        set.bored_on.to_cell(),
        set.stock.to_cell(),
        set.notes.to_cell(),
        set.changed.to_cell(),
        Value::Text(name_key(&set.name)),
        Value::Text(words_of(set)),
        set.workpiece_diameter
            .map(crate::units::Length::micrometres)
            .to_cell(),
    ]);
    cells
}

/// Inserts or replaces a record; whether it is hidden stays as it was where `hidden` does not say.
fn write(
    db: &Connection,
    table: &str,
    columns: &[&str],
    mut cells: Vec<Value>,
    hidden: Option<bool>,
) -> Result<(), Fault> {
    let mut columns = columns.to_vec();
    if let Some(hidden) = hidden {
        columns.push("hidden");
        cells.push(hidden.to_cell());
    }
    db.execute(&upsert(table, &columns), params_from_iter(cells))?;
    Ok(())
}

/// Writes a jaw set; for `hidden` see [`write()`].
pub(super) fn write_jaw_set(
    db: &Connection,
    set: &JawSet,
    hidden: Option<bool>,
) -> Result<(), Fault> {
    for hash in &set.photos {
        // A hash in a row becomes a path when its photo is looked for.
        super::photos::checked(hash)?;
    }
    let columns = [&JAW_SET[..], &JAW_SET_DERIVED].concat();
    write(db, "jaw_sets", &columns, jaw_set_cells(set), hidden)?;
    let id = set.id.to_string();
    // Anew as a whole: their order is part of the record.
    db.execute("DELETE FROM jaw_set_photos WHERE jaw_set = ?1", [&id])?;
    for (position, hash) in set.photos.iter().enumerate() {
        db.execute(
            "INSERT INTO jaw_set_photos (jaw_set, position, sha256) VALUES (?1, ?2, ?3)",
            params![id, position as i64, hash],
        )?;
    }
    Ok(())
}

/// A jaw set without its photos, from a row that begins with [`JAW_SET`].
pub(super) fn jaw_set(row: &Row<'_>) -> Result<JawSet, Fault> {
    let mut cells = Cells::of(row, "jaw_sets", &JAW_SET);
    Ok(JawSet {
        id: cells.next()?,
        name: cells.next()?,
        grip: cells.next()?,
        material: cells.next()?,
        jaw_height: cells.next()?,
        face_length: cells.next()?,
        face_width: cells.next()?,
        bored_diameter: cells.next()?,
        workpiece: cells.next()?,
        workpiece_diameter: cells.next()?,
        mounting: cells.mounting()?,
        boring_pressure: cells.next()?,
        production_pressure: cells.next()?,
        bolt_torque: cells.next()?,
        bored_on: cells.next()?,
        stock: cells.next()?,
        notes: cells.next()?,
        photos: Vec::new(),
        changed: cells.next()?,
    })
}

/// The photos of a jaw set itself.
pub(super) fn photos_of(db: &Connection, jaw_set: Id) -> Result<Vec<String>, Fault> {
    let mut statement =
        db.prepare("SELECT sha256 FROM jaw_set_photos WHERE jaw_set = ?1 ORDER BY position")?;
    let hashes = statement.query_map([jaw_set.to_string()], |row| row.get(0))?;
    Ok(hashes.collect::<Result<_, _>>()?)
}

/// Writes a cut; for `hidden` see [`write()`].
pub(super) fn write_cut(db: &Connection, cut: &Cut, hidden: Option<bool>) -> Result<(), Fault> {
    let mut cells = vec![
        cut.id.to_cell(),
        cut.jaw_set.to_cell(),
        cut.made.to_cell(),
        cut.diameter.to_cell(),
        cut.depth.to_cell(),
        cut.taper.to_cell(),
        cut.boring_pressure.to_cell(),
        cut.skimmed.to_cell(),
        cut.stock_left.to_cell(),
    ];
    cells.extend(mounting_cells(&cut.mounting));
    cells.extend([cut.notes.to_cell(), cut.changed.to_cell()]);
    write(db, "cuts", &CUT, cells, hidden)
}

/// A cut, from a row that begins with [`CUT`].
pub(super) fn cut(row: &Row<'_>) -> Result<Cut, Fault> {
    let mut cells = Cells::of(row, "cuts", &CUT);
    Ok(Cut {
        id: cells.next()?,
        jaw_set: cells.next()?,
        made: cells.next()?,
        diameter: cells.next()?,
        depth: cells.next()?,
        taper: cells.next()?,
        boring_pressure: cells.next()?,
        skimmed: cells.next()?,
        stock_left: cells.next()?,
        mounting: cells.mounting()?,
        notes: cells.next()?,
        changed: cells.next()?,
    })
}

fn check_cells(check: &FiledCheck) -> Vec<Value> {
    let mut cells = vec![
        check.id.to_cell(),
        check.cut.to_cell(),
        check.made.to_cell(),
        check.method.to_cell(),
        check.compound.to_cell(),
        check.pressure.to_cell(),
    ];
    cells.extend(mounting_cells(&check.mounting));
    cells.extend([
        check.program.to_cell(),
        check.rules.to_cell(),
        check.advice.pattern.to_cell(),
        check.advice.action.to_cell(),
        check.advice.change.to_cell(),
        check.advice.low.to_cell(),
        check.advice.high.to_cell(),
        check.advice.next_taper.to_cell(),
        check.advice.what_to_do.to_cell(),
        check.advice.why.to_cell(),
        check.done.to_cell(),
        check.changed.to_cell(),
    ]);
    cells
}

/// Writes a check with all its readings, in place of what it had; for `hidden` see [`write()`].
pub(super) fn write_check(
    db: &Connection,
    jaw_set: Id,
    check: &FiledCheck,
    hidden: Option<bool>,
) -> Result<(), Fault> {
    let columns = [&CHECK[..], &["jaw_set"]].concat();
    let mut cells = check_cells(check);
    cells.push(jaw_set.to_cell());
    write(db, "checks", &columns, cells, hidden)?;
    let id = check.id.to_string();
    // The details go with them.
    db.execute("DELETE FROM readings WHERE check_id = ?1", [&id])?;
    for (position, reading) in check.readings.iter().enumerate() {
        write_reading(db, &id, position, reading)?;
    }
    Ok(())
}

fn write_reading(
    db: &Connection,
    check: &str,
    position: usize,
    reading: &FiledReading,
) -> Result<(), Fault> {
    let sql = format!(
        "INSERT INTO readings (check_id, position, {}) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        listed(&READING, "")
    );
    let seen = reading.seen.as_ref();
    let cells = [
        Value::Text(check.to_owned()),
        position.to_cell(),
        reading.sha256.to_cell(),
        reading.file.to_cell(),
        reading.taken.to_cell(),
        reading.pattern.to_cell(),
        reading.confidence.to_cell(),
        reading.refusal.to_cell(),
        seen.map(|s| s.open_end).to_cell(),
        seen.map(|s| s.open_fraction).to_cell(),
        seen.map(|s| s.sd).to_cell(),
        reading.phone.to_cell(),
    ];
    db.execute(&sql, params_from_iter(cells))?;
    db.execute(
        "INSERT INTO reading_details (check_id, sha256, detail) VALUES (?1, ?2, ?3)",
        params![check, reading.sha256, reading.detail.to_string()],
    )?;
    Ok(())
}

/// A check without its readings, from a row that begins with [`CHECK`].
pub(super) fn check(row: &Row<'_>) -> Result<FiledCheck, Fault> {
    let mut cells = Cells::of(row, "checks", &CHECK);
    Ok(FiledCheck {
        id: cells.next()?,
        cut: cells.next()?,
        made: cells.next()?,
        method: cells.next()?,
        compound: cells.next()?,
        pressure: cells.next()?,
        mounting: cells.mounting()?,
        readings: Vec::new(),
        program: cells.next()?,
        rules: cells.next()?,
        advice: FiledAdvice {
            pattern: cells.next()?,
            action: cells.next()?,
            change: cells.next()?,
            low: cells.next()?,
            high: cells.next()?,
            next_taper: cells.next()?,
            what_to_do: cells.next()?,
            why: cells.next()?,
        },
        done: cells.next()?,
        changed: cells.next()?,
    })
}

/// A reading, from a row that begins with [`READING`]; `detail` is what it was given as JSON.
pub(super) fn reading(row: &Row<'_>, detail: Option<&str>) -> Result<FiledReading, Fault> {
    let mut cells = Cells::of(row, "readings", &READING);
    Ok(FiledReading {
        sha256: cells.next()?,
        file: cells.next()?,
        taken: cells.next()?,
        pattern: cells.next()?,
        confidence: cells.next()?,
        refusal: cells.next()?,
        seen: seen(&mut cells)?,
        phone: cells.next()?,
        detail: detail.map(json).transpose()?.unwrap_or_default(),
    })
}

fn seen(cells: &mut Cells<'_>) -> Result<Option<Seen>, Fault> {
    let (open_end, open_fraction, sd) = (cells.next()?, cells.next()?, cells.next()?);
    // All three or none, as they are written.
    let (Some(open_end), Some(open_fraction), Some(sd)) = (open_end, open_fraction, sd) else {
        return Ok(None);
    };
    Ok(Some(Seen {
        open_end,
        open_fraction,
        sd,
    }))
}

fn json(text: &str) -> Result<serde_json::Value, Fault> {
    serde_json::from_str(text).map_err(|_| unreadable("reading_details", "detail", text))
}
