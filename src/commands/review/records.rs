//! One pass over the files found: what is known is taken from the store, the rest is read, each content once.

use std::collections::{HashMap, HashSet};
use std::sync::atomic::AtomicBool;

use super::photos::Photos;
use super::round::Round;
use super::store::Store;
use super::walk::{Found, Walked};
use super::work::{self, Content};
use crate::commands::kept::LineFile;
use crate::review::{Key, PhotoRecord};

/// What a pass did.
#[derive(Debug, Default)]
pub(super) struct Tally {
    /// Photos read now, each content once.
    pub(super) read: usize,
    /// Those among them that were read before, with another word about them.
    pub(super) again: usize,
    /// Lines about what could not be opened.
    pub(super) unopened: usize,
    /// Files not come to before it was stopped.
    pub(super) left: usize,
}

/// The photos of a pass, by file, whatever the order they were read in.
pub(super) struct Records<'a> {
    round: &'a Round<'a>,
    readings: LineFile,
    photos: Vec<Record<'a>>,
}

/// One photo's.
enum Record<'a> {
    /// Its file and content, where its reading begins, and further files with that content.
    Read(&'a Found, &'a str, u64, Vec<&'a str>),
    Unopened(Box<PhotoRecord>),
}

impl Record<'_> {
    fn by_file(&self) -> (&str, &str) {
        match self {
            Self::Read(file, sha256, ..) => (&file.file, sha256),
            Self::Unopened(record) => (&record.line.file, &record.line.sha256),
        }
    }
}

impl Photos for Records<'_> {
    fn len(&self) -> usize {
        self.photos.len()
    }

    fn photo(&self, at: usize) -> anyhow::Result<PhotoRecord> {
        let (file, sha256, begins, same_as) = match &self.photos[at] {
            Record::Unopened(record) => return Ok((**record).clone()),
            Record::Read(file, sha256, begins, same_as) => (file, sha256, begins, same_as),
        };
        let mut record: PhotoRecord = self.readings.line(*begins)?;
        let sources = self.round.sources;
        (record.told, _) = sources.about(&file.file, &file.folders, sha256);
        record.line.file.clone_from(&file.file);
        record.line.same_as = same_as.iter().map(|file| (*file).to_owned()).collect();
        Ok(record)
    }
}

impl Round<'_> {
    /// Reads what is new of the files, whose contents go into `contents`.
    pub(super) fn run<'a>(
        &'a self,
        walked: &'a Walked,
        contents: &'a mut Vec<Content>,
        store: &Store,
        stop: &AtomicBool,
    ) -> anyhow::Result<(Records<'a>, Tally)> {
        let (found, [read, again]) = work::contents(self, &walked.files, store, stop)?;
        *contents = found;
        let contents = &*contents;
        let mut photos = self.read(&walked.files, contents, store)?;
        let opened = photos.len();
        photos.extend(self.unopened(walked, contents));
        // The same result whatever the order in which threads came to an end.
        photos.sort_by(|a, b| a.by_file().cmp(&b.by_file()));
        let tally = Tally {
            read,
            again,
            unopened: photos.len() - opened,
            left: contents.iter().filter(|c| **c == Content::NotCome).count(),
        };
        let records = Records {
            round: self,
            readings: store.read_back()?,
            photos,
        };
        Ok((records, tally))
    }

    /// The first file with a content stands for it.
    fn read<'a>(
        &self,
        files: &'a [Found],
        contents: &'a [Content],
        store: &Store,
    ) -> anyhow::Result<Vec<Record<'a>>> {
        let mut first: HashMap<&str, usize> = HashMap::new();
        let mut ours: Vec<(&Found, &str, Vec<&str>)> = Vec::new();
        for (file, content) in files.iter().zip(contents) {
            let Content::Is(sha256) = content else {
                continue;
            };
            if let Some(at) = first.get(sha256.as_str()) {
                ours[*at].2.push(&file.file);
            } else {
                first.insert(sha256, ours.len());
                ours.push((file, sha256, Vec::new()));
            }
        }
        let keys = ours.iter().map(|(file, sha256, _)| self.key(file, sha256));
        let wanted: HashSet<Key> = keys.collect();
        let readings = store.readings(&wanted)?;
        let record = |(file, sha256, same_as): (&'a Found, &'a str, Vec<&'a str>)| {
            let begins = readings.get(&self.key(file, sha256))?;
            Some(Record::Read(file, sha256, *begins, same_as))
        };
        Ok(ours.into_iter().filter_map(record).collect())
    }

    fn unopened<'a>(&self, walked: &Walked, contents: &[Content]) -> Vec<Record<'a>> {
        let files = walked.files.iter().zip(contents);
        let files = files.filter_map(|(file, content)| match content {
            Content::Unopened(error) => Some((&file.file, error)),
            _ => None,
        });
        let faults = walked.faults.iter().map(|f| (&f.file, &f.error));
        files
            .chain(faults)
            .filter(|(file, _)| self.is_ours(file))
            .map(|(file, error)| {
                let method = self.sources.method;
                let mut record = PhotoRecord::broken(String::new(), error.clone(), method);
                record.line.file.clone_from(file);
                Record::Unopened(Box::new(record))
            })
            .collect()
    }
}
