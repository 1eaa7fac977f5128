//! Whether everything that the archive should hold is there, byte for byte.

use std::collections::BTreeSet;
use std::path::Path;

use rusqlite::Connection;

use super::error::Fault;
use super::{Archive, ArchiveError, calls, prove};

/// Something that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Damage {
    /// In the database, as SQLite says it.
    Database(String),
    /// A photo that is missing or no longer what was filed.
    Photo(String),
    /// A check that has no readings, or a reading without its detail; its id.
    Check(String),
}

impl Archive {
    /// Looks at every page, record and photo. Takes as long as reading all of it takes.
    ///
    /// # Errors
    /// Where the archive cannot be read at all.
    pub fn verify(&self) -> Result<Vec<Damage>, ArchiveError> {
        let (mut damage, photos) = self.read(|db| Ok((in_database(db)?, photos(db)?)))?;
        for hash in photos {
            if !self.photos.holds(&hash).unwrap_or(false) {
                damage.push(Damage::Photo(hash));
            }
        }
        Ok(damage)
    }
}

fn texts(db: &Connection, sql: &str) -> Result<Vec<String>, Fault> {
    let mut statement = db.prepare(sql)?;
    let texts = statement.query_map([], |row| row.get(0))?;
    Ok(texts.collect::<Result<_, _>>()?)
}

fn in_database(db: &Connection) -> Result<Vec<Damage>, Fault> {
    let mut told = texts(db, "PRAGMA integrity_check")?;
    told.retain(|line| line != "ok");
    // A broken reference, as the table it is in.
    told.extend(texts(
        db,
        "SELECT 'a row of ' || \"table\" || ' refers to nothing' FROM pragma_foreign_key_check",
    )?);
    let understood = [
        calls::calls(db, "1", []).err(),
        prove::all(db).err(),
        prove::advised(db, "1", None).err(),
    ];
    let not_understood = understood.into_iter().flatten();
    told.extend(not_understood.map(|fault| fault.about(Path::new("")).to_string()));
    let partial = texts(
        db,
        "SELECT id FROM checks WHERE id NOT IN (SELECT check_id FROM readings)
         UNION SELECT r.check_id FROM readings AS r LEFT JOIN reading_details AS d
            ON d.check_id = r.check_id AND d.sha256 = r.sha256 WHERE d.detail IS NULL",
    )?;
    let database = told.into_iter().map(Damage::Database);
    Ok(database
        .chain(partial.into_iter().map(Damage::Check))
        .collect())
}

/// Every photo that a record speaks of, hidden ones too.
pub(super) fn photos(db: &Connection) -> Result<BTreeSet<String>, Fault> {
    let sql = "SELECT sha256 FROM readings UNION SELECT sha256 FROM jaw_set_photos";
    Ok(texts(db, sql)?.into_iter().collect())
}
