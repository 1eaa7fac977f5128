//! Labels of photos: given once, never changed; of several of a kind the latest stands.

use std::collections::BTreeMap;

use jiff::civil::DateTime;
use rusqlite::{Connection, Params, Row, params_from_iter};
use serde_json::{Value, json};

use super::columns::{Cell, Cells, listed};
use super::error::{ArchiveError, Fault, unreadable};
use super::{Archive, load, people, photos, stamp};
use crate::people::labels::{Label, Labelled, standing};
use crate::people::opinion::Person;
use crate::taper::records::Id;

const LABEL: [&str; 7] = ["id", "photo", "what", "value", "person", "at", "changed"];

impl Archive {
    /// Keeps labels of photos; what stands already is not said twice.
    ///
    /// # Errors
    /// Where somebody says a pattern who is no lead.
    pub fn keep_labels(&mut self, labels: &[Label]) -> Result<(), ArchiveError> {
        self.write(|db| {
            for label in labels {
                keep(db, label)?;
            }
            Ok(())
        })
    }

    /// All labels, oldest first.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn labels(&self) -> Result<Vec<Label>, ArchiveError> {
        self.read(|db| labels(db, "1", []))
    }

    /// The labels of these photos that stand.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn labels_of(&self, photos: &[&str]) -> Result<Vec<Label>, ArchiveError> {
        self.read(|db| {
            let mut all = Vec::new();
            for photo in photos {
                let of_photo = labels(db, "photo = ?1", [photo])?;
                all.extend(standing(&of_photo).into_iter().cloned());
            }
            Ok(all)
        })
    }
}

fn keep(db: &Connection, label: &Label) -> Result<(), Fault> {
    photos::checked(&label.photo)?;
    if let (Labelled::Pattern(_), Some(by)) = (label.what, &label.by)
        && !people::rules_of(db, by)?.lead
    {
        return Err(ArchiveError::NoLead(by.to_string()).into());
    }
    let there = labels(db, "photo = ?1", [&label.photo])?;
    if standing(&there).iter().any(|l| l.what == label.what) {
        return Ok(());
    }
    // Times are kept to the second: what replaces a word said in the same one is the later all the same.
    let of_kind = there.iter().filter(|l| l.what.is_like(&label.what));
    let mut label = label.clone();
    if let Some(latest) = of_kind.map(|l| l.at).max() {
        label.at = stamp(label.at, latest);
    }
    insert(db, &label)
}

/// Oldest first; `clause` says which.
pub(super) fn labels<P: Params>(
    db: &Connection,
    clause: &str,
    params: P,
) -> Result<Vec<Label>, Fault> {
    let columns = listed(&LABEL, "");
    let sql = format!("SELECT {columns} FROM labels WHERE {clause} ORDER BY at, id");
    load::rows(db, &sql, params, label)
}

fn insert(db: &Connection, label: &Label) -> Result<(), Fault> {
    // Nothing in it fails to serialise: no maps with keys that are no texts.
    let what = serde_json::to_value(label.what).unwrap_or_default();
    let cells = [
        label.id.to_cell(),
        label.photo.to_cell(),
        what["what"].as_str().map(str::to_owned).to_cell(),
        what["value"].to_string().to_cell(),
        label.by.to_cell(),
        label.at.to_cell(),
        label.changed.to_cell(),
    ];
    let sql = format!(
        "INSERT INTO labels ({}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        listed(&LABEL, "")
    );
    db.execute(&sql, params_from_iter(cells))?;
    Ok(())
}

/// Whose it is, which erasing changes.
fn update(db: &Connection, label: &Label) -> Result<(), Fault> {
    let cells = [
        label.id.to_cell(),
        label.by.to_cell(),
        label.changed.to_cell(),
    ];
    let sql = "UPDATE labels SET person = ?2, changed = ?3 WHERE id = ?1";
    db.execute(sql, params_from_iter(cells))?;
    Ok(())
}

/// Puts the number in place of the person; how many labels they gave.
pub(super) fn erase(
    db: &Connection,
    whom: &Person,
    number: &Person,
    now: DateTime,
) -> Result<usize, Fault> {
    let given = labels(db, "person = ?1", [whom.to_string()])?;
    let count = given.len();
    for mut label in given {
        label.by = Some(number.clone());
        label.changed = stamp(now, label.changed);
        update(db, &label)?;
    }
    Ok(count)
}

/// Takes in another archive's labels; of two versions of one the later stands.
pub(super) fn merge(db: &Connection, theirs: &[Label]) -> Result<usize, Fault> {
    let ours = labels(db, "1", [])?;
    let ours: BTreeMap<Id, &Label> = ours.iter().map(|l| (l.id, l)).collect();
    let mut taken = 0;
    for their in theirs {
        match ours.get(&their.id) {
            None => insert(db, their)?,
            Some(our) if (their.changed, &their.by) > (our.changed, &our.by) => update(db, their)?,
            Some(_) => continue,
        }
        taken += 1;
    }
    Ok(taken)
}

fn label(row: &Row<'_>) -> Result<Label, Fault> {
    let mut cells = Cells::of(row, "labels", &LABEL);
    let (id, photo) = (cells.next()?, cells.next()?);
    let (what, value): (String, String) = (cells.next()?, cells.next()?);
    Ok(Label {
        id,
        photo,
        what: labelled(&what, &value).ok_or_else(|| unreadable("labels", "value", &value))?,
        by: cells.next()?,
        at: cells.next()?,
        changed: cells.next()?,
    })
}

fn labelled(what: &str, value: &str) -> Option<Labelled> {
    let value: Value = serde_json::from_str(value).ok()?;
    serde_json::from_value(json!({"what": what, "value": value})).ok()
}
