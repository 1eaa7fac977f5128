//! Adding and changing jaw sets and cuts.

use rusqlite::{Connection, OptionalExtension, params};

use super::error::{ArchiveError, Fault};
use super::load::{self, Kept};
use super::{Archive, rows};
use crate::taper::records::{Cut, Id, JawSet};
use crate::text::outside::echo;

/// Longest name, in characters: it must fit on a line and on a label.
const LONGEST_NAME: usize = 100;

impl Archive {
    /// Adds a jaw set, or writes over the one with the same id. Whether it is hidden stays as it was.
    ///
    /// # Errors
    /// Where another set that is not hidden has the name, whatever its case and spaces.
    pub fn put_jaw_set(&mut self, set: &JawSet) -> Result<(), ArchiveError> {
        self.write(|db| put_jaw_set(db, set))
    }

    /// Changes a jaw set as it stands at this moment, so that two changes at once both count. Its
    /// `changed` is `edit`'s to set. Gives the set as written.
    ///
    /// # Errors
    /// As for [`Self::put_jaw_set`], and where there is no such set.
    pub fn edit_jaw_set(
        &mut self,
        id: Id,
        edit: impl FnOnce(&mut JawSet),
    ) -> Result<JawSet, ArchiveError> {
        self.write(|db| {
            let mut set = kept_jaw_set(db, id)?.record;
            edit(&mut set);
            set.id = id;
            put_jaw_set(db, &set)?;
            Ok(set)
        })
    }

    /// Adds a cut, or writes over the one with the same id. Whether it is hidden stays as it was.
    ///
    /// # Errors
    /// Where its jaw set does not exist, or the cut is another set's.
    pub fn put_cut(&mut self, cut: &Cut) -> Result<(), ArchiveError> {
        self.write(|db| put_cut(db, cut))
    }

    /// Changes a cut as it stands at this moment; see [`Self::edit_jaw_set`].
    ///
    /// # Errors
    /// Where there is no such cut.
    pub fn edit_cut(&mut self, id: Id, edit: impl FnOnce(&mut Cut)) -> Result<Cut, ArchiveError> {
        self.write(|db| {
            let mut cut = kept_cut(db, id)?.record;
            edit(&mut cut);
            cut.id = id;
            put_cut(db, &cut)?;
            Ok(cut)
        })
    }
}

fn put_jaw_set(db: &Connection, set: &JawSet) -> Result<(), Fault> {
    check_name(&set.name)?;
    let hidden = hidden(db, "jaw_sets", set.id)?.unwrap_or(false);
    // A hidden set's name is free for others until it is shown again.
    if !hidden {
        name_is_free(db, &set.name, set.id)?;
    }
    rows::write_jaw_set(db, set, None)
}

pub(super) fn put_cut(db: &Connection, cut: &Cut) -> Result<(), Fault> {
    let set = cut.jaw_set.to_string();
    // The layout would refuse it, too, but not say what is missing.
    if hidden(db, "jaw_sets", cut.jaw_set)?.is_none() {
        return Err(load::unknown("jaw set", &set));
    }
    let before: Option<String> = db
        .query_row(
            "SELECT jaw_set FROM cuts WHERE id = ?1",
            [cut.id.to_string()],
            |row| row.get(0),
        )
        .optional()?;
    if before.is_some_and(|before| before != set) {
        let (cut, jaw_set) = (cut.id, cut.jaw_set);
        return Err(ArchiveError::CutOfAnotherSet { cut, jaw_set }.into());
    }
    rows::write_cut(db, cut, None)
}

/// Whether a name can stand on a line and on a label.
pub(super) fn check_name(name: &str) -> Result<(), ArchiveError> {
    let length = name.trim().chars().count();
    if !(1..=LONGEST_NAME).contains(&length) || name.chars().any(char::is_control) {
        return Err(ArchiveError::BadName(echo(name)));
    }
    Ok(())
}

/// # Errors
/// Where another set that is not hidden has it.
pub(super) fn name_is_free(db: &Connection, name: &str, id: Id) -> Result<(), Fault> {
    let taken: bool = db.query_row(
        "SELECT EXISTS (SELECT 1 FROM jaw_sets WHERE name_key = ?1 AND hidden = 0 AND id <> ?2)",
        params![rows::name_key(name), id.to_string()],
        |row| row.get(0),
    )?;
    if taken {
        return Err(ArchiveError::NameTaken(name.trim().to_owned()).into());
    }
    Ok(())
}

/// Whether a record is hidden; `None` where there is none. `table` is one of this module's.
pub(super) fn hidden(db: &Connection, table: &str, id: Id) -> Result<Option<bool>, Fault> {
    let sql = format!("SELECT hidden FROM {table} WHERE id = ?1");
    Ok(db
        .query_row(&sql, [id.to_string()], |row| row.get(0))
        .optional()?)
}

pub(super) fn kept_jaw_set(db: &Connection, id: Id) -> Result<Kept<JawSet>, Fault> {
    let found = load::jaw_sets(db, "id = ?1", [id.to_string()])?.pop();
    found.ok_or_else(|| load::unknown("jaw set", &id.to_string()))
}

pub(super) fn kept_cut(db: &Connection, id: Id) -> Result<Kept<Cut>, Fault> {
    let found = load::cuts(db, "id = ?1", [id.to_string()])?.pop();
    found.ok_or_else(|| load::unknown("cut", &id.to_string()))
}
