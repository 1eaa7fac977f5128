//! Why the archive could not do what was asked, and what to do about it.

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use rusqlite::ffi;

use super::in_use::is_in_use;
use crate::taper::records::Id;
use crate::text::outside::echo;

/// What went wrong with an archive. Nothing has been changed when one of these comes back: every write
/// is whole or absent.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ArchiveError {
    /// No archive there.
    #[error("{} holds no archive; check the folder's name, or make a new archive by adding a jaw set", .0.display())]
    Missing(PathBuf),
    /// A file stands where the folder should be.
    #[error("{} is no folder; name the folder that holds the archive", .0.display())]
    NotAFolder(PathBuf),
    /// Some other file under the database's name.
    #[error(
        "{} is no database; it was left as it is: move it away, or name another folder", .0.display()
    )]
    NotADatabase(PathBuf),
    /// A database of another program.
    #[error(
        "{} belongs to another program; it was left as it is: name another folder for the archive",
        .0.display()
    )]
    NotAnArchive(PathBuf),
    /// Written by a newer version.
    #[error(
        "{} was written by a newer version of seepline (its layout is {version}, this version knows up to {known}); it was left as it is: use the newer version",
        file.display()
    )]
    Newer {
        /// The database.
        file: PathBuf,
        /// Its layout.
        version: i64,
        /// The newest layout known here.
        known: i64,
    },
    /// Damaged.
    #[error(
        "{} is damaged ({reason}); it was not written to: keep it, and go on with the last backup",
        file.display()
    )]
    Corrupt {
        /// The database.
        file: PathBuf,
        /// What was found.
        reason: String,
    },
    /// May only be read.
    #[error(
        "{} may only be read, so nothing was written; change the folder's permissions, or copy the archive to a folder that may be written to",
        .0.display()
    )]
    ReadOnly(PathBuf),
    /// May only be read, and its newest records are still in the journal beside it.
    #[error(
        "{} may only be read, and a command that was still writing left its newest records in {}-wal; copy the whole folder to a place that may be written to, and open the copy",
        .0.display(), .0.display()
    )]
    ReadOnlyUnfinished(PathBuf),
    /// No space.
    #[error(
        "the disk that holds {} is full, and nothing of this was written; free some space and do it again",
        .0.display()
    )]
    Full(PathBuf),
    /// Another process is writing and did not finish in time.
    #[error("{} is in use by another program; wait a little and do it again", .0.display())]
    Busy(PathBuf),
    /// No permission.
    #[error("{} may not be opened; change its permissions, or name another folder", .0.display())]
    Forbidden(PathBuf),
    /// The file system failed.
    #[error("{}: {reason}; check the disk and its free space, and do it again", path.display())]
    Io {
        /// File or folder.
        path: PathBuf,
        /// As the system says it.
        reason: String,
    },
    /// SQLite failed in a way that has no better words here.
    #[error("{}: {reason}; do it again, and if it stays so, go on with the last backup", file.display())]
    Database {
        /// The database.
        file: PathBuf,
        /// As SQLite says it.
        reason: String,
    },
    /// A cell holds what this version cannot read.
    #[error(
        "the archive's {table}.{column} holds “{value}”, which is not understood; use the newest version, or go on with the last backup"
    )]
    Unreadable {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// What stands there.
        value: String,
    },
    /// A prove-out goes on.
    #[error(
        "a prove-out goes on, begun by {by} on {}; end it first with `seepline prove-out end --by WHO`", .begun.date()
    )]
    ProveOutGoesOn {
        /// Who began it.
        by: String,
        /// When.
        begun: jiff::civil::DateTime,
    },
    /// No prove-out goes on.
    #[error("no prove-out goes on; begin one with `seepline prove-out begin --by WHO`")]
    NoProveOut,
    /// Another set has that name.
    #[error("there is a jaw set called “{0}” already; choose another name")]
    NameTaken(String),
    /// No name, or one that cannot be shown.
    #[error("“{0}” is no name for a jaw set; give one of 1 to 100 characters on one line")]
    BadName(String),
    /// No such set.
    #[error("no jaw set is called “{name}”{}", close_names(.close))]
    UnknownJawSet {
        /// What was asked for.
        name: String,
        /// Names like it, the closest first.
        close: Vec<String>,
    },
    /// A beginning of several ids.
    #[error("“{start}” is the beginning of several ids ({}); give more digits", .of.join(", "))]
    Ambiguous {
        /// What was given.
        start: String,
        /// Some of the records it could be.
        of: Vec<String>,
    },
    /// No such record.
    #[error("the archive has no {what} {id}; list the records to see their ids")]
    Unknown {
        /// Jaw set, cut or check.
        what: &'static str,
        /// As asked for.
        id: String,
    },
    /// The cut belongs to another set.
    #[error(
        "the cut {cut} does not belong to the jaw set {jaw_set}; file the check under a cut of that set"
    )]
    CutOfAnotherSet {
        /// The cut.
        cut: Id,
        /// The set that was named.
        jaw_set: Id,
    },
    /// Nothing to file.
    #[error("a check without readings is not filed; give at least one photo")]
    NoReadings,
    /// A reading without its photo.
    #[error(
        "the photo of the reading of {file} was not given, so nothing was filed; give the photo again"
    )]
    PhotoNotGiven {
        /// The photo's name.
        file: String,
    },
    /// Not 64 lower-case hexadecimal digits.
    #[error("“{0}” is no photo's SHA-256; it has 64 lower-case hexadecimal digits")]
    BadHash(String),
    /// Showing this again would file a photo twice.
    #[error(
        "the photo {file} would be filed twice, in the checks {first} and {second} of the same jaw set; hide one of the checks first"
    )]
    FiledTwice {
        /// The photo's name.
        file: String,
        /// One check.
        first: Id,
        /// The other check.
        second: Id,
    },
    /// A call stands.
    #[error(
        "this check was called already, and a call stands once the reading was shown: {first} ({at}); \
         leave --call out to see the reading again, or call it blind with `seepline practice`"
    )]
    CalledAlready {
        /// The first call, in words.
        first: String,
        /// When it was made.
        at: jiff::civil::DateTime,
    },
    /// Only a lead rules.
    #[error(
        "{0} is no lead, so what {0} says is no ruling; `seepline people lead {0} on` makes one"
    )]
    NoLead(String),
    /// A backup never overwrites.
    #[error("{} holds an archive already; a backup overwrites nothing: name an empty folder", .0.display())]
    TargetTaken(PathBuf),
    /// No random numbers from the system.
    #[error("the system gives no random numbers for a new id ({0}); start the command again")]
    NoRandomNumbers(String),
}

