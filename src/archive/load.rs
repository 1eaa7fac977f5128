//! Rows → records, whole and in order.

use std::collections::HashMap;

use rusqlite::{Connection, Params, Row};

use super::columns::listed;
use super::error::{ArchiveError, Fault, unreadable};
use super::rows::{self, CHECK, CUT, JAW_SET, READING};
use crate::taper::records::{Cut, CutTimeline, FiledCheck, FiledReading, Id, JawSet, Timeline};
use crate::text::outside::echo;

/// Whether each reading comes with its `detail`, which is most of the archive's size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Details {
    /// As filed.
    Whole,
    /// `detail` is null: for lists and for learning.
    LeftOut,
}

/// A record, and whether it is hidden.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept<T> {
    /// The record.
    pub record: T,
    /// True after deleting it.
    pub hidden: bool,
}

/// A check, and the set whose it is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct KeptCheck {
    pub(super) jaw_set: Id,
    pub(super) check: FiledCheck,
    pub(super) hidden: bool,
}

/// Rows through `of`, in order.
pub(super) fn rows<T, P: Params>(
    db: &Connection,
    sql: &str,
    params: P,
    mut of: impl FnMut(&Row<'_>) -> Result<T, Fault>,
) -> Result<Vec<T>, Fault> {
    let mut statement = db.prepare(sql)?;
    let mut rows = statement.query(params)?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        all.push(of(row)?);
    }
    Ok(all)
}

/// Jaw sets by name; `clause` says which.
pub(super) fn jaw_sets<P: Params>(
    db: &Connection,
    clause: &str,
    params: P,
) -> Result<Vec<Kept<JawSet>>, Fault> {
    let sql = format!(
        "SELECT {}, hidden FROM jaw_sets WHERE {clause} ORDER BY name_key, id",
        listed(&JAW_SET, "")
    );
    let mut sets = rows(db, &sql, params, |row| {
        Ok(Kept {
            record: rows::jaw_set(row)?,
            hidden: row.get(JAW_SET.len())?,
        })
    })?;
    for set in &mut sets {
        set.record.photos = rows::photos_of(db, set.record.id)?;
    }
    Ok(sets)
}

/// Cuts, oldest first; `clause` says which.
pub(super) fn cuts<P: Params>(
    db: &Connection,
    clause: &str,
    params: P,
) -> Result<Vec<Kept<Cut>>, Fault> {
    rows(db, &cuts_query(clause), params, |row| {
        Ok(Kept {
            record: rows::cut(row)?,
            hidden: row.get(CUT.len())?,
        })
    })
}

/// Checks, oldest first; `clause` says which, about the alias `k`.
pub(super) fn checks<P: Params + Clone>(
    db: &Connection,
    clause: &str,
    params: P,
    details: Details,
) -> Result<Vec<KeptCheck>, Fault> {
    let mut checks = rows(db, &checks_query(clause), params.clone(), |row| {
        let jaw_set: String = row.get(CHECK.len())?;
        Ok(KeptCheck {
            jaw_set: id(&jaw_set, "checks", "jaw_set")?,
            check: rows::check(row)?,
            hidden: row.get(CHECK.len() + 1)?,
        })
    })?;
    let at: HashMap<String, usize> = checks
        .iter()
        .enumerate()
        // By the cell's text, so that no id is parsed for each reading.
        .map(|(index, kept)| (kept.check.id.to_string(), index))
        .collect();
    // One more query with the same parameters, not one for each check.
    each_reading(db, clause, params, details, |check, reading| {
        if let Some(index) = at.get(check) {
            checks[*index].check.readings.push(reading);
        }
    })?;
    Ok(checks)
}

/// The readings of the checks that `clause` says, with the check's id, in the order filed.
fn each_reading<P: Params>(
    db: &Connection,
    clause: &str,
    params: P,
    details: Details,
    mut take: impl FnMut(&str, FiledReading),
) -> Result<(), Fault> {
    let sql = readings_query(clause, details);
    let mut statement = db.prepare(&sql)?;
    let mut found = statement.query(params)?;
    while let Some(row) = found.next()? {
        let detail = row.get_ref(READING.len() + 1)?.as_str_or_null();
        let reading = rows::reading(row, detail.unwrap_or_default())?;
        let check = row.get_ref(READING.len())?.as_str();
        take(check.unwrap_or_default(), reading);
    }
    Ok(())
}

fn cuts_query(clause: &str) -> String {
    format!(
        "SELECT {}, hidden FROM cuts WHERE {clause} ORDER BY made, id",
        listed(&CUT, "")
    )
}

