//! Photos by content hash: `photos/<first two digits>/<SHA-256>`, byte for byte as they were given.

use std::fs::{self, File};
use std::io::Write;
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

use sha2::{Digest, Sha256};

use super::error::{self, ArchiveError};
use super::in_use;
use crate::taper::records::Id;

/// Where photos are written before they get their name: on the photos' own disk, since a file is renamed in one step
/// only within a disk.
const INCOMING: &str = "incoming";
/// What lies in `incoming` longer than this was left by a command that was killed.
const LEFT_BEHIND: Duration = Duration::from_hours(24);

/// The photos' folder of one archive.
#[derive(Debug, Clone)]
pub(super) struct Photos {
    folder: PathBuf,
}

/// Lower-case hexadecimal SHA-256.
pub(super) fn hash_of(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

/// The text, where it is a hash: nothing else may become a path.
pub(super) fn checked(sha256: &str) -> Result<&str, ArchiveError> {
    let digit = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    if sha256.len() == 64 && sha256.bytes().all(digit) {
        Ok(sha256)
    } else {
        Err(ArchiveError::BadHash(sha256.chars().take(70).collect()))
    }
}

impl Photos {
    pub(super) fn of(folder: PathBuf) -> Self {
        Self { folder }
    }

    pub(super) fn path(&self, sha256: &str) -> Result<PathBuf, ArchiveError> {
        let hash = checked(sha256)?;
        // 256 folders, so that no single one holds every photo of a shop.
        Ok(self.folder.join(&hash[..2]).join(hash))
    }

    /// Whether the photo is here, whole.
    pub(super) fn holds(&self, sha256: &str) -> Result<bool, ArchiveError> {
        let path = self.path(sha256)?;
        match fs::read(&path) {
            // Read whole each time: a damaged photo counts as none, so that giving it again mends the archive.
            Ok(bytes) => Ok(hash_of(&bytes) == sha256),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(false),
            Err(e) => Err(error::of_io(&e, &path)),
        }
    }

    /// Stores a photo and gives its hash. A photo that is here is left alone; a damaged file in its
    /// place is kept beside it.
    pub(super) fn store(&self, bytes: &[u8]) -> Result<String, ArchiveError> {
        let hash = hash_of(bytes);
        if self.holds(&hash)? {
            return Ok(hash);
        }
        let path = self.path(&hash)?;
        let folder = path.parent().unwrap_or(&self.folder);
        let told = |e: std::io::Error| error::of_io(&e, &path);
        if path.exists() {
            let aside = super::open::with_suffix(&path, ".damaged");
            in_use::rename(&path, &aside).map_err(told)?;
        }
        fs::create_dir_all(folder).map_err(told)?;
        let written = self.write_apart(bytes)?;
        in_use::rename(&written, &path).map_err(told)?;
        // The name, too, must outlast a power cut.
        super::open::sync_folder(folder).map_err(told)?;
        // And that of the folder of two digits, which may be new.
        super::open::sync_folder(&self.folder).map_err(told)?;
        Ok(hash)
    }

    /// The whole file on the disk, under a name of its own.
    fn write_apart(&self, bytes: &[u8]) -> Result<PathBuf, ArchiveError> {
        let incoming = self.folder.join(INCOMING);
        // Two commands may store the same photo at once; neither may write into the other's file.
        let name = Id::random().map_err(|e| ArchiveError::NoRandomNumbers(e.to_string()))?;
        let path = incoming.join(name.to_string());
        let write = || {
            fs::create_dir_all(&incoming)?;
            let mut file = File::create_new(&path)?;
            file.write_all(bytes)?;
            // Before it is renamed: a photo's name must never stand over half a photo after a power cut.
            file.sync_all()
        };
        write().map_err(|e| {
            // What fits on a full disk would fill it.
            let _ = fs::remove_file(&path);
            error::of_io(&e, &path)
        })?;
        Ok(path)
    }

    /// Removes what killed commands left half written. Failing to is no reason to stop.
    pub(super) fn tidy(&self) {
        let Ok(entries) = fs::read_dir(self.folder.join(INCOMING)) else {
            return;
        };
        for entry in entries.flatten() {
            let age = entry.metadata().and_then(|m| m.modified()).ok();
            let age = age.and_then(|t| SystemTime::now().duration_since(t).ok());
            if age.is_some_and(|age| age > LEFT_BEHIND) {
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}
