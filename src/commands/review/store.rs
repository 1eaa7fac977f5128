//! What a review keeps in its folder between runs: readings by content, contents by file, and the lock
//! that keeps a second run out.

use std::collections::{HashMap, HashSet};
use std::ffi::OsString;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use anyhow::Context;
use serde::{Deserialize, Serialize};

use super::photos::{Place, short};
use super::walk::Found;
use crate::commands::kept::{LineFile, append, append_to, each_line, each_line_from, lock, write};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::review::{Key, PhotoRecord};

const READINGS: &str = "readings.jsonl";
const FILES: &str = "files.jsonl";
/// The table that was given; under a name that nobody gives to a table of their own.
pub(super) const GROUPS: &str = "groups-given.csv";
/// Folders of the pictures.
pub(super) const THUMBS: &str = "thumbs";
pub(super) const PICTURES: &str = "pictures";
/// There from a pass's beginning until its result is whole.
const UNFINISHED: &str = "unfinished";
/// A file that changed this shortly before its content was noted may have changed once more within its
/// clock's step (2 s on some memory cards' file systems), so its content is looked at again.
const CLOCK_STEP: Duration = Duration::from_secs(2);

/// As much of a line as tells what it is of.
#[derive(Deserialize)]
struct KeyLine {
    sha256: String,
    method: Method,
    tip: Option<TipDirection>,
    program: String,
    /// A file that was no photo has no pictures.
    error: Option<String>,
}

impl KeyLine {
    /// `None` where another version of the program read it, or its pictures were deleted since.
    fn key(self, pictured: &HashSet<OsString>) -> Option<Key> {
        let name = OsString::from(picture_name(&self.sha256));
        if self.error.is_none() && !pictured.contains(&name) {
            return None;
        }
        let key = Key {
            sha256: self.sha256,
            method: self.method,
            tip: self.tip,
        };
        (self.program == env!("CARGO_PKG_VERSION")).then_some(key)
    }
}

/// A file's content, as it was noted.
#[derive(Debug, Serialize, Deserialize)]
struct FileLine {
    file: String,
    size: u64,
    changed_ns: u128,
    noted_ns: u128,
    sha256: String,
}

/// The folder of one review, held by this process.
pub(super) struct Store {
    folder: PathBuf,
    known: HashSet<Key>,
    contents: HashMap<String, FileLine>,
    readings: Mutex<File>,
    files: Mutex<File>,
    /// Since it was loaded.
    grown: AtomicBool,
    /// Held, not read.
    _lock: File,
}

impl Store {
    /// Makes the folder where it is missing. What a run that was killed left half written is dropped.
    ///
    /// # Errors
    /// Where another run works there, or it cannot be written to.
    pub(super) fn open(folder: &Path) -> anyhow::Result<Self> {
        let name = folder.display();
        fs::create_dir_all(folder)
            .with_context(|| format!("the folder {name} could not be made; name another one"))?;
        // Before anything is cut off: another run may be writing its last line.
        let lock = lock(folder)?;
        let readings = append_to(&folder.join(READINGS))?;
        let files = append_to(&folder.join(FILES))?;
        let mut store = Self {
            folder: folder.to_path_buf(),
            known: HashSet::new(),
            contents: HashMap::new(),
            readings: Mutex::new(readings),
            files: Mutex::new(files),
            grown: AtomicBool::new(false),
            _lock: lock,
        };
        store.load()?;
        Ok(store)
    }

    /// Where the folder keeps a picture of that photo; `kind` is [`THUMBS`] or [`PICTURES`].
    pub(super) fn picture(&self, kind: &str, sha256: &str) -> PathBuf {
        self.folder.join(kind).join(picture_name(sha256))
    }

    /// Makes the folders of the pictures where they are missing.
    pub(super) fn make_picture_folders(&self) -> anyhow::Result<()> {
        for kind in [THUMBS, PICTURES] {
            let folder = self.folder.join(kind);
            let name = folder.display();
            fs::create_dir_all(&folder)
                .with_context(|| format!("the folder {name} could not be made"))?;
        }
        Ok(())
    }

