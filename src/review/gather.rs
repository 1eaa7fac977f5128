//! Photos → checks: which photos were taken after one clamping.

use std::collections::{BTreeMap, HashSet};

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::record::PhotoRecord;
use crate::reading::method::Method;
use crate::taper::records::Id;

/// A pause this long between two photos begins a new check: between checks a cut is made. `import photos` groups by it, too, and
/// the manual and both helps say it in words.
pub(crate) const PAUSE: SignedDuration = SignedDuration::from_mins(30);
/// Photos of one folder that do not say when they were taken are one check up to this many: chucks have
/// two to six jaws (common practice). Of more than that it can't be told which belong together, so each
/// stands for itself.
const MOST_JAWS: usize = 6;

/// The photos of one check.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Gathered {
    /// 32 hexadecimal digits: the archive's id, else following from the first photo.
    pub(crate) check: String,
    /// Indices of the records, in the order taken, then of their files.
    pub(crate) photos: Vec<usize>,
}

/// Photos with the same key may be of one check.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key<'a> {
    jaw_set: Option<&'a str>,
    folder: &'a str,
    /// Named by the table or the archive.
    check: Option<&'a str>,
    transfer: bool,
}

/// Gathers the photos into checks and notes in each photo which one it is of. A file that could not be
/// opened, or of which neither its content nor the table or archive says where it belongs, is of none.
pub(crate) fn gather(records: &mut [PhotoRecord]) -> Vec<Gathered> {
    let mut checks = Vec::new();
    for (key, photos) in by_key(records) {
        if key.check.is_some() {
            checks.push(sorted(photos, records));
        } else {
            checks.extend(by_time(photos, records));
        }
    }
    let mut ids = HashSet::new();
    let gathered: Vec<Gathered> = checks
        .into_iter()
        .map(|photos| Gathered {
            check: id_of(&records[photos[0]], &mut ids),
            photos,
        })
        .collect();
    for record in records.iter_mut() {
        // What an earlier pass noted must not stay with a photo that belongs nowhere now.
        record.line.check.clear();
    }
    for check in &gathered {
        for photo in &check.photos {
            records[*photo].line.check.clone_from(&check.check);
        }
    }
    gathered
}

fn by_key(records: &[PhotoRecord]) -> BTreeMap<Key<'_>, Vec<usize>> {
    let mut all: BTreeMap<Key<'_>, Vec<usize>> = BTreeMap::new();
    for (index, record) in records.iter().enumerate().filter(|(_, r)| has_place(r)) {
        let told = &record.told;
        let key = Key {
            jaw_set: told.jaw_set.as_deref(),
            // A named check may have its photos anywhere; the others belong together only within a folder.
            folder: told.check.as_ref().map_or(&told.folder, |_| ""),
            check: told.check.as_deref(),
            // Compound means a gap in one and contact in the other: never read together. `Method` itself
            // has no order to sort by.
            transfer: record.line.method == Method::Transfer,
        };
        all.entry(key).or_default().push(index);
    }
    all
}

fn has_place(record: &PhotoRecord) -> bool {
    let line = &record.line;
    // Of a broken file without a time only the folder would say where it belongs.
    let somewhere = line.error.is_none() || line.taken.is_some() || record.told.check.is_some();
    !line.sha256.is_empty() && somewhere
}

/// A camera's time that is no time is none.
fn taken(record: &PhotoRecord) -> Option<DateTime> {
    record.line.taken.as_ref()?.parse().ok()
}

fn sorted(mut photos: Vec<usize>, records: &[PhotoRecord]) -> Vec<usize> {
    let when = |i: &usize| {
        // Also by file, so that one second's burst stays in the camera's order of names.
        let time = taken(&records[*i]);
        (time.is_none(), time, records[*i].line.file.clone())
    };
    photos.sort_by_cached_key(when);
    photos
}

fn by_time(photos: Vec<usize>, records: &[PhotoRecord]) -> Vec<Vec<usize>> {
    let (dated, undated): (Vec<usize>, Vec<usize>) = sorted(photos, records)
        .into_iter()
        .partition(|i| taken(&records[*i]).is_some());
    let mut checks: Vec<Vec<usize>> = Vec::new();
    let mut last: Option<DateTime> = None;
    for photo in dated {
        let time = taken(&records[photo]);
        // From photo to photo, not from the first: a slow round of six jaws is still one check.
        let pause = last.zip(time).map(|(last, now)| now.duration_since(last));
        match checks.last_mut() {
            Some(check) if pause.is_some_and(|p| p <= PAUSE) => check.push(photo),
            _ => checks.push(vec![photo]),
        }
        last = time;
    }
    match undated.len() {
        0 => {}
        1..=MOST_JAWS => checks.push(undated),
        _ => checks.extend(undated.into_iter().map(|photo| vec![photo])),
    }
    checks
}

fn id_of(first: &PhotoRecord, taken: &mut HashSet<String>) -> String {
    // A word of the table is no id: two jaw sets may both have a “check 1”.
    let filed = first.told.check.as_ref().filter(|_| first.told.filed);
    let derived = || Id::derived(&["review", &first.line.sha256]).to_string();
    let mut id = filed.cloned().unwrap_or_else(derived);
    // Photos of one filed check whose methods differ, or one photo under two methods.
    while !taken.insert(id.clone()) {
        id = Id::derived(&["review", &id]).to_string();
    }
    id
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::review::record::Told;

    fn photo(file: &str, taken: Option<&str>) -> PhotoRecord {
        let sha256 = format!("{:0>64}", file.len());
        let mut record = PhotoRecord::broken(sha256 + file, String::new(), Method::Seep);
        record.line.error = None;
        record.line.file = file.to_owned();
        record.line.taken = taken.map(str::to_owned);
        record
    }

    fn files(records: &mut [PhotoRecord]) -> Vec<Vec<String>> {
        let checks = gather(records);
        let name = |i: &usize| records[*i].line.file.clone();
        checks
            .iter()
            .map(|c| c.photos.iter().map(name).collect())
            .collect()
    }

    #[test]
    fn a_pause_of_more_than_half_an_hour_begins_a_check() {
        let mut photos = [
            photo("b", Some("2026-03-04T10:30:00")),
            photo("a", Some("2026-03-04T10:00:00")),
            photo("c", Some("2026-03-04T11:00:01")),
            photo("d", None),
        ];
        assert_eq!(files(&mut photos), [vec!["a", "b"], vec!["c"], vec!["d"]]);
        assert_eq!(photos[0].line.check, photos[1].line.check);
        assert_ne!(photos[0].line.check, photos[2].line.check);
    }

    #[test]
    fn more_photos_without_a_time_than_jaws_stand_for_themselves() {
        let names = ["a", "b", "c", "d", "e", "f", "g"];
        let mut six: Vec<_> = names[..6].iter().map(|n| photo(n, None)).collect();
        assert_eq!(files(&mut six).len(), 1);
        let mut seven: Vec<_> = names.iter().map(|n| photo(n, None)).collect();
        assert_eq!(files(&mut seven).len(), 7);
    }

    #[test]
    fn methods_never_share_a_check_and_a_filed_id_stays() {
        let told = Told {
            check: Some("ab".repeat(16)),
            filed: true,
            ..Told::default()
        };
        let mut photos = [photo("a", None), photo("b", None), photo("c", None)];
        for photo in &mut photos {
            photo.told = told.clone();
        }
        photos[2].line.method = Method::Transfer;
        let checks = gather(&mut photos);
        assert_eq!(checks.len(), 2);
        assert_eq!(checks[0].check, "ab".repeat(16));
        assert_ne!(checks[1].check, checks[0].check);
    }
}
