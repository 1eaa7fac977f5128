//! The layout of the database, and how an older one becomes the newest.

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use super::error::{ArchiveError, Fault};

/// The layout after each step, oldest first. Archives exist with every one of them: never change or
/// reorder a text here, only add one at the end.
const STEPS: [&str; 4] = [
    include_str!("schema/1-tables.sql"),
    include_str!("schema/2-indexes.sql"),
    include_str!("schema/3-lessons.sql"),
    include_str!("schema/4-calls.sql"),
];

/// Marks a database as ours (`PRAGMA application_id`): "seep" in ASCII.
const APPLICATION: i64 = 0x7365_6570;

/// What the database says of itself.
enum Kind {
    /// Nothing in it: new, or its making was interrupted.
    Empty,
    /// An archive with this layout.
    Archive(i64),
    /// Of another program.
    Foreign,
}

fn kind(db: &Connection) -> Result<Kind, Fault> {
    let number = |name| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let (application, version) = (number("application_id")?, number("user_version")?);
    let tables: i64 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    Ok(match (application, version, tables) {
        (APPLICATION, version, _) => Kind::Archive(version),
        // All three: another program's new database has version 0, too, but tables in it.
        (0, 0, 0) => Kind::Empty,
        _ => Kind::Foreign,
    })
}

/// The layout that the database has, 0 where there is nothing in it yet. Reads only.
pub(super) fn version(db: &Connection, file: &Path) -> Result<usize, Fault> {
    match kind(db)? {
        Kind::Empty => Ok(0),
        Kind::Foreign => Err(ArchiveError::NotAnArchive(file.to_path_buf()).into()),
        Kind::Archive(version) => usize::try_from(version)
            .ok()
            // A newer layout may keep things that this version would not carry along.
            .filter(|v| *v <= STEPS.len())
            .ok_or_else(|| newer(file, version)),
    }
}

fn newer(file: &Path, version: i64) -> Fault {
    Fault::from(ArchiveError::Newer {
        file: file.to_path_buf(),
        version,
        known: STEPS.len() as i64,
    })
}

/// Whether the layout is the newest.
pub(super) fn is_newest(version: usize) -> bool {
    version == STEPS.len()
}

/// Takes every step that is still missing, all in one transaction: another process sees the layout
/// before or after, nothing between.
pub(super) fn migrate(db: &mut Connection, file: &Path) -> Result<(), Fault> {
    let transaction = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Again, as another process may have migrated while this one waited.
    let from = version(&transaction, file)?;
    for step in &STEPS[from..] {
        transaction.execute_batch(step)?;
    }
    // Both stand in the file's header and are part of the transaction, as the tables are.
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", STEPS.len() as i64)?;
    Ok(transaction.commit()?)
}
