//! Files → contents, and each new content → its reading, on several threads. A thread holds one photo at
//! a time, and nothing of it after its line and its pictures are written.

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use anyhow::Context;
use sha2::{Digest, Sha256};

use super::round::Round;
use super::store::{PICTURES, Store, THUMBS};
use super::walk::Found;
use crate::commands::kept::write;
use crate::commands::load;
use crate::commands::progress::Progress;
use crate::reading::inspect::{Inspection, Request, inspect};
use crate::reading::photo::{read_hashed, time_taken};
use crate::report;
use crate::review::{Key, PhotoRecord};

/// What became of a file.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Content {
    /// Its SHA-256; it is in the store.
    Is(String),
    /// Why it could not be opened.
    Unopened(String),
    /// Stopped before.
    NotCome,
    /// Of another part.
    NotOurs,
}

pub(super) fn sha256_of(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

/// The content of every file, as `files`; how many were read for it, and how many of these not for the first
/// time.
///
/// # Errors
/// Where the store can no longer be written.
pub(super) fn contents(
    round: &Round<'_>,
    files: &[Found],
    store: &Store,
    stop: &AtomicBool,
) -> anyhow::Result<(Vec<Content>, [usize; 2])> {
    let known = |file: &Found| {
        if !round.is_ours(&file.file) {
            return Some(Content::NotOurs);
        }
        let sha256 = store.content(file)?;
        let done = store.known().contains(&round.key(file, sha256));
        done.then(|| Content::Is(sha256.to_owned()))
    };
    let mut contents: Vec<Content> = files
        .iter()
        .map(|file| known(file).unwrap_or(Content::NotCome))
        .collect();
    let open = contents.iter().enumerate();
    let open: Vec<usize> = open
        .filter(|(_, c)| **c == Content::NotCome)
        .map(|(i, _)| i)
        .collect();
    if open.is_empty() {
        return Ok((contents, [0, 0]));
    }
    store.make_picture_folders()?;
    let work = Work {
        round,
        store,
        stop,
        // So that a photo that lies in two places is read once.
        claimed: Mutex::new(store.known().clone()),
        seen: store.known().iter().map(|k| k.sha256.as_str()).collect(),
        read: AtomicUsize::new(0),
        again: AtomicUsize::new(0),
        failed: Mutex::new(None),
    };
    for (index, content) in work.all(files, &open) {
        contents[index] = content;
    }
    let failed = work.failed.into_inner();
    if let Some(error) = failed.unwrap_or_else(PoisonError::into_inner) {
        return Err(error);
    }
    Ok((
        contents,
        [work.read, work.again].map(AtomicUsize::into_inner),
    ))
}

struct Work<'a> {
    round: &'a Round<'a>,
    store: &'a Store,
    stop: &'a AtomicBool,
    /// Read, or being read by some thread.
    claimed: Mutex<HashSet<Key>>,
    /// Contents that an earlier run read in whatever way.
    seen: HashSet<&'a str>,
    read: AtomicUsize,
    again: AtomicUsize,
    /// Why nothing more can be kept.
    failed: Mutex<Option<anyhow::Error>>,
}

impl Work<'_> {
    fn all(&self, files: &[Found], open: &[usize]) -> Vec<(usize, Content)> {
        let progress = Progress::over(open.len());
        let ends = || self.stop.load(Ordering::Relaxed) || self.has_failed();
        let done = load::side_by_side(open, self.round.threads, ends, |&index| {
            let content = self.one(&files[index]);
            progress.step(1);
            (index, content)
        });
        progress.end();
        done
    }

    fn has_failed(&self) -> bool {
        self.failed.lock().is_ok_and(|failed| failed.is_some())
    }

    fn one(&self, file: &Found) -> Content {
        match self.content(file) {
            Ok(content) => content,
            Err(error) => {
                let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
                failed.get_or_insert(error);
                Content::NotCome
            }
        }
    }

    /// # Errors
    /// Where the result can no longer be written.
    fn content(&self, file: &Found) -> anyhow::Result<Content> {
        let bytes = match load::bytes_of(&file.path) {
            Ok(bytes) => bytes,
            Err(error) => return Ok(Content::Unopened(error.to_string())),
        };
        let sha256 = sha256_of(&bytes);
        let size = bytes.len() as u64;
        let key = self.round.key(file, &sha256);
        if self.claim(&key) {
            let record = self.record(&key, bytes)?;
            self.store
                .add(&record)
                .context("the reading could not be kept; check the space in the folder --into")?;
            self.read.fetch_add(1, Ordering::Relaxed);
            if self.seen.contains(&*sha256) {
                self.again.fetch_add(1, Ordering::Relaxed);
            }
        }
        // A file that is being written to is looked at again.
        if size == file.size {
            self.store
                .note_content(file, &sha256)
                .context("the review could not be kept; check the space in the folder --into")?;
        }
        Ok(Content::Is(sha256))
    }

    fn claim(&self, key: &Key) -> bool {
        let mut claimed = self.claimed.lock().unwrap_or_else(PoisonError::into_inner);
        claimed.insert(key.clone())
    }

    fn record(&self, key: &Key, bytes: Vec<u8>) -> anyhow::Result<PhotoRecord> {
        let taken = time_taken(&bytes);
        // One photo must not end a run of thousands.
        let read = catch_unwind(AssertUnwindSafe(|| read(bytes, key)));
        let read = read.unwrap_or_else(|_| Err(FAILED.to_owned()));
        let mut record = match read {
            Ok(inspection) => {
                self.pictures(&inspection, &key.sha256)?;
                PhotoRecord::of(&inspection)
            }
            Err(error) => {
                let mut broken = PhotoRecord::broken(key.sha256.clone(), error, key.method);
                broken.line.taken = taken;
                broken
            }
        };
        record.tip = key.tip;
        Ok(record)
    }

    /// Before the line, so that a photo with a line has its pictures.
    fn pictures(&self, inspection: &Inspection, sha256: &str) -> anyhow::Result<()> {
        let made = report::page_pictures(inspection)?;
        write(&self.store.picture(THUMBS, sha256), &made.thumbnail)?;
        write(&self.store.picture(PICTURES, sha256), &made.picture)
    }
}

const FAILED: &str =
    "the program failed on this photo; keep it and report that, and take another one";

/// The file's bytes are let go of before the photo is judged.
pub(super) fn read(bytes: Vec<u8>, key: &Key) -> Result<Inspection, String> {
    let photo = read_hashed(&bytes, key.sha256.clone()).map_err(|e| e.to_string())?;
    drop(bytes);
    let request = Request {
        method: key.method,
        tip: key.tip,
        corners: None,
    };
    Ok(inspect(photo, &request))
}
