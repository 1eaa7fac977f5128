//! The people who call: what holds for each, and who may see whose record.

use jiff::civil::DateTime;
use rusqlite::{Connection, params};

use super::columns::Cells;
use super::error::{ArchiveError, Fault, unreadable};
use super::{Archive, load, stamp};
use crate::people::opinion::Person;
use crate::people::records::{PersonRules, Sight};
use crate::text::spreadsheet::cells::word;

const PERSON: [&str; 4] = ["person", "call_first", "lead", "changed"];
/// In the table of settings.
const SIGHT: &str = "see_others";
/// In the table of settings: with which program and weights all filed photos were read again last.
const REREAD: &str = "reread_with";
/// Before anything was set; every change is later.
const NEVER: DateTime = DateTime::ZERO;

impl Archive {
    /// Everybody of whom something is kept, erased ones left out.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn people(&self) -> Result<Vec<PersonRules>, ArchiveError> {
        self.read(|db| {
            let mut statement = db.prepare(
                "SELECT person FROM people UNION SELECT person FROM calls
                 UNION SELECT person FROM labels WHERE person IS NOT NULL ORDER BY person",
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

    /// The versions that filed readings were made by, and of how many checks that can be seen each. What stands
    /// behind the plus sign is of the networks' weights.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn read_by(&self) -> Result<Vec<(String, u32)>, ArchiveError> {
        let sql = "SELECT k.program, count(*) FROM checks AS k JOIN cuts AS c ON c.id = k.cut
             JOIN jaw_sets AS s ON s.id = k.jaw_set
             WHERE k.hidden = 0 AND c.hidden = 0 AND s.hidden = 0 GROUP BY k.program ORDER BY k.program";
        self.read(|db| load::rows(db, sql, [], |row| Ok((row.get(0)?, row.get(1)?))))
    }

    /// With which version all filed photos were read again last.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn reread_with(&self) -> Result<Option<String>, ArchiveError> {
        let sql = "SELECT value FROM settings WHERE name = ?1";
        self.read(|db| Ok(load::rows(db, sql, [REREAD], |row| Ok(row.get(0)?))?.pop()))
    }

    /// Notes that all filed photos were read again with this version.
    ///
    /// # Errors
    /// Where the archive cannot be written.
    pub fn note_reread(&mut self, version: &str, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| write_setting(db, REREAD, version, now))
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
    write_setting(db, SIGHT, &word(&to), changed)
}

fn write_setting(db: &Connection, name: &str, value: &str, changed: DateTime) -> Result<(), Fault> {
    db.execute(
        "INSERT OR REPLACE INTO settings (name, value, changed) VALUES (?1, ?2, ?3)",
        params![name, value, changed.to_string()],
    )?;
    Ok(())
}
