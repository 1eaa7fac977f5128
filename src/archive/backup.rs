//! A copy of the whole archive while others use it.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use super::error::{self, ArchiveError, Fault};
use super::open::{self, DATABASE, PATIENCE, PHOTOS, with_suffix};
use super::photos::{Photos, hash_of};
use super::{Archive, in_use, verify};

/// What a backup holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackedUp {
    /// Checks, hidden ones too.
    pub checks: usize,
    /// Photos copied.
    pub photos: usize,
    /// Photos that are missing or damaged in this archive, and so in the copy; their SHA-256.
    pub missing: Vec<String>,
}

/// How long to wait before asking again for a moment without a writer.
const PAUSE: Duration = Duration::from_millis(10);

impl Archive {
    /// Copies the archive as it is at one moment, with its photos, to a folder without one. The database
    /// gets its name last: a backup that was cut off holds no archive, and can be made again.
    ///
    /// # Errors
    /// Where there is an archive already, or the copy cannot be written.
    pub fn backup(&self, to_folder: &Path) -> Result<BackedUp, ArchiveError> {
        let file = to_folder.join(DATABASE);
        let told = |e: std::io::Error| error::of_io(&e, to_folder);
        if file.exists() {
            return Err(ArchiveError::TargetTaken(to_folder.to_path_buf()));
        }
        let photos = to_folder.join(PHOTOS);
        fs::create_dir_all(&photos).map_err(told)?;
        let unfinished = with_suffix(&file, ".unfinished");
        // Left by a backup that was cut off.
        remove_if_there(&unfinished)?;
        let (checks, hashes) = self.copy_database(&unfinished)?;
        let mut done = BackedUp {
            checks,
            photos: 0,
            missing: Vec::new(),
        };
        let target = Photos::of(photos);
        for hash in hashes {
            if copy_photo(&self.photos, &target, &hash)? {
                done.photos += 1;
            } else {
                done.missing.push(hash);
            }
        }
        // Another backup may have come first; its copy is as good, and stays.
        if file.exists() {
            return Err(ArchiveError::TargetTaken(to_folder.to_path_buf()));
        }
        in_use::rename(&unfinished, &file).map_err(told)?;
        open::sync_folder(to_folder).map_err(told)?;
        Ok(done)
    }

    /// Gives how many checks and which photos the copy has.
    fn copy_database(
        &self,
        to: &Path,
    ) -> Result<(usize, impl Iterator<Item = String> + use<>), ArchiveError> {
        let copy = || {
            let mut copy = Connection::open(to)?;
            copy_pages(&self.db, &mut copy, &self.file)?;
            // One file, without a log beside it, until somebody opens it to write.
            copy.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
            let count = "SELECT count(*) FROM checks";
            let checks: i64 = copy.query_row(count, [], |row| row.get(0))?;
            Ok((checks as usize, verify::photos(&copy)?))
        };
        let (checks, photos) = copy().map_err(|fault: Fault| fault.about(to))?;
        // Before it is renamed: what is called an archive is on the disk whole.
        let synced = File::open(to).and_then(|f| f.sync_all());
        synced.map_err(|e| error::of_io(&e, to))?;
        Ok((checks, photos.into_iter()))
    }
}

/// All pages in one step, which holds back no writer (they append to the log) and is consistent. Where the database stays
/// locked it gives up after as long as every other command does.
fn copy_pages(from: &Connection, to: &mut Connection, file: &Path) -> Result<(), Fault> {
    let backup = Backup::new(from, to)?;
    let began = Instant::now();
    while backup.step(-1)? != StepResult::Done {
        if began.elapsed() > PATIENCE {
            return Err(ArchiveError::Busy(file.to_path_buf()).into());
        }
        std::thread::sleep(PAUSE);
    }
    Ok(())
}

fn remove_if_there(file: &PathBuf) -> Result<(), ArchiveError> {
    match fs::remove_file(file) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(error::of_io(&e, file)),
        _ => Ok(()),
    }
}

/// False where the source does not have it whole.
pub(super) fn copy_photo(from: &Photos, to: &Photos, hash: &str) -> Result<bool, ArchiveError> {
    let Ok(bytes) = fs::read(from.path(hash)?) else {
        return Ok(false);
    };
    if hash_of(&bytes) != hash {
        return Ok(false);
    }
    to.store(&bytes).map(|_| true)
}
