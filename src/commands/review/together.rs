//! The photos of a jaw that has several → what they say together, as `read --jaw` reads them.
//!
//! A review keeps no maps: they would be ten times its result. So the photos of such a jaw, and only these, are read once more,
//! and what comes of it is a line of `jaws.jsonl`: another run, or another table that leaves them together, reads nothing.

use std::collections::{HashMap, HashSet};
use std::fs::File;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::Context;
use serde::{Deserialize, Serialize};

use super::work::{read, sha256_of};
use crate::commands::kept::{append, append_to, each_line};
use crate::commands::load;
use crate::commands::progress::Progress;
use crate::reading::inspect::{Inspection, join};
use crate::review::{JawReading, Key, PhotoRecord, Together};

const JAWS: &str = "jaws.jsonl";

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

impl Reader<'_> {
    /// What each of these jaws says, and how many were read for it. One of which a photo is not there any more, or that was
    /// not come to before the stop, is not among them.
    ///
    /// # Errors
    /// Where the folder can't be read or written.
    pub(super) fn together(
        &self,
        wanted: &[Vec<Key>],
        photos: &[PhotoRecord],
    ) -> anyhow::Result<(Together, usize)> {
        if wanted.is_empty() {
            return Ok((Together::new(), 0));
        }
        let place = self.into.join(JAWS);
        let lines = Mutex::new(append_to(&place)?);
        let mut together = known(&place, wanted)?;
        let open = wanted.iter().filter(|jaw| !together.contains_key(*jaw));
        let open: Vec<&Vec<Key>> = open.collect();
        let places = self.places_of(&open, photos);
        let ends = || self.stop.load(Ordering::Relaxed);
        let progress = Progress::over(open.iter().map(|jaw| jaw.len()).sum());
        let read = load::side_by_side(&open, self.threads, ends, |jaw| {
            let reading = of_jaw(jaw, &places);
            progress.step(jaw.len());
            let Some(reading) = reading else {
                return Ok(None);
            };
            keep(&lines, jaw, &reading)?;
            Ok(Some(((*jaw).clone(), reading)))
        });
        progress.end();
        let read: Vec<Option<_>> = read.into_iter().collect::<anyhow::Result<_>>()?;
        let before = together.len();
        together.extend(read.into_iter().flatten());
        let count = together.len() - before;
        Ok((together, count))
    }

    fn places_of<'p>(
        &self,
        jaws: &[&Vec<Key>],
        photos: &'p [PhotoRecord],
    ) -> HashMap<&'p str, Vec<PathBuf>> {
        let of_these: HashSet<&str> = jaws
            .iter()
            .flat_map(|j| j.iter().map(|k| &*k.sha256))
            .collect();
        let asked = photos.iter().filter(|p| of_these.contains(&*p.line.sha256));
        asked.map(|p| (&*p.line.sha256, (self.places)(p))).collect()
    }
}

/// Another version may read the same photos otherwise.
fn known(place: &Path, wanted: &[Vec<Key>]) -> anyhow::Result<Together> {
    let wanted: HashSet<&Vec<Key>> = wanted.iter().collect();
    let mut known = Together::new();
    each_line(place, |line: Line| {
        if line.program == env!("CARGO_PKG_VERSION") && wanted.contains(&line.photos) {
            known.insert(line.photos, line.reading);
        }
    })?;
    Ok(known)
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
fn of_jaw(jaw: &[Key], places: &HashMap<&str, Vec<PathBuf>>) -> Option<JawReading> {
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
