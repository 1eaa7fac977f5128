//! The people who call: what holds for each, who may see whose record, and erasing.

use jiff::civil::DateTime;
use rusqlite::{Connection, OptionalExtension, params};

use super::columns::Cells;
use super::error::{ArchiveError, Fault, unreadable};
use super::{Archive, load, stamp};
use crate::people::opinion::Person;
use crate::people::records::{PersonRules, Sight};
use crate::taper::records::Id;

const PERSON: [&str; 4] = ["person", "call_first", "lead", "changed"];
/// In the table of settings.
const SIGHT: &str = "see_others";
/// Before anything was set; every change is later.
const NEVER: DateTime = DateTime::ZERO;

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
    /// Everybody of whom something is kept, erased ones left out.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn people(&self) -> Result<Vec<PersonRules>, ArchiveError> {
        self.read(|db| {
            let mut statement = db.prepare(
                "SELECT person FROM people UNION SELECT person FROM calls ORDER BY person",
            )?;
            let found = statement.query_map([], |row| row.get::<_, String>(0))?;
            let mut all = Vec::new();
            for text in found {
                let person = person(&text?)?;
                if !person.is_erased() {
                    all.push(rules_of(db, &person)?);
                }
            }
            Ok(all)
        })
    }

    /// What holds for a person; nothing of it where nothing was set.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn person_rules(&self, of: &Person) -> Result<PersonRules, ArchiveError> {
        self.read(|db| rules_of(db, of))
    }

    /// Whether anybody has to call before a reading is shown.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn anybody_calls_first(&self) -> Result<bool, ArchiveError> {
        self.read(|db| Ok(all(db, None)?.iter().any(|p| p.call_first)))
    }

    /// Changes what holds for a person, as it stands at this moment.
    ///
    /// # Errors
    /// Where the archive cannot be written.
    pub fn edit_person(
        &mut self,
        of: &Person,
        now: DateTime,
        edit: impl FnOnce(&mut PersonRules),
    ) -> Result<PersonRules, ArchiveError> {
        self.write(|db| {
            let mut rules = rules_of(db, of)?;
            let before = rules.changed;
            edit(&mut rules);
            rules.person = of.clone();
            rules.changed = stamp(now, before);
            write(db, &rules)?;
            Ok(rules)
        })
    }

    /// Who may see other people's records.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn sight(&self) -> Result<Sight, ArchiveError> {
        self.read(|db| Ok(sight(db)?.0))
    }

    /// Sets who may see other people's records.
    ///
    /// # Errors
    /// Where the archive cannot be written.
    pub fn set_sight(&mut self, to: Sight, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| {
            let changed = stamp(now, sight(db)?.1);
            write_sight(db, to, changed)
        })
    }

    /// Whether `asks` may see the record of `whose`.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn may_see(&self, asks: &Person, whose: &Person) -> Result<bool, ArchiveError> {
        self.read(|db| {
            let lead = rules_of(db, asks)?.lead;
            Ok(sight(db)?.0.allows(asks, lead, whose))
        })
    }

    /// Puts a random number in place of a person's initials, in all calls and rulings, and forgets what was
    /// set for them. The calls stay, and stay together. What is overwritten leaves no trace in the
    /// database's file.
    ///
    /// # Errors
    /// Where nothing is kept of the person, or the archive cannot be written.
    pub fn erase(&mut self, whom: &Person, now: DateTime) -> Result<Erased, ArchiveError> {
        let random = Id::random().map_err(|e| ArchiveError::NoRandomNumbers(e.to_string()))?;
        self.writable()?;
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

fn person(text: &str) -> Result<Person, Fault> {
    text.parse()
        .map_err(|_| unreadable("calls or people", "person", text))
}

pub(super) fn rules_of(db: &Connection, of: &Person) -> Result<PersonRules, Fault> {
    let found = all(db, Some(of))?.pop();
    Ok(found.unwrap_or_else(|| PersonRules {
        person: of.clone(),
        call_first: false,
        lead: false,
        changed: NEVER,
    }))
}

/// What was set, of one person or of all.
pub(super) fn all(db: &Connection, of: Option<&Person>) -> Result<Vec<PersonRules>, Fault> {
    let sql = "SELECT person, call_first, lead, changed FROM people
         WHERE ?1 IS NULL OR person = ?1 ORDER BY person";
    load::rows(db, sql, [of.map(ToString::to_string)], |row| {
        let mut cells = Cells::of(row, "people", &PERSON);
        Ok(PersonRules {
            person: cells.next()?,
            call_first: cells.next()?,
            lead: cells.next()?,
            changed: cells.next()?,
        })
    })
}

pub(super) fn write(db: &Connection, rules: &PersonRules) -> Result<(), Fault> {
    db.execute(
        "INSERT OR REPLACE INTO people (person, call_first, lead, changed) VALUES (?1, ?2, ?3, ?4)",
        params![
            rules.person.to_string(),
            rules.call_first,
            rules.lead,
            rules.changed.to_string()
        ],
    )?;
    Ok(())
}

/// With when it was set.
pub(super) fn sight(db: &Connection) -> Result<(Sight, DateTime), Fault> {
    let mut statement = db.prepare("SELECT value, changed FROM settings WHERE name = ?1")?;
    let mut rows = statement.query([SIGHT])?;
    let Some(row) = rows.next()? else {
        return Ok((Sight::default(), NEVER));
    };
    let mut cells = Cells::of(row, "settings", &["value", "changed"]);
    Ok((cells.next()?, cells.next()?))
}

pub(super) fn write_sight(db: &Connection, to: Sight, changed: DateTime) -> Result<(), Fault> {
    db.execute(
        "INSERT OR REPLACE INTO settings (name, value, changed) VALUES (?1, ?2, ?3)",
        params![SIGHT, super::columns::word(&to), changed.to_string()],
    )?;
    Ok(())
}

fn erase(db: &Connection, whom: &Person, random: Id, now: DateTime) -> Result<Erased, Fault> {
    let number = free_number(db, random)?;
    let key = whom.to_string();
    let kept = super::calls::calls(db, "c.person = ?1", [&key])?;
    let forgotten = db.execute("DELETE FROM people WHERE person = ?1", [&key])?;
    if kept.is_empty() && forgotten == 0 {
        return Err(super::load::unknown("person", &key));
    }
    for mut call in kept.clone() {
        call.record.call.by = number.clone();
        call.record.changed = stamp(now, call.record.changed);
        super::calls::update(db, &call.record, call.hidden)?;
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
        let sql = "SELECT 1 FROM calls WHERE person = ?1 LIMIT 1";
        let taken = db.query_row(sql, [person.to_string()], |_| Ok(()));
        if taken.optional()?.is_none() {
            return Ok(person);
        }
        number = number.wrapping_add(1);
    }
}
