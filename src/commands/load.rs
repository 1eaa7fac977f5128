//! Files → readings: the photos of a check are read side by side and come back in the order given.

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::iter;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::{self, ScopedJoinHandle};

use crate::archive::in_use::is_in_use;
use crate::reading::face::TipDirection;
use crate::reading::geometry::Quad;
use crate::reading::inspect::Inspection;
use crate::reading::inspect::Request;
use crate::reading::method::Method;
use crate::reading::network;
use crate::reading::read::{PhotoFault, inspect_bytes};
use crate::reading::threads;
use crate::report::PhotoReport;

pub(super) use crate::reading::photo::LARGEST_FILE_BYTES;

/// Why one file gave no reading. Every message says what to do.
#[derive(Debug, thiserror::Error)]
pub(super) enum LoadError {
    #[error("this is a folder; name the photos in it, for example {0}/*.jpg")]
    Folder(String),
    #[error("the file does not exist; check the name and the folder")]
    Missing,
    #[error("the file may not be read; change its permissions or copy the photo")]
    Forbidden,
    #[error("another program holds the file open; close it there and do it again")]
    InUse,
    #[error("the file could not be read ({0}); copy the photo again")]
    Io(io::Error),
    #[error("the file is larger than {} MB; give the photo as the camera wrote it", LARGEST_FILE_BYTES >> 20)]
    TooLarge,
    #[error(transparent)]
    Photo(#[from] PhotoFault),
}

/// What holds for all photos of one check.
#[derive(Debug, Clone, Copy)]
pub(super) struct Common<'a> {
    pub(super) method: Method,
    /// None, one for all photos, or one per photo; `None` where nobody said.
    pub(super) tips: &'a [Option<TipDirection>],
    /// None, or one per photo.
    pub(super) corners: &'a [Quad],
    /// None, or one per photo: photos with the same number are of one jaw; `None` where nobody said.
    pub(super) jaws: &'a [Option<u8>],
}

impl Common<'_> {
    fn tip(&self, photo: usize) -> Option<TipDirection> {
        match self.tips {
            [all] => *all,
            each => each.get(photo).copied().flatten(),
        }
    }
}

/// Reads every photo; a file that fails keeps its place, with the reason.
///
/// Plain threads, not a work-stealing pool: while one photo waits for the networks to load, a pool would
/// start another on the same thread, which would wait for the first.
pub(super) fn read_all(files: &[PathBuf], common: Common<'_>) -> Vec<PhotoReport> {
    let next = AtomicUsize::new(0);
    let cores = threads::count();
    let workers = cores.min(files.len());
    let work = || {
        let take = || Some(next.fetch_add(1, Ordering::Relaxed)).filter(|&i| i < files.len());
        let read = |i: usize| report_on(&files[i], i, common);
        iter::from_fn(take)
            .map(|i| (i, threads::with(share(i, files.len(), cores), || read(i))))
            .collect::<Vec<_>>()
    };
    let mut photos: Vec<_> = thread::scope(|scope| {
        scope.spawn(network::warm_up);
        // One fewer, as this thread works, too.
        let workers: Vec<_> = (1..workers).map(|_| scope.spawn(work)).collect();
        let own = work();
        own.into_iter()
            .chain(workers.into_iter().flat_map(joined))
            .collect()
    });
    photos.sort_by_key(|&(index, _)| index);
    photos.into_iter().map(|(_, photo)| photo).collect()
}

/// Does the work on each, in no certain order, until all is done or it `ends`.
pub(super) fn side_by_side<T: Sync, R: Send>(
    all: &[T],
    threads: usize,
    ends: impl Fn() -> bool + Sync,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let take = || {
        all.get(next.fetch_add(1, Ordering::Relaxed))
            .filter(|_| !ends())
    };
    let work_on = || iter::from_fn(take).map(&work).collect::<Vec<R>>();
    // With a photo on every core, a network's own threads would only wait for each other.
    let alone = || threads::with(1, work_on);
    thread::scope(|scope| {
        scope.spawn(network::warm_up);
        let others: Vec<_> = (1..threads.min(all.len()))
            .map(|_| scope.spawn(alone))
            .collect();
        let own = alone();
        let others = others.into_iter().flat_map(joined);
        own.into_iter().chain(others).collect()
    })
}

/// Threads for one photo of several: those that no other photo is read on. The last ones have more than the others where
/// they are fewer than there are workers.
fn share(photo: usize, photos: usize, cores: usize) -> usize {
    let workers = cores.min(photos);
    let last = photos % workers;
    let at_once = if photo < photos - last { workers } else { last };
    cores / at_once
}

/// A worker's panic goes on in the thread that waits for it.
pub(super) fn joined<T>(worker: ScopedJoinHandle<'_, T>) -> T {
    worker
        .join()
        .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

fn report_on(file: &Path, index: usize, common: Common<'_>) -> PhotoReport {
    let request = Request {
        method: common.method,
        tip: common.tip(index),
        corners: common.corners.get(index).copied(),
    };
    PhotoReport {
        file: file.to_string_lossy().into_owned(),
        outcome: read_one(file, &request)
            .map(Box::new)
            .map_err(|e| e.to_string()),
        jaw: common.jaws.get(index).copied().flatten(),
        same_as: None,
        picture: None,
    }
}

pub(super) fn read_one(file: &Path, request: &Request) -> Result<Inspection, LoadError> {
    Ok(inspect_bytes(&bytes_of(file)?, request)?)
}

/// At most [`LARGEST_FILE_BYTES`], whatever kind of file it is: a device never ends.
pub(super) fn bytes_of(file: &Path) -> Result<Vec<u8>, LoadError> {
    if file.is_dir() {
        return Err(LoadError::Folder(file.display().to_string()));
    }
    let mut bytes = Vec::new();
    let read = File::open(file).and_then(|opened| {
        let size = opened.metadata()?.len().min(LARGEST_FILE_BYTES);
        bytes.reserve_exact(size as usize + 1);
        // A byte more than is taken tells that there is more.
        opened.take(LARGEST_FILE_BYTES + 1).read_to_end(&mut bytes)
    });
    match read {
        Ok(count) if count as u64 > LARGEST_FILE_BYTES => Err(LoadError::TooLarge),
        Ok(_) => Ok(bytes),
        Err(error) => Err(match error.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => LoadError::Missing,
            ErrorKind::PermissionDenied => LoadError::Forbidden,
            _ if is_in_use(&error) => LoadError::InUse,
            _ => LoadError::Io(error),
        }),
    }
}
