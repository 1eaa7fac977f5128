//! Calls: filed once, never changed, counted while their check is shown.

use jiff::civil::DateTime;
use rusqlite::types::Value;
use rusqlite::{Connection, Params, Row, params, params_from_iter};

use super::columns::{Cell, Cells, listed};
use super::error::{ArchiveError, Fault, unreadable};
use super::load::{self, Details, Kept};
use super::{Archive, people, prove, sets, stamp};
use crate::people::opinion::{self, Call, Outcomes, Person, Truth, rulings};
use crate::people::records::{CallKind, CallRow, FiledCall, Item, Told};
use crate::taper::records::Id;
use crate::taper::rules::EstimateRules;

const CALL: [&str; 12] = [
    "id", "kind", "check_id", "photo", "session", "pattern", "change", "person", "at", "revealed",
    "told", "changed",
];

/// Calls that can be seen: not hidden, nor their check, its cut or its set.
const SHOWN: &str = "c.hidden = 0 AND (c.check_id IS NULL OR EXISTS (SELECT 1 FROM checks AS k
    JOIN cuts AS o ON o.id = k.cut JOIN jaw_sets AS s ON s.id = k.jaw_set
    WHERE k.id = c.check_id AND k.hidden = 0 AND o.hidden = 0 AND s.hidden = 0))";

impl Archive {
    /// Files a call as it was made. It stands: there is no way to change it. One that a lead makes at a check
    /// counts as a ruling in the prove-out that stands, since it is made before the reading is shown.
    ///
    /// # Errors
    /// Where its check does not exist or is deleted, where the person has called that check already, and
    /// where somebody rules who is no lead.
    pub fn file_call(&mut self, call: &FiledCall) -> Result<(), ArchiveError> {
        self.write(|db| {
            may_be_filed(db, call)?;
            let mut call = call.clone();
            if call.kind == CallKind::Check {
                call.session = prove::blind_ruling(db, &call.call.by)?;
            }
            insert(db, &call, false)
        })
    }

    /// Files answers of practice that were given away from the archive, each once: how many are new, and how many were here already,
    /// whoever they are of by now.
    ///
    /// # Errors
    /// Where the archive cannot be written; nothing is filed then.
    pub fn file_practice(&mut self, answers: &[FiledCall]) -> Result<[usize; 2], ArchiveError> {
        self.write(|db| {
            let mut counts = [0; 2];
            for answer in answers {
                let here = !calls(db, "c.id = ?1", [answer.id.to_string()])?.is_empty();
                if !here {
                    insert(db, answer, false)?;
                }
                counts[usize::from(here)] += 1;
            }
            Ok(counts)
        })
    }

    /// What the person called at the check before its reading was shown.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn call_on(&self, check: Id, person: &Person) -> Result<Option<FiledCall>, ArchiveError> {
        self.read(|db| first_call(db, check, person))
    }

    /// Whether a call is there, and neither it nor its check is hidden.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn holds_call(&self, id: Id) -> Result<bool, ArchiveError> {
        let clause = format!("c.id = ?1 AND {SHOWN}");
        self.read(|db| Ok(!calls(db, &clause, [id.to_string()])?.is_empty()))
    }

    /// What the person called at the check of the jaw set that holds any of these photos.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn call_with(
        &self,
        set: Id,
        hashes: &[&str],
        person: &Person,
    ) -> Result<Option<FiledCall>, ArchiveError> {
        match self.filed_with(set, hashes)? {
            Some(check) => self.call_on(check.id, person),
            None => Ok(None),
        }
    }

    /// What was right about a check of the jaw set, as far as it is known.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn right(
        &self,
        check: Id,
        set: Id,
        rules: &EstimateRules,
    ) -> Result<Option<Truth>, ArchiveError> {
        let timeline = self.timeline(set, Details::LeftOut)?;
        let calls = self.calls_on(check)?;
        let said = rulings(&calls).get(&check).copied();
        Ok(Outcomes::of(&timeline, rules).truth(check, said))
    }

    /// All calls and rulings on a check, oldest first.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn calls_on(&self, check: Id) -> Result<Vec<FiledCall>, ArchiveError> {
        let clause = format!("c.check_id = ?1 AND {SHOWN}");
        self.read(|db| Ok(records(calls(db, &clause, [check.to_string()])?)))
    }

    /// All calls and rulings of a person, oldest first.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn calls_by(&self, person: &Person) -> Result<Vec<FiledCall>, ArchiveError> {
        let clause = format!("c.person = ?1 AND {SHOWN}");
        self.read(|db| Ok(records(calls(db, &clause, [person.to_string()])?)))
    }

    /// All calls and rulings, oldest first, but for those of deleted checks.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn calls(&self) -> Result<Vec<FiledCall>, ArchiveError> {
        self.read(|db| Ok(records(calls(db, SHOWN, [])?)))
    }

    /// All calls as the statistics take them, with what was right.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn call_rows(&self, rules: &EstimateRules) -> Result<Vec<CallRow>, ArchiveError> {
        let (calls, timelines) = self.read(|db| {
            let timelines = load::every_timeline(db, Details::LeftOut)?;
            Ok((records(calls(db, SHOWN, [])?), timelines))
        })?;
        Ok(opinion::rows(&calls, &timelines, rules))
    }
}