fn checks_query(clause: &str) -> String {
    format!(
        "SELECT {}, k.jaw_set, k.hidden FROM checks AS k WHERE {clause} ORDER BY k.made, k.id",
        listed(&CHECK, "k.")
    )
}

fn readings_query(clause: &str, details: Details) -> String {
    let (detail, join) = match details {
        Details::Whole => (
            "d.detail",
            "LEFT JOIN reading_details AS d ON d.check_id = r.check_id AND d.sha256 = r.sha256",
        ),
        Details::LeftOut => ("NULL", ""),
    };
    format!(
        "SELECT {}, r.check_id, {detail} FROM checks AS k JOIN readings AS r ON r.check_id = k.id \
         {join} WHERE {clause} ORDER BY r.check_id, r.position",
        listed(&READING, "r.")
    )
}

/// An id in a cell that no other record's cells are taken with.
pub(super) fn id(text: &str, table: &'static str, column: &'static str) -> Result<Id, Fault> {
    text.parse().map_err(|_| unreadable(table, column, text))
}

const CUTS_OF_SET: &str = "jaw_set = ?1 AND hidden = 0";
const CHECKS_OF_SET: &str = "k.jaw_set = ?1 AND k.hidden = 0";

/// Of the set `?1`, the check that holds the photo `?2`. `CROSS JOIN` keeps the order: from the photo's
/// few readings to their checks, not from all checks of the set to their readings.
pub(super) const HOLDING: &str = "k.id = (SELECT h.check_id FROM readings AS h
        CROSS JOIN checks AS o ON o.id = h.check_id CROSS JOIN cuts AS c ON c.id = o.cut
    WHERE h.sha256 = ?2 AND o.jaw_set = ?1 AND o.hidden = 0 AND c.hidden = 0)";

/// What filing and [`timeline`] ask the database, so that a test can ask how it goes about it.
#[cfg(test)]
pub(super) fn timeline_queries() -> [String; 5] {
    [
        checks_query(HOLDING),
        cuts_query(CUTS_OF_SET),
        checks_query(CHECKS_OF_SET),
        readings_query(CHECKS_OF_SET, Details::LeftOut),
        readings_query(CHECKS_OF_SET, Details::Whole),
    ]
}

pub(super) fn timeline(db: &Connection, jaw_set: Id, details: Details) -> Result<Timeline, Fault> {
    let id = jaw_set.to_string();
    let key = [id.as_str()];
    let set = jaw_sets(db, "id = ?1", key)?.pop();
    let set = set.ok_or_else(|| unknown("jaw set", &id))?;
    let cuts = cuts(db, CUTS_OF_SET, key)?;
    let checks = checks(db, CHECKS_OF_SET, key, details)?;
    Ok(Timeline {
        jaw_set: set.record,
        cuts: with_checks(cuts, checks),
    })
}

pub(super) fn unknown(what: &'static str, id: &str) -> Fault {
    Fault::from(ArchiveError::Unknown { what, id: echo(id) })
}

/// Checks of cuts that are not among `cuts`, because those are hidden, are dropped.
fn with_checks(cuts: Vec<Kept<Cut>>, checks: Vec<KeptCheck>) -> Vec<CutTimeline> {
    let mut of_cut: HashMap<Id, Vec<FiledCheck>> = HashMap::new();
    for kept in checks {
        of_cut.entry(kept.check.cut).or_default().push(kept.check);
    }
    let with_its = |cut: Kept<Cut>| CutTimeline {
        checks: of_cut.remove(&cut.record.id).unwrap_or_default(),
        cut: cut.record,
    };
    cuts.into_iter().map(with_its).collect()
}

pub(super) fn every_timeline(db: &Connection, details: Details) -> Result<Vec<Timeline>, Fault> {
    let mut cuts_of: HashMap<Id, Vec<Kept<Cut>>> = HashMap::new();
    for cut in cuts(db, "hidden = 0", [])? {
        cuts_of.entry(cut.record.jaw_set).or_default().push(cut);
    }
    let mut checks_of: HashMap<Id, Vec<KeptCheck>> = HashMap::new();
    for check in checks(db, "k.hidden = 0", [], details)? {
        checks_of.entry(check.jaw_set).or_default().push(check);
    }
    let whole = |set: Kept<JawSet>| {
        let id = set.record.id;
        let cuts = cuts_of.remove(&id).unwrap_or_default();
        let checks = checks_of.remove(&id).unwrap_or_default();
        Timeline {
            jaw_set: set.record,
            cuts: with_checks(cuts, checks),
        }
    };
    let sets = jaw_sets(db, "hidden = 0", [])?;
    Ok(sets.into_iter().map(whole).collect())
}
