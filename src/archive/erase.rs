//! Erasing a person: their calls stay, and nobody can tell whose they were.

use jiff::civil::DateTime;
use rusqlite::{Connection, OptionalExtension};

use super::error::{ArchiveError, Fault};
use super::{Archive, calls, labels, load, prove, stamp};
use crate::people::opinion::Person;
use crate::taper::records::Id;

/// What erasing a person did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Erased {
    /// Calls and rulings that stay, without the person.
    pub calls: usize,
    /// What stands there now in place of the initials.
    pub number: Person,
    /// Whether the database's log, which held the initials, could be emptied: not while something else reads
    /// the archive.
    pub log_emptied: bool,
}

impl Archive {
    /// Puts a random number in place of a person's initials, in all calls, rulings, labels and prove-outs, and forgets what was
    /// set for them. The calls stay, and stay together. What is overwritten leaves no trace in the
    /// database's file.
    ///
    /// # Errors
    /// Where nothing is kept of the person, or the archive cannot be written.
    pub fn erase(&mut self, whom: &Person, now: DateTime) -> Result<Erased, ArchiveError> {
        let random = Id::random().map_err(|e| ArchiveError::NoRandomNumbers(e.to_string()))?;
        self.writable()?;
        // Else SQLite leaves what was overwritten in free pages of the file.
        self.read_plain(|db| Ok(db.pragma_update(None, "secure_delete", true)?))?;
        let mut erased = self.write(|db| erase(db, whom, random, now))?;
        // The log still holds the pages as they were.
        erased.log_emptied = self.read_plain(|db| {
            let busy = |row: &rusqlite::Row<'_>| row.get::<_, bool>(0);
            Ok(!db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], busy)?)
        })?;
        Ok(erased)
    }
}

fn erase(db: &Connection, whom: &Person, random: Id, now: DateTime) -> Result<Erased, Fault> {
    let number = free_number(db, random)?;
    let key = whom.to_string();
    let kept = calls::calls(db, "c.person = ?1", [&key])?;
    let forgotten = db.execute("DELETE FROM people WHERE person = ?1", [&key])?;
    let proofs = prove::erase(db, whom, &number, now)? + labels::erase(db, whom, &number, now)?;
    if kept.is_empty() && forgotten == 0 && proofs == 0 {
        return Err(load::unknown("person", &key));
    }
    for mut call in kept.clone() {
        call.record.call.by = number.clone();
        call.record.changed = stamp(now, call.record.changed);
        calls::update(db, &call.record, call.hidden)?;
    }
    Ok(Erased {
        log_emptied: false,
        calls: kept.len(),
        number,
    })
}

/// A number that nobody else has.
fn free_number(db: &Connection, random: Id) -> Result<Person, Fault> {
    let digits = random.to_string();
    let mut number = u32::from_str_radix(&digits[..8], 16).unwrap_or_default();
    loop {
        let person = Person::erased(number);
        let sql = "SELECT 1 FROM calls WHERE person = ?1
            UNION SELECT 1 FROM labels WHERE person = ?1
            UNION SELECT 1 FROM prove_outs WHERE ?1 IN (person, ended_by) LIMIT 1";
        let taken = db.query_row(sql, [person.to_string()], |_| Ok(()));
        if taken.optional()?.is_none() {
            return Ok(person);
        }
        number = number.wrapping_add(1);
    }
}