fn records(kept: Vec<Kept<FiledCall>>) -> Vec<FiledCall> {
    kept.into_iter().map(|k| k.record).collect()
}

fn may_be_filed(db: &Connection, call: &FiledCall) -> Result<(), Fault> {
    if let Item::Check(check) = call.item {
        if sets::hidden(db, "checks", check)? != Some(false) {
            return Err(load::unknown("check", &check.to_string()));
        }
        // Only what `calls_once` in the layout refuses, too; rulings may follow each other.
        let first = match call.kind {
            CallKind::Check => first_call(db, check, &call.call.by)?,
            _ => None,
        };
        if let Some(first) = first {
            return Err(called_already(&first.call).into());
        }
    }
    if call.kind == CallKind::Ruling && !people::rules_of(db, &call.call.by)?.lead {
        return Err(ArchiveError::NoLead(call.call.by.to_string()).into());
    }
    Ok(())
}

/// A check is called once; the first call is said.
pub(crate) fn called_already(first: &Call) -> ArchiveError {
    ArchiveError::CalledAlready {
        first: first.in_words(),
        at: first.at,
    }
}

fn first_call(db: &Connection, check: Id, person: &Person) -> Result<Option<FiledCall>, Fault> {
    let clause = "c.check_id = ?1 AND c.person = ?2 AND c.kind = 'check' AND c.hidden = 0";
    let found = calls(db, clause, [check.to_string(), person.to_string()])?.pop();
    Ok(found.map(|k| k.record))
}

/// Calls, oldest first; `clause` says which, about the alias `c`.
pub(super) fn calls<P: Params>(
    db: &Connection,
    clause: &str,
    params: P,
) -> Result<Vec<Kept<FiledCall>>, Fault> {
    let sql = format!(
        "SELECT {}, c.hidden FROM calls AS c WHERE {clause} ORDER BY c.at, c.id",
        listed(&CALL, "c.")
    );
    load::rows(db, &sql, params, |row| {
        Ok(Kept {
            record: call(row)?,
            hidden: row.get(CALL.len())?,
        })
    })
}

/// A call that is not here yet.
pub(super) fn insert(db: &Connection, filed: &FiledCall, hidden: bool) -> Result<(), Fault> {
    let (check, photo) = match &filed.item {
        Item::Check(id) => (id.to_cell(), Value::Null),
        Item::Photo(hash) => {
            super::photos::checked(hash)?;
            (Value::Null, hash.to_cell())
        }
    };
    // Nothing in it fails to serialise: no maps with keys that are no texts.
    let told = filed
        .told
        .map(|t| serde_json::to_string(&t).unwrap_or_default());
    let cells = [
        filed.id.to_cell(),
        filed.kind.to_cell(),
        check,
        photo,
        filed.session.to_cell(),
        filed.call.pattern.to_cell(),
        filed.call.change.to_cell(),
        filed.call.by.to_cell(),
        filed.call.at.to_cell(),
        filed.revealed.to_cell(),
        told.to_cell(),
        filed.changed.to_cell(),
        hidden.to_cell(),
    ];
    let sql = format!(
        "INSERT INTO calls ({}, hidden) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
        listed(&CALL, "")
    );
    db.execute(&sql, params_from_iter(cells))?;
    Ok(())
}

/// The calls of a check go to the one that stands in its place.
pub(super) fn follow(db: &Connection, from: Id, to: Id, now: DateTime) -> Result<(), Fault> {
    for mut call in calls(db, "c.check_id = ?1", [from.to_string()])? {
        call.record.item = Item::Check(to);
        call.record.changed = stamp(now, call.record.changed);
        update(db, &call.record, call.hidden)?;
    }
    Ok(())
}

/// What may become another about a call that is here: whose it is after erasing, the check it is of after
/// two were united, and whether it is hidden.
pub(super) fn update(db: &Connection, filed: &FiledCall, hidden: bool) -> Result<(), Fault> {
    let check = match filed.item {
        Item::Check(id) => id.to_cell(),
        Item::Photo(_) => Value::Null,
    };
    db.execute(
        "UPDATE calls SET person = ?2, check_id = ?3, hidden = ?4, changed = ?5 WHERE id = ?1",
        params![
            filed.id.to_string(),
            filed.call.by.to_string(),
            check,
            hidden,
            filed.changed.to_string()
        ],
    )?;
    Ok(())
}

fn call(row: &Row<'_>) -> Result<FiledCall, Fault> {
    let mut cells = Cells::of(row, "calls", &CALL);
    let (id, kind) = (cells.next()?, cells.next()?);
    let (check, photo): (Option<Id>, Option<String>) = (cells.next()?, cells.next()?);
    // The layout has it that one of the two is there.
    let item = check.map_or_else(|| Item::Photo(photo.unwrap_or_default()), Item::Check);
    Ok(FiledCall {
        id,
        kind,
        item,
        session: cells.next()?,
        call: Call {
            pattern: cells.next()?,
            change: cells.next()?,
            by: cells.next()?,
            at: cells.next()?,
        },
        revealed: cells.next()?,
        told: cells
            .next::<Option<String>>()?
            .map(|t| told(&t))
            .transpose()?,
        changed: cells.next()?,
    })
}

fn told(text: &str) -> Result<Told, Fault> {
    serde_json::from_str(text).map_err(|_| unreadable("calls", "told", text))
}
