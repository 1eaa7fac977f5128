//! Folder → connection, without ever writing over what is there.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::error::{self, ArchiveError, Fault};
use super::schema;

/// The database's name inside the archive's folder.
pub(super) const DATABASE: &str = "archive.sqlite";
/// The photos' folder.
pub(super) const PHOTOS: &str = "photos";
/// How long to wait for another process that writes. A check takes some milliseconds to file; a merge
/// of a large archive takes seconds.
pub(super) const PATIENCE: Duration = Duration::from_secs(20);
/// Attempts, 10 ms apart, to switch a new database to write-ahead logging while another process does the
/// same: as long as [`PATIENCE`].
const ATTEMPTS: usize = 2000;

/// An open database.
pub(super) struct Opened {
    pub(super) db: Connection,
    pub(super) read_only: bool,
}

/// Opens, and first makes what is missing.
pub(super) fn create_or_open(folder: &Path) -> Result<Opened, ArchiveError> {
    // Else making the folders would fail with words about the folder `photos` in it.
    if folder.exists() && !folder.is_dir() {
        return Err(ArchiveError::NotAFolder(folder.to_path_buf()));
    }
    let file = folder.join(DATABASE);
    // Two commands may both find none: SQLite makes the file once, and `migrate` looks again inside its transaction.
    if !file.exists() {
        make_folders(folder)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        return connect(&file, flags).map_err(|fault| fault.about(&file));
    }
    open(folder)
}

fn make_folders(folder: &Path) -> Result<(), ArchiveError> {
    let photos = folder.join(PHOTOS);
    fs::create_dir_all(&photos).map_err(|e| error::of_io(&e, &photos))
}

/// Opens what is there.
pub(super) fn open(folder: &Path) -> Result<Opened, ArchiveError> {
    let file = folder.join(DATABASE);
    if folder.is_file() {
        return Err(ArchiveError::NotAFolder(folder.to_path_buf()));
    }
    if !file.is_file() {
        return Err(match fs::metadata(&file) {
            // Its files are hidden, not missing: “holds no archive” would make somebody begin a new one.
            Err(e) if e.kind() == std::io::ErrorKind::PermissionDenied => {
                ArchiveError::Forbidden(file)
            }
            Ok(_) => ArchiveError::NotADatabase(file),
            Err(_) => ArchiveError::Missing(folder.to_path_buf()),
        });
    }
    let opened = match connect(&file, OpenFlags::SQLITE_OPEN_READ_WRITE) {
        Err(fault) if not_writable(&fault) => connect_to_read(&file),
        other => other,
    };
    opened.map_err(|fault| fault.about(&file))
}

/// Without write permission SQLite fails in one of these ways: a log cannot be made beside the database.
fn not_writable(fault: &Fault) -> bool {
    let Fault::Sql(error) = fault else {
        return false;
    };
    let code = error.sqlite_error().map(|e| e.code);
    matches!(code, Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen))
}

fn connect(file: &Path, flags: OpenFlags) -> Result<Opened, Fault> {
    // `Connection` is not `Sync`: SQLite's own lock against two threads at once would guard nothing.
    let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut db = Connection::open_with_flags(file, flags)?;
    // Else SQLite gives up at once where another process writes.
    db.busy_timeout(PATIENCE)?;
    // In one transaction: another process may be making the archive between two questions.
    let version = schema::version(&*db.unchecked_transaction()?, file)?;
    let read_only = db.is_readonly("main")?;
    if !schema::is_newest(version) || journal_mode(&db)? != "wal" {
        sound(&db, file)?;
    }
    if !read_only {
        // A backup, too, becomes an archive that is written to.
        switch_to_wal(&db)?;
    }
    if !schema::is_newest(version) {
        schema::migrate(&mut db, file)?;
    }
    set_up(&db)?;
    Ok(Opened { db, read_only })
}

/// What is damaged is not written to, be it only to give it the newest layout. An archive is looked through
/// so only when it is made, when it is first opened as a backup, or by a newer version.
fn sound(db: &Connection, file: &Path) -> Result<(), Fault> {
    let found: String = db.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if found == "ok" {
        return Ok(());
    }
    // Before what it found stands a line that names the database.
    let reason = found.lines().last().unwrap_or_default().to_owned();
    Err(Fault::from(ArchiveError::Corrupt {
        file: file.to_path_buf(),
        reason,
    }))
}

fn set_up(db: &Connection) -> Result<(), Fault> {
    // Off by SQLite's default, and a matter of each connection.
    db.pragma_update(None, "foreign_keys", true)?;
    // Every commit reaches the disk before the command says "filed".
    db.pragma_update(None, "synchronous", "FULL")?;
    Ok(())
}

/// The database remembers the mode. Switching needs the file for itself and does not wait for others.
fn switch_to_wal(db: &Connection) -> Result<(), Fault> {
    if journal_mode(db)? == "wal" {
        return Ok(());
    }
    let switch = || db.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()));
    for _ in 1..ATTEMPTS {
        match switch() {
            Err(e)
                if e.sqlite_error()
                    .is_some_and(|e| e.code == ErrorCode::DatabaseBusy) =>
            {
                std::thread::sleep(Duration::from_millis(10));
            }
            other => return Ok(other?),
        }
    }
    // The last try, whose error is the one that is told.
    Ok(switch()?)
}

fn journal_mode(db: &Connection) -> Result<String, Fault> {
    Ok(db.pragma_query_value(None, "journal_mode", |row| row.get(0))?)
}

/// A folder that may not be written to, such as a backup on a locked card. Nobody else can be writing
/// there either, so that the database may be taken as unchanging, unless a log was left with it.
fn connect_to_read(file: &Path) -> Result<Opened, Fault> {
    let log = with_suffix(file, "-wal");
    if fs::metadata(&log).is_ok_and(|m| m.len() > 0) {
        return Err(ArchiveError::ReadOnlyUnfinished(file.to_path_buf()).into());
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let db = Connection::open_with_flags(unchanging(file), flags)?;
    let version = schema::version(&db, file)?;
    // It would have to be written to first.
    if !schema::is_newest(version) {
        return Err(ArchiveError::ReadOnly(file.to_path_buf()).into());
    }
    Ok(Opened {
        db,
        read_only: true,
    })
}

pub(super) fn with_suffix(file: &Path, suffix: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// As a URI that tells SQLite to expect no writers (`immutable`, <https://www.sqlite.org/uri.html>).
fn unchanging(file: &Path) -> String {
    let absolute = std::path::absolute(file).unwrap_or_else(|_| file.to_path_buf());
    let escaped = |byte: &u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
            char::from(*byte).to_string()
        }
        other => format!("%{other:02X}"),
    };
    let bytes = absolute.as_os_str().as_encoded_bytes();
    let path: Vec<String> = bytes.iter().map(escaped).collect();
    format!("file:{}?immutable=1", path.concat())
}

/// Only Unix lets a folder be opened and flushed; elsewhere the rename itself must do.
pub(super) fn sync_folder(folder: &Path) -> std::io::Result<()> {
    if cfg!(unix) {
        fs::File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}
