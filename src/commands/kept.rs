//! A folder that a long run keeps its result in, line by line: killed at any moment it loses at most the line that it was
//! writing, and goes on from there.

use std::cell::RefCell;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, BufRead, BufReader, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use anyhow::{Context, bail};
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::archive::in_use;

/// Held open by the run that works in the folder; the system lets go of it when that process ends,
/// however it ends. It also marks the folder, so that no review walks it.
pub(super) const LOCK: &str = "review.lock";

/// Lines that are asked for one after the other mostly lie near each other.
const READ_AHEAD: usize = 1 << 16;

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
    each_line_from(path, |_, value| take(value))
}

/// The same, with where each line begins.
pub(super) fn each_line_from<T: DeserializeOwned>(
    path: &Path,
    mut take: impl FnMut(u64, T),
) -> anyhow::Result<()> {
    let name = path.display();
    let read = || format!("{name} could not be read; check its permissions");
    let mut file = BufReader::new(File::open(path).with_context(read)?);
    let (mut line, mut begins) = (Vec::new(), 0);
    loop {
        line.clear();
        let length = file.read_until(b'\n', &mut line).with_context(read)?;
        if length == 0 {
            return Ok(());
        }
        if let Ok(value) = serde_json::from_slice(&line) {
            take(begins, value);
        }
        begins += length as u64;
    }
}

/// A file of lines, each read when it is asked for.
pub(super) struct LineFile {
    place: PathBuf,
    file: RefCell<(BufReader<File>, u64)>,
}

impl LineFile {
    /// # Errors
    /// Where it cannot be opened.
    pub(super) fn open(place: &Path) -> anyhow::Result<Self> {
        let file = File::open(place).with_context(|| {
            format!(
                "{} could not be read; check its permissions",
                place.display()
            )
        })?;
        Ok(Self {
            place: place.to_path_buf(),
            file: RefCell::new((BufReader::with_capacity(READ_AHEAD, file), 0)),
        })
    }

    /// The line that begins there.
    ///
    /// # Errors
    /// Where it cannot be read, or is none of these.
    pub(super) fn line<T: DeserializeOwned>(&self, begins: u64) -> io::Result<T> {
        let mut file = self.file.borrow_mut();
        let (file, at) = &mut *file;
        let mut read = || {
            // What is near is in the buffer still.
            file.seek_relative(begins.cast_signed() - at.cast_signed())?;
            *at = begins;
            let mut line = Vec::new();
            *at += file.read_until(b'\n', &mut line)? as u64;
            Ok(serde_json::from_slice(&line)?)
        };
        let told = |error: io::Error| {
            let name = self.place.display();
            let what = format!(
                "{name} could not be read back ({error}); was it changed meanwhile? Run it again"
            );
            io::Error::new(error.kind(), what)
        };
        read().map_err(told)
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
    write_by(place, |file| file.write_all(bytes))
}

/// The same of what is written bit by bit.
pub(super) fn write_by(
    place: &Path,
    by: impl FnOnce(&mut Partly) -> io::Result<()>,
) -> anyhow::Result<()> {
    let write = || {
        let mut file = Partly::begin(place)?;
        by(&mut file)?;
        file.finish()
    };
    write().with_context(|| not_written(place))
}

/// Why a file could not be written.
pub(super) fn not_written(place: &Path) -> String {
    let name = place.display();
    format!(
        "{name} could not be written; check the folder and its space, and close the file where it is open"
    )
}

/// A file that gets its name when it is whole.
pub(super) struct Partly {
    place: PathBuf,
    file: BufWriter<File>,
    /// Bytes written.
    pub(super) at: u64,
}

impl Partly {
    pub(super) fn begin(place: &Path) -> io::Result<Self> {
        Ok(Self {
            place: place.to_path_buf(),
            file: BufWriter::new(File::create(unfinished(place))?),
            at: 0,
        })
    }

    /// The name that it gets.
    pub(super) fn place(&self) -> &Path {
        &self.place
    }

    pub(super) fn finish(mut self) -> io::Result<()> {
        self.file.flush()?;
        drop(self.file);
        in_use::rename(&unfinished(&self.place), &self.place)
    }
}

impl Write for Partly {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.file.write(bytes)?;
        self.at += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}
