//! One pass over the files found: what is known is taken from the store, the rest is read, each content once.

use std::collections::{HashMap, HashSet};
use std::sync::atomic::AtomicBool;

use super::round::Round;
use super::store::Store;
use super::walk::{Found, Walked};
use super::work::{self, Content};
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

impl Round<'_> {
    /// The photos' records, by file, whatever the order they were read in.
    pub(super) fn run(
        &self,
        walked: &Walked,
        store: &Store,
        stop: &AtomicBool,
    ) -> anyhow::Result<(Vec<PhotoRecord>, Tally)> {
        let (contents, [read, again]) = work::contents(self, &walked.files, store, stop)?;
        let mut records = self.records(&walked.files, &contents, store)?;
        let opened = records.len();
        records.extend(self.unopened(walked, &contents));
        // The same result whatever the order in which threads came to an end.
        records.sort_by(|a, b| {
            let by = |r: &PhotoRecord| (r.line.file.clone(), r.line.sha256.clone());
            by(a).cmp(&by(b))
        });
        let tally = Tally {
            read,
            again,
            unopened: records.len() - opened,
            left: contents.iter().filter(|c| **c == Content::NotCome).count(),
        };
        Ok((records, tally))
    }

    /// The first file with a content stands for it.
    fn records(
        &self,
        files: &[Found],
        contents: &[Content],
        store: &Store,
    ) -> anyhow::Result<Vec<PhotoRecord>> {
        let mut first: HashMap<&str, usize> = HashMap::new();
        let mut ours: Vec<(&Found, Key, Vec<String>)> = Vec::new();
        for (file, content) in files.iter().zip(contents) {
            let Content::Is(sha256) = content else {
                continue;
            };
            if let Some(at) = first.get(sha256.as_str()) {
                ours[*at].2.push(file.file.clone());
            } else {
                first.insert(sha256, ours.len());
                ours.push((file, self.key(file, sha256), Vec::new()));
            }
        }
        let wanted: HashSet<Key> = ours.iter().map(|(_, key, _)| key.clone()).collect();
        let mut readings = store.readings(&wanted)?;
        let record = |(file, key, same_as): (&Found, Key, Vec<String>)| {
            let mut record = readings.remove(&key)?;
            let (told, _) = self.sources.about(&file.file, &file.folders, &key.sha256);
            record.line.file.clone_from(&file.file);
            record.line.same_as = same_as;
            record.told = told;
            Some(record)
        };
        Ok(ours.into_iter().filter_map(record).collect())
    }

    fn unopened(&self, walked: &Walked, contents: &[Content]) -> Vec<PhotoRecord> {
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
                record
            })
            .collect()
    }
}