    /// Keeps the table that this run was given, instead of that of an earlier one.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(super) fn keep_groups(&self, table: Option<&[u8]>) -> anyhow::Result<()> {
        let place = self.folder.join(GROUPS);
        match table {
            Some(bytes) => write(&place, bytes),
            None if place.exists() => fs::remove_file(&place)
                .with_context(|| format!("{} could not be deleted", place.display())),
            None => Ok(()),
        }
    }

    /// Notes whether the result is to be taken for the whole, so that `join` takes no part that was stopped or killed.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(super) fn note_finished(&self, finished: bool) -> anyhow::Result<()> {
        let mark = self.folder.join(UNFINISHED);
        match (finished, mark.exists()) {
            (false, _) => write(&mark, b""),
            (true, true) => fs::remove_file(&mark)
                .with_context(|| format!("{} could not be deleted", mark.display())),
            (true, false) => Ok(()),
        }
    }

    /// Names of the photos' pictures, where both are there.
    fn pictured(&self) -> HashSet<OsString> {
        let names = |kind: &str| -> HashSet<OsString> {
            let entries = fs::read_dir(self.folder.join(kind)).into_iter().flatten();
            entries.flatten().map(|entry| entry.file_name()).collect()
        };
        let mut both = names(THUMBS);
        let pictures = names(PICTURES);
        both.retain(|name| pictures.contains(name));
        both
    }

    /// What is read already.
    pub(super) fn known(&self) -> &HashSet<Key> {
        &self.known
    }

    /// The file's content, where it was noted and the file is unchanged since.
    pub(super) fn content(&self, file: &Found) -> Option<&str> {
        let noted = self.contents.get(&file.key)?;
        let same = noted.size == file.size && noted.changed_ns == file.changed_ns;
        let settled = noted.noted_ns.saturating_sub(noted.changed_ns) > CLOCK_STEP.as_nanos();
        (same && settled).then_some(noted.sha256.as_str())
    }

    pub(super) fn note_content(&self, file: &Found, sha256: &str) -> std::io::Result<()> {
        let now = SystemTime::now().duration_since(UNIX_EPOCH);
        let line = FileLine {
            file: file.key.clone(),
            size: file.size,
            changed_ns: file.changed_ns,
            noted_ns: now.map_or(0, |n| n.as_nanos()),
            sha256: sha256.to_owned(),
        };
        self.grown.store(true, Ordering::Relaxed);
        append(&self.files, &line)
    }

    /// Handed to the system whole, so that a process that is killed loses none.
    pub(super) fn add(&self, record: &PhotoRecord) -> std::io::Result<()> {
        self.grown.store(true, Ordering::Relaxed);
        append(&self.readings, record)
    }

    /// Where the readings of these begin in [`Self::read_back`].
    ///
    /// # Errors
    /// Where they cannot be read back.
    pub(super) fn readings(&self, wanted: &HashSet<Key>) -> anyhow::Result<HashMap<Key, u64>> {
        let mut all = HashMap::new();
        each_line_from(
            &self.folder.join(READINGS),
            |begins, record: PhotoRecord| {
                let key = record.key();
                // Another version may read the same photo otherwise.
                if record.line.program == env!("CARGO_PKG_VERSION") && wanted.contains(&key) {
                    all.insert(key, begins);
                }
            },
        )?;
        Ok(all)
    }

    /// The readings, to be read one at a time.
    ///
    /// # Errors
    /// Where they cannot be opened.
    pub(super) fn read_back(&self) -> anyhow::Result<LineFile> {
        LineFile::open(&self.folder.join(READINGS))
    }

    /// After a pass: what it read is known to the next one, and outlasts a power cut.
    ///
    /// # Errors
    /// Where it cannot be read back.
    pub(super) fn keep(&mut self) -> anyhow::Result<()> {
        if !self.grown.swap(false, Ordering::Relaxed) {
            return Ok(());
        }
        for file in [&self.readings, &self.files] {
            let file = file.lock().unwrap_or_else(PoisonError::into_inner);
            // Where that fails, a power cut costs reading again.
            let _ = file.sync_all();
        }
        self.load()
    }

    fn load(&mut self) -> anyhow::Result<()> {
        let pictured = self.pictured();
        each_line(&self.folder.join(READINGS), |line: KeyLine| {
            self.known.extend(line.key(&pictured));
        })?;
        each_line(&self.folder.join(FILES), |line: FileLine| {
            self.contents.insert(line.file.clone(), line);
        })
    }
}

/// Where the photos lay that some runs read: of each file 16 bytes are held.
pub(super) struct Noted {
    files: Vec<LineFile>,
    /// By the beginning of the content.
    lines: Vec<(u64, Place)>,
}

impl Noted {
    /// A folder that tells it no more tells nothing.
    pub(super) fn of(folders: &[PathBuf]) -> Self {
        let (mut files, mut lines) = (Vec::new(), Vec::new());
        for folder in folders {
            let place = folder.join(FILES);
            let Ok(file) = LineFile::open(&place) else {
                continue;
            };
            let _ = each_line_from(&place, |begins, line: FileLine| {
                lines.push((short(&line.sha256), Place::new(files.len(), begins)));
            });
            files.push(file);
        }
        lines.sort_unstable();
        Self { files, lines }
    }

    /// Where a file with that content lay.
    pub(super) fn places(&self, sha256: &str) -> Vec<PathBuf> {
        let content = short(sha256);
        let first = self.lines.partition_point(|(c, _)| *c < content);
        let alike = self.lines[first..]
            .iter()
            .take_while(|(c, _)| *c == content);
        let line = |(_, place): &(u64, Place)| {
            let line: FileLine = self.files[place.file()].line(place.begins()).ok()?;
            (line.sha256 == sha256).then(|| PathBuf::from(line.file))
        };
        alike.filter_map(line).collect()
    }
}

/// Whether a run over that folder was stopped or killed, or is at work.
pub(super) fn is_unfinished(folder: &Path) -> bool {
    folder.join(UNFINISHED).exists()
}

fn picture_name(sha256: &str) -> String {
    format!("{sha256}.jpg")
}
