//! The photos of a jaw that has several → what they say together, as `read --jaw` reads them.
//!
//! A review keeps no maps: they would be ten times its result. So the photos of such a jaw, and only these, are read once more,
//! and what comes of it is a line of `jaws.jsonl`: another run, or another table that leaves them together, reads nothing.

use std::collections::HashMap;
use std::fs::File;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::Context;
use serde::{Deserialize, Serialize};

use super::photos::Photos;
use super::work::{read, sha256_of};
use crate::commands::kept::{LineFile, append, append_to, each_line_from};
use crate::commands::load;
use crate::commands::progress::Progress;
use crate::reading::inspect::{Inspection, join};
use crate::review::{Gathered, JawReading, Key, PhotoRecord, Together, of_several_photos};
use crate::taper::records::Id;

const JAWS: &str = "jaws.jsonl";
/// Checks whose jaws are handed to the threads together: enough to keep them busy, and few to hold.
const AT_ONCE: usize = 256;

/// One jaw that was read.
#[derive(Serialize, Deserialize)]
struct Line {
    /// In the order of their check.
    photos: Vec<Key>,
    /// Version of the program that read them.
    program: String,
    reading: JawReading,
}

/// How jaws are read together.
pub(super) struct Reader<'a> {
    /// The result's folder.
    pub(super) into: &'a Path,
    /// Where the photo may lie; its content is compared.
    pub(super) places: &'a dyn Fn(&PhotoRecord) -> Vec<PathBuf>,
    pub(super) threads: usize,
    pub(super) stop: &'a AtomicBool,
}

/// What the jaws with several photos say.
#[derive(Default)]
pub(super) struct Jaws {
    lines: Option<LineFile>,
    /// Where the line of a jaw begins, by [`name_of`] its photos.
    begin: HashMap<Id, u64>,
    /// How many were read for it.
    pub(super) read: usize,
}

impl Jaws {
    /// Another version may read the same photos otherwise.
    fn known(place: &Path) -> anyhow::Result<Self> {
        let mut begin = HashMap::new();
        each_line_from(place, |begins, line: Line| {
            if line.program == env!("CARGO_PKG_VERSION") {
                begin.insert(name_of(&line.photos), begins);
            }
        })?;
        Ok(Self {
            lines: Some(LineFile::open(place)?),
            begin,
            read: 0,
        })
    }

    /// What each jaw of a check with several photos says. One of which a photo is not there any more, or that was not come to
    /// before the stop, is not among them.
    ///
    /// # Errors
    /// Where it cannot be read back.
    pub(super) fn of_check(&self, photos: &[&PhotoRecord]) -> anyhow::Result<Together> {
        let mut together = Together::new();
        let Some(lines) = &self.lines else {
            return Ok(together);
        };
        for jaw in of_several_photos(photos) {
            if let Some(begins) = self.begin.get(&name_of(&jaw)) {
                let line: Line = lines.line(*begins)?;
                together.insert(jaw, line.reading);
            }
        }
        Ok(together)
    }

    /// The jaws of a check that are still to be read.
    fn open(&self, photos: &[PhotoRecord]) -> Vec<Vec<Key>> {
        let photos: Vec<&PhotoRecord> = photos.iter().collect();
        let mut jaws = of_several_photos(&photos);
        jaws.retain(|jaw| !self.begin.contains_key(&name_of(jaw)));
        jaws
    }
}

/// Of the same photos, read in the same way, the same.
fn name_of(jaw: &[Key]) -> Id {
    let word = |key: &Key| format!("{} {:?} {:?}", key.sha256, key.method, key.tip);
    let words: Vec<String> = jaw.iter().map(word).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    Id::derived(&words)
}

/// The photos of a check.
fn photos_of(
    check: usize,
    gathered: &Gathered,
    photos: &dyn Photos,
) -> anyhow::Result<Vec<PhotoRecord>> {
    gathered.photos(check).map(|at| photos.photo(at)).collect()
}

impl Reader<'_> {
    /// Reads the jaws that are not known yet, and says where all are.
    ///
    /// # Errors
    /// Where the folder can't be read or written.
    pub(super) fn together(
        &self,
        gathered: &Gathered,
        photos: &dyn Photos,
    ) -> anyhow::Result<Jaws> {
        let mut checks = gathered.with_several_photos_of_a_jaw().peekable();
        if checks.peek().is_none() {
            return Ok(Jaws::default());
        }
        let place = self.into.join(JAWS);
        let lines = Mutex::new(append_to(&place)?);
        let known = Jaws::known(&place)?;
        // Checks with a jaw to read, and how many photos those have.
        let (mut open, mut count) = (Vec::new(), 0);
        for check in checks {
            let jaws = known.open(&photos_of(check, gathered, photos)?);
            if !jaws.is_empty() {
                open.push(check);
                count += jaws.iter().map(Vec::len).sum::<usize>();
            }
        }
        let progress = Progress::over(count);
        let mut read = 0;
        for some in open.chunks(AT_ONCE) {
            let mut jaws = Vec::new();
            let mut places = HashMap::new();
            for check in some {
                let photos = photos_of(*check, gathered, photos)?;
                for jaw in known.open(&photos) {
                    let of_it = photos.iter().filter(|p| jaw.contains(&p.key()));
                    places.extend(of_it.map(|p| (p.line.sha256.clone(), (self.places)(p))));
                    jaws.push(jaw);
                }
            }
            read += self.read(&jaws, &places, &lines, &progress)?;
        }
        progress.end();
        let all = if read > 0 {
            Jaws::known(&place)?
        } else {
            known
        };
        Ok(Jaws { read, ..all })
    }

    /// How many of these jaws could be read.
    fn read(
        &self,
        jaws: &[Vec<Key>],
        places: &HashMap<String, Vec<PathBuf>>,
        lines: &Mutex<File>,
        progress: &Progress,
    ) -> anyhow::Result<usize> {
        let ends = || self.stop.load(Ordering::Relaxed);
        let read = load::side_by_side(jaws, self.threads, ends, |jaw| {
            let reading = of_jaw(jaw, places);
            progress.step(jaw.len());
            let Some(reading) = reading else {
                return Ok(0);
            };
            keep(lines, jaw, &reading)?;
            Ok(1)
        });
        read.into_iter().sum()
    }
}

fn keep(lines: &Mutex<File>, photos: &[Key], reading: &JawReading) -> anyhow::Result<()> {
    let line = Line {
        photos: photos.to_vec(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        reading: reading.clone(),
    };
    append(lines, &line)
        .context("the reading could not be kept; check the space in the folder --into")
}

/// One photo is in memory at a time, of the others only what the join asks for.
fn of_jaw(jaw: &[Key], places: &HashMap<String, Vec<PathBuf>>) -> Option<JawReading> {
    let views: Vec<Inspection> = jaw
        .iter()
        .map(|key| view(key, places.get(&*key.sha256)?))
        .collect::<Option<_>>()?;
    let views: Vec<&Inspection> = views.iter().collect();
    // One jaw must not end a run of thousands.
    let joined = catch_unwind(AssertUnwindSafe(|| join(&views)));
    Some(JawReading::of(&joined.ok()?.reading))
}

fn view(key: &Key, places: &[PathBuf]) -> Option<Inspection> {
    let same = |place: &PathBuf| {
        let bytes = load::bytes_of(place).ok()?;
        (sha256_of(&bytes) == key.sha256).then_some(bytes)
    };
    let bytes = places.iter().find_map(same)?;
    let inspection = catch_unwind(AssertUnwindSafe(|| {
        read(bytes, key).map(Inspection::without_pixels)
    }));
    inspection.ok()?.ok()
}
