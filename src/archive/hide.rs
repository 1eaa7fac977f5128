//! Deleting only hides, and can be taken back.

use jiff::civil::DateTime;
use rusqlite::{Connection, OptionalExtension, params};

use super::error::{ArchiveError, Fault};
use super::{Archive, load, sets, stamp};
use crate::taper::records::Id;

impl Archive {
    /// Hides a jaw set, and its cuts and checks with it; its name is free again.
    ///
    /// # Errors
    /// Where there is no such set.
    pub fn hide_jaw_set(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| set_hidden(db, ("jaw set", "jaw_sets"), id, true, now))
    }

    /// Shows a hidden jaw set again.
    ///
    /// # Errors
    /// Where there is no such set, or another one has taken its name.
    pub fn unhide_jaw_set(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| {
            let set = sets::kept_jaw_set(db, id)?.record;
            sets::name_is_free(db, &set.name, id)?;
            set_hidden(db, ("jaw set", "jaw_sets"), id, false, now)
        })
    }

    /// Hides a cut, and its checks with it.
    ///
    /// # Errors
    /// Where there is no such cut.
    pub fn hide_cut(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| set_hidden(db, ("cut", "cuts"), id, true, now))
    }

    /// Shows a hidden cut again.
    ///
    /// # Errors
    /// Where there is no such cut, or a photo of its checks has been filed again since.
    pub fn unhide_cut(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| {
            // Shown first and looked at then: an error takes it back with the transaction.
            set_hidden(db, ("cut", "cuts"), id, false, now)?;
            nothing_twice(db, sets::kept_cut(db, id)?.record.jaw_set)
        })
    }

    /// Hides a check. Its photos may be filed again.
    ///
    /// # Errors
    /// Where there is no such check.
    pub fn hide_check(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| set_hidden(db, ("check", "checks"), id, true, now))
    }

    /// Shows a hidden check again.
    ///
    /// # Errors
    /// Where there is no such check, or one of its photos has been filed again since.
    pub fn unhide_check(&mut self, id: Id, now: DateTime) -> Result<(), ArchiveError> {
        self.write(|db| {
            // As for a cut.
            set_hidden(db, ("check", "checks"), id, false, now)?;
            let key = [id.to_string()];
            let sql = "SELECT jaw_set FROM checks WHERE id = ?1";
            let set: String = db.query_row(sql, key, |row| row.get(0))?;
            nothing_twice(db, load::id(&set, "checks", "jaw_set")?)
        })
    }
}

/// `what` a record is called, and its table. One that is so already is left as it is.
pub(super) fn set_hidden(
    db: &Connection,
    (what, table): (&'static str, &'static str),
    id: Id,
    hide: bool,
    now: DateTime,
) -> Result<(), Fault> {
    let key = id.to_string();
    let sql = format!("SELECT hidden, changed FROM {table} WHERE id = ?1");
    let found: Option<(bool, String)> = db
        .query_row(&sql, [&key], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let (hidden, changed) = found.ok_or_else(|| load::unknown(what, &key))?;
    if hidden == hide {
        return Ok(());
    }
    // Later than what it changes, so that hiding stands when archives are merged.
    let changed = stamp(now, changed.parse().unwrap_or(now));
    let sql = format!("UPDATE {table} SET hidden = ?2, changed = ?3 WHERE id = ?1");
    db.execute(&sql, params![key, hide, changed.to_string()])?;
    Ok(())
}

/// # Errors
/// Where two checks of the set, neither hidden, hold the same photo.
fn nothing_twice(db: &Connection, jaw_set: Id) -> Result<(), Fault> {
    let Some((file, first, second)) = photo_twice(db, jaw_set)? else {
        return Ok(());
    };
    Err(ArchiveError::FiledTwice {
        file,
        first,
        second,
    }
    .into())
}

/// A photo's name and the two checks that hold it, the smaller id first.
pub(super) fn photo_twice(db: &Connection, jaw_set: Id) -> Result<Option<(String, Id, Id)>, Fault> {
    let sql = "WITH shown AS (SELECT r.sha256, r.file, k.id FROM checks AS k
            JOIN cuts AS c ON c.id = k.cut JOIN readings AS r ON r.check_id = k.id
            WHERE k.jaw_set = ?1 AND k.hidden = 0 AND c.hidden = 0)
        SELECT a.file, a.id, b.id FROM shown AS a JOIN shown AS b ON a.sha256 = b.sha256
        WHERE a.id < b.id ORDER BY a.id, b.id LIMIT 1";
    let found: Option<(String, String, String)> = db
        .query_row(sql, [jaw_set.to_string()], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?))
        })
        .optional()?;
    found
        .map(|(file, first, second)| {
            let id = |text: &str| load::id(text, "checks", "id");
            Ok((file, id(&first)?, id(&second)?))
        })
        .transpose()
}
