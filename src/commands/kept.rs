//! A folder that a long run keeps its result in, line by line: killed at any moment it loses at most the line that it was
//! writing, and goes on from there.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use anyhow::{Context, bail};
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::archive::in_use;

/// Held open by the run that works in the folder; the system lets go of it when that process ends,
/// however it ends. It also marks the folder, so that no review walks it.
pub(super) const LOCK: &str = "review.lock";

/// Takes the folder's lock.
///
/// # Errors
/// Where another run holds it.
pub(super) fn lock(folder: &Path) -> anyhow::Result<File> {
    let path = folder.join(LOCK);
    let name = path.display();
    let file = OpenOptions::new()
        .create(true)
        .append(true)
        .open(&path)
        .with_context(|| format!("{name} could not be written; name a folder of your own"))?;
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => bail!(
            "another run is writing into {}; wait for it to end, or name another folder with --into",
            folder.display()
        ),
        // Some network shares know no locks; going on is better than not.
        Ok(()) | Err(TryLockError::Error(_)) => Ok(file),
    }
}

/// Ready to append; a last line without its end is cut off.
pub(super) fn append_to(path: &Path) -> anyhow::Result<File> {
    let name = path.display();
    let open = || {
        let mut file = OpenOptions::new()
            .create(true)
            .read(true)
            .append(true)
            .open(path)?;
        let end = end_of_lines(&mut file)?;
        if end < file.metadata()?.len() {
            file.set_len(end)?;
        }
        Ok::<_, std::io::Error>(file)
    };
    open().with_context(|| format!("{name} could not be written; check the folder and its space"))
}

/// Where the last whole line ends.
fn end_of_lines(file: &mut File) -> std::io::Result<u64> {
    const BLOCK: u64 = 1 << 16;
    let mut end = file.metadata()?.len();
    let mut block = Vec::new();
    while end > 0 {
        let start = end.saturating_sub(BLOCK);
        file.seek(SeekFrom::Start(start))?;
        block.clear();
        Read::by_ref(file)
            .take(end - start)
            .read_to_end(&mut block)?;
        if let Some(at) = memchr::memrchr(b'\n', &block) {
            return Ok(start + at as u64 + 1);
        }
        end = start;
    }
    Ok(0)
}

pub(super) fn append(file: &Mutex<File>, line: &impl Serialize) -> std::io::Result<()> {
    let mut bytes = serde_json::to_vec(line)?;
    bytes.push(b'\n');
    let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
    file.write_all(&bytes)?;
    file.flush()
}

/// Lines that are none of these are passed over: what they held is read again.
pub(super) fn each_line<T: DeserializeOwned>(
    path: &Path,
    mut take: impl FnMut(T),
) -> anyhow::Result<()> {
    let name = path.display();
    let read = || format!("{name} could not be read; check its permissions");
    let mut file = BufReader::new(File::open(path).with_context(read)?);
    let mut line = Vec::new();
    loop {
        line.clear();
        if file.read_until(b'\n', &mut line).with_context(read)? == 0 {
            return Ok(());
        }
        if let Ok(value) = serde_json::from_slice(&line) {
            take(value);
        }
    }
}

/// Beside it, under the whole name: `a.csv` and `a.jsonl` must not share one.
pub(super) fn unfinished(place: &Path) -> PathBuf {
    let mut name = place.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

/// Whole or not at all.
pub(super) fn write(place: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    let name = place.display();
    let partly = unfinished(place);
    fs::write(&partly, bytes)
        .and_then(|()| in_use::rename(&partly, place))
        .with_context(|| format!("{name} could not be written; check the folder and its space, and close the file where it is open"))
}