fn close_names(close: &[String]) -> String {
    match close {
        [] => "; list the jaw sets to see their names".to_owned(),
        _ => format!("; did you mean “{}”?", close.join("”, “")),
    }
}

/// What happens inside, where the archive's place is not at hand.
#[derive(Debug)]
pub(super) enum Fault {
    Sql(rusqlite::Error),
    Told(Box<ArchiveError>),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<ArchiveError> for Fault {
    fn from(error: ArchiveError) -> Self {
        Self::Told(Box::new(error))
    }
}

impl Fault {
    /// In words, about the archive whose database is `file`.
    pub(super) fn about(self, file: &Path) -> ArchiveError {
        match self {
            Self::Told(error) => *error,
            Self::Sql(error) => of_sqlite(&error, file),
        }
    }
}

fn of_sqlite(error: &rusqlite::Error, file: &Path) -> ArchiveError {
    let (path, reason) = (file.to_path_buf(), error.to_string());
    let Some(failure) = error.sqlite_error() else {
        return ArchiveError::Database { file: path, reason };
    };
    match failure.code {
        ErrorCode::NotADatabase => ArchiveError::NotADatabase(path),
        ErrorCode::DatabaseCorrupt => ArchiveError::Corrupt { file: path, reason },
        ErrorCode::ReadOnly => ArchiveError::ReadOnly(path),
        ErrorCode::DiskFull => ArchiveError::Full(path),
        ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => ArchiveError::Busy(path),
        // The file is there, or its folder is: `open` has seen to that. What is missing is permission.
        ErrorCode::CannotOpen | ErrorCode::PermissionDenied => ArchiveError::Forbidden(path),
        // The journal's index could not grow, which only a full disk causes.
        _ if failure.extended_code == ffi::SQLITE_IOERR_SHMSIZE => ArchiveError::Full(path),
        // A page or the header ends before it should.
        _ if failure.extended_code == ffi::SQLITE_IOERR_SHORT_READ => {
            ArchiveError::Corrupt { file: path, reason }
        }
        ErrorCode::SystemIoFailure => ArchiveError::Io { path, reason },
        _ => ArchiveError::Database { file: path, reason },
    }
}

/// A cell that this version cannot read; its text is cut short, as it may be a whole reading.
pub(super) fn unreadable(table: &'static str, column: &'static str, value: &str) -> Fault {
    Fault::from(ArchiveError::Unreadable {
        table,
        column,
        value: echo(value),
    })
}

/// Of the file system, about `path`.
pub(super) fn of_io(error: &io::Error, path: &Path) -> ArchiveError {
    let path = path.to_path_buf();
    if is_in_use(error) {
        return ArchiveError::Busy(path);
    }
    match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => ArchiveError::Full(path),
        ErrorKind::PermissionDenied => ArchiveError::Forbidden(path),
        ErrorKind::ReadOnlyFilesystem => ArchiveError::ReadOnly(path),
        ErrorKind::NotADirectory => ArchiveError::NotAFolder(path),
        _ => ArchiveError::Io {
            path,
            reason: error.to_string(),
        },
    }
}
