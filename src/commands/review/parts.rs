//! The photos of several results as those of one.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;

use super::photos::{Photos, Place, short};
use crate::commands::kept::{LineFile, each_line_from};
use crate::review::{PhotoRecord, ResultLine};

/// The photos of parts.
pub(super) struct Parts {
    files: Vec<LineFile>,
    photos: Vec<Place>,
    /// Further files with the same content, of those that have such.
    copies: HashMap<Place, Vec<String>>,
}

/// Photos with their names, which are held only until they are sorted.
#[derive(Default)]
struct Found {
    /// One behind the other.
    names: String,
    photos: Vec<One>,
}

#[derive(Clone, Copy)]
struct One {
    place: Place,
    /// See [`short`].
    content: u64,
    /// Where its name begins in [`Found::names`].
    name: usize,
    length: u32,
    /// A file that could not be opened has no content, and is no copy of another such.
    opened: bool,
}

impl Parts {
    /// By file, each content once; a part that is named twice counts once.
    ///
    /// # Errors
    /// Where a result cannot be read.
    pub(super) fn open(results: &[PathBuf]) -> anyhow::Result<Self> {
        let mut found = Found::default();
        let mut parts = Self {
            files: Vec::new(),
            photos: Vec::new(),
            copies: HashMap::new(),
        };
        for (file, result) in results.iter().enumerate() {
            // Opened first: another result that takes its name meanwhile does not change this one.
            parts.files.push(LineFile::open(result)?);
            each_line_from(result, |begins, line: ResultLine| {
                if let ResultLine::Photo(photo) = line {
                    found.add(Place::new(file, begins), &photo);
                }
            })?;
        }
        let photos = parts.sorted(found)?;
        parts.photos = photos.iter().map(|one| one.place).collect();
        let others = parts.gather_copies(photos)?;
        if !others.is_empty() {
            parts.photos.retain(|place| !others.contains(place));
        }
        Ok(parts)
    }

    /// By file, then by content, each once.
    fn sorted(&self, found: Found) -> anyhow::Result<Vec<One>> {
        let Found { names, mut photos } = found;
        let name = |one: &One| &names[one.name..][..one.length as usize];
        photos.sort_unstable_by(|a, b| {
            let of = |one: &One| (one.content, one.place);
            name(a).cmp(name(b)).then_with(|| of(a).cmp(&of(b)))
        });
        let mut once: Vec<One> = Vec::with_capacity(photos.len());
        for one in photos {
            let same = |last: &One| name(last) == name(&one) && last.content == one.content;
            let twice = match once.last().filter(|last| same(last)) {
                Some(last) => self.at(last.place)?.line.sha256 == self.at(one.place)?.line.sha256,
                None => false,
            };
            if !twice {
                once.push(one);
            }
        }
        Ok(once)
    }

    /// The first file with a content stands for all others with it, as in one run: parts are split by name, so the same
    /// photo may be in several. Returns the others.
    fn gather_copies(&mut self, photos: Vec<One>) -> anyhow::Result<HashSet<Place>> {
        // The places that are by file now, to keep their order among equal contents.
        let mut by_content: Vec<(u64, u32)> = (photos.iter().zip(0..))
            .filter(|(one, _)| one.opened)
            .map(|(one, at)| (one.content, at))
            .collect();
        drop(photos);
        by_content.sort_unstable();
        let mut others = HashSet::new();
        for alike in by_content.chunk_by(|a, b| a.0 == b.0) {
            if alike.len() > 1 {
                let places = alike.iter().map(|(_, at)| self.photos[*at as usize]);
                self.gather_alike(&places.collect::<Vec<_>>(), &mut others)?;
            }
        }
        Ok(others)
    }

    /// Of photos whose contents begin alike.
    fn gather_alike(
        &mut self,
        places: &[Place],
        others: &mut HashSet<Place>,
    ) -> anyhow::Result<()> {
        let mut by_content: Vec<(String, Place, Vec<String>)> = Vec::new();
        for place in places {
            let line = self.at(*place)?.line;
            let names = line.names().map(str::to_owned);
            match by_content
                .iter_mut()
                .find(|(sha256, ..)| *sha256 == line.sha256)
            {
                Some((_, _, files)) => {
                    files.extend(names);
                    others.insert(*place);
                }
                None => by_content.push((line.sha256.clone(), *place, names.collect())),
            }
        }
        for (_, first, mut files) in by_content {
            files.sort();
            self.copies.insert(first, files.split_off(1));
        }
        Ok(())
    }

    fn at(&self, place: Place) -> anyhow::Result<PhotoRecord> {
        Ok(self.files[place.file()].line(place.begins())?)
    }
}

impl Found {
    fn add(&mut self, place: Place, photo: &PhotoRecord) {
        let line = &photo.line;
        self.photos.push(One {
            place,
            content: short(&line.sha256),
            name: self.names.len(),
            length: line.file.len() as u32,
            opened: !line.sha256.is_empty(),
        });
        self.names.push_str(&line.file);
    }
}

impl Photos for Parts {
    fn len(&self) -> usize {
        self.photos.len()
    }

    fn photo(&self, at: usize) -> anyhow::Result<PhotoRecord> {
        let place = self.photos[at];
        let mut photo = self.at(place)?;
        if let Some(copies) = self.copies.get(&place) {
            photo.line.same_as.clone_from(copies);
        }
        Ok(photo)
    }
}
