//! Everything as one JSON value.

use std::collections::HashMap;

use rusqlite::Connection;
use serde::Serialize;
use serde_json::{Value, json};

use super::super::error::Fault;
use super::super::load::{self, Details};
use super::super::{Archive, ArchiveError, calls, labels, people, prove};
use super::SCHEMA;
use crate::people::prove::ProveOut;
use crate::people::records::FiledCall;
use crate::taper::records::Id;
use crate::units::PerSide;

impl Archive {
    /// `{"schema": 1, "program": "…", "jaw_sets": [{…, "hidden": false, "cuts": [{…, "hidden": false,
    /// "checks": [{…, "hidden": false, "readings": […]}]}]}], "calls": [{…, "hidden": false}], "people": […],
    /// "see_others": "leads", "prove_outs": [{…, "advised": […]}], "labels": […]}`, the fields of the records beside them. What a
    /// prove-out keeps back is not in it: `advised` is null there.
    ///
    /// Lengths and pressures are exact texts with their unit. Tapers and changes are per side; beside each
    /// stands `…_stated`, labelled per side and on the diameter, in thousandths of an inch and in mm.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn export_json(&self) -> Result<Value, ArchiveError> {
        self.read(export)
    }
}

fn export(db: &Connection) -> Result<Value, Fault> {
    let mut checks_of: HashMap<Id, Vec<Value>> = HashMap::new();
    for kept in load::checks(db, "1", [], Details::Whole)? {
        let mut check = value(&kept.check, kept.hidden);
        let advice = &kept.check.advice;
        let tapers = [
            ("change_stated", advice.change),
            ("low_stated", advice.low),
            ("high_stated", advice.high),
            ("next_taper_stated", advice.next_taper),
        ];
        for (name, taper) in tapers {
            check["advice"][name] = stated(taper);
        }
        checks_of.entry(kept.check.cut).or_default().push(check);
    }
    let mut cuts_of: HashMap<Id, Vec<Value>> = HashMap::new();
    for kept in load::cuts(db, "1", [])? {
        let mut cut = value(&kept.record, kept.hidden);
        cut["taper_stated"] = stated(kept.record.taper);
        cut["checks"] = checks_of.remove(&kept.record.id).unwrap_or_default().into();
        cuts_of.entry(kept.record.jaw_set).or_default().push(cut);
    }
    let whole = |kept: load::Kept<crate::taper::records::JawSet>| {
        let mut set = value(&kept.record, kept.hidden);
        set["cuts"] = cuts_of.remove(&kept.record.id).unwrap_or_default().into();
        set
    };
    let sets: Vec<Value> = load::jaw_sets(db, "1", [])?
        .into_iter()
        .map(whole)
        .collect();
    let program = concat!("seepline ", env!("CARGO_PKG_VERSION"));
    let called = |kept: load::Kept<FiledCall>| {
        let mut call = value(&kept.record, kept.hidden);
        call["change_stated"] = stated(kept.record.call.change.per_side());
        call
    };
    let calls: Vec<Value> = calls::calls(db, "1", [])?.into_iter().map(called).collect();
    Ok(json!({
        "schema": SCHEMA,
        "program": program,
        "jaw_sets": sets,
        "calls": calls,
        "people": people::all(db, None)?,
        "see_others": people::sight(db)?.0,
        "prove_outs": prove_outs(db)?,
        "labels": labels::labels(db, "1", [])?,
    }))
}

fn prove_outs(db: &Connection) -> Result<Vec<Value>, Fault> {
    let with_answers = |one: ProveOut| {
        let mut all = serde_json::to_value(&one).unwrap_or_default();
        let kept_back = one.plan.held && !one.is_fulfilled();
        if !kept_back {
            // Of a check whose change was kept back it stays so: should its proof fall, it is kept back again.
            let said = "a.prove_out = ?1 AND a.check_id NOT IN (SELECT id FROM checks WHERE action = 'held')";
            let advised = prove::advised(db, said, Some(one.id))?;
            all["advised"] = serde_json::to_value(advised).unwrap_or_default();
        }
        Ok(all)
    };
    prove::all(db)?.into_iter().map(with_answers).collect()
}

fn value(record: &impl Serialize, hidden: bool) -> Value {
    // Nothing in a record fails to serialise: no maps with keys that are no texts.
    let mut value = serde_json::to_value(record).unwrap_or_default();
    value["hidden"] = hidden.into();
    value
}

/// Both ways of stating it, in both units.
fn stated(taper: Option<PerSide>) -> Value {
    let Some(taper) = taper else {
        return Value::Null;
    };
    let both = taper.on_diameter();
    json!({
        "per_side_thou": taper.thou(),
        "on_diameter_thou": both.thou(),
        "per_side_mm": taper.millimetres(),
        "on_diameter_mm": both.millimetres(),
    })
}
