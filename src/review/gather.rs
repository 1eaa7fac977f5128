//! Photos → checks: which photos were taken after one clamping.
//!
//! Of each photo only a [`Mark`] of 64 bytes is held while checks are formed, then 4 bytes, and 32 of each check: the lines
//! of a million photos would fill the memory.

mod mark;

use std::collections::{HashMap, HashSet};

use jiff::SignedDuration;

use super::advised::are_read_together;
use super::record::PhotoRecord;
use crate::taper::records::Id;
use mark::{COUNTS, DATED, FILED, Mark, NAMED, Sets, TRANSFER, Taken, has_place};

/// A pause this long between two photos begins a new check: between checks a cut is made. `import photos` groups by it, too, and
/// the manual and both helps say it in words.
pub(crate) const PAUSE: SignedDuration = SignedDuration::from_mins(30);
/// Photos of one folder that do not say when they were taken are one check up to this many: chucks have
/// two to six jaws (common practice). Of more than that it can't be told which belong together, so each
/// stands for itself.
const MOST_JAWS: usize = 6;
/// Jaws of a chuck where the archive or the table tells of no more (common practice).
const USUAL_JAWS: usize = 3;

/// Takes in photos one after the other, by file, and forms checks of them.
#[derive(Debug, Default)]
pub(crate) struct Gathering {
    /// Of the photos that are of a check.
    marks: Vec<Mark>,
    photos: usize,
    sets: Sets,
    words: Words,
}

/// Instead of a check where there is none.
const NONE: u32 = u32::MAX;

/// Ids of checks that a result which somebody changed gives in other words than the archive's, by what stands for them.
type Words = HashMap<Id, String>;

/// Which photos are of which check; the checks by jaw set, then when they were made, those of no known set last.
#[derive(Debug, Default)]
pub(crate) struct Gathered {
    checks: Vec<Formed>,
    /// Check by check, each in the order taken, then of their files.
    photos: Vec<u32>,
    all: usize,
    jaws_of_sets: Vec<usize>,
    words: Words,
}

/// One check.
#[derive(Debug, Clone, Copy)]
struct Formed {
    id: Id,
    set: u32,
    /// The first of its photos in [`Gathered::photos`], and how many they are.
    first: u32,
    count: u32,
    /// Whether a jaw of it is read from several photos.
    several: bool,
}

impl Gathering {
    /// Takes in the next photo. A file that could not be opened, or of which neither its content nor the table or
    /// archive says where it belongs, is of no check.
    pub(crate) fn add(&mut self, photo: &PhotoRecord) {
        if has_place(photo) {
            let set = self.sets.number(photo.told.jaw_set.as_deref());
            let mark = Mark::of(photo, self.photos, set, self.id(photo));
            self.marks.push(mark);
        }
        self.photos += 1;
    }

    fn id(&mut self, first: &PhotoRecord) -> Id {
        // A word of the table is no id: two jaw sets may both have a “check 1”.
        let Some(filed) = first.told.check.as_ref().filter(|_| first.told.filed) else {
            return Id::derived(&["review", &first.line.sha256]);
        };
        let id = filed
            .parse()
            .ok()
            .filter(|id: &Id| id.to_string() == *filed);
        id.unwrap_or_else(|| {
            let id = Id::derived(&["check", filed]);
            self.words.insert(id, filed.clone());
            id
        })
    }

    /// Forms the checks.
    pub(crate) fn gather(self) -> Gathered {
        let (mut marks, ranks) = (self.marks, self.sets.ranks());
        // By place, too, which is by file: one second's burst stays in the camera's order of names.
        marks.sort_unstable_by_key(|m| (m.group, !m.is(DATED), m.dated(), m.at));
        let mut checks: Vec<(Formed, Taken)> = Vec::new();
        let mut jaws_of_sets = vec![USUAL_JAWS; ranks.len()];
        let mut rest = &marks[..];
        for group in marks.chunk_by(|a, b| a.group == b.group) {
            for count in sizes(group) {
                let of;
                (of, rest) = rest.split_at(count);
                let most = &mut jaws_of_sets[of[0].set as usize];
                *most = told_jaws(of).max(*most);
                let made = of.iter().map(|m| m.taken).find(|t| *t != Taken::default());
                let formed = Formed {
                    id: of[0].id,
                    set: of[0].set,
                    first: (marks.len() - rest.len() - count) as u32,
                    count: count as u32,
                    several: has_several(of),
                };
                checks.push((formed, made.unwrap_or_default()));
            }
        }
        // Of checks of no known set each may be of another.
        jaws_of_sets[0] = USUAL_JAWS;
        rename(&mut checks, &marks, &ranks, &self.words);
        checks.sort_unstable_by_key(|(check, made)| (ranks[check.set as usize], *made, check.id));
        Gathered {
            checks: checks.into_iter().map(|(check, _)| check).collect(),
            photos: marks.into_iter().map(|m| m.at).collect(),
            all: self.photos,
            jaws_of_sets,
            words: self.words,
        }
    }
}

impl Gathered {
    /// How many checks there are.
    pub(crate) fn len(&self) -> usize {
        self.checks.len()
    }

    /// 32 hexadecimal digits: the archive's id, else following from the first photo.
    pub(crate) fn id(&self, check: usize) -> String {
        text(self.checks[check].id, &self.words)
    }

    /// Places of its photos, in the order taken, then of their files.
    pub(crate) fn photos(&self, check: usize) -> impl ExactSizeIterator<Item = usize> {
        let Formed { first, count, .. } = self.checks[check];
        let of = &self.photos[first as usize..][..count as usize];
        of.iter().map(|at| *at as usize)
    }

    /// The check of each photo, where it is of one.
    pub(crate) fn check_of(&self) -> impl Fn(usize) -> Option<usize> + use<> {
        let mut of = vec![NONE; self.all];
        for check in 0..self.len() {
            for photo in self.photos(check) {
                of[photo] = check as u32;
            }
        }
        move |photo| {
            let check = of.get(photo).filter(|check| **check != NONE);
            check.map(|check| *check as usize)
        }
    }

    /// How many jaws its set has, as far as that is told: the most of any check of the set, those that count in a filed
    /// one or those with a number.
    pub(crate) fn jaws_of_the_set(&self, check: usize) -> usize {
        self.jaws_of_sets[self.checks[check].set as usize]
    }

    /// The checks with a jaw that is read from several photos.
    pub(crate) fn with_several_photos_of_a_jaw(&self) -> impl Iterator<Item = usize> {
        (0..self.len()).filter(|check| self.checks[*check].several)
    }
}

/// How many photos each check of a group has, in order.
fn sizes(group: &[Mark]) -> Vec<usize> {
    if group[0].is(NAMED) {
        return vec![group.len()];
    }
    let (dated, undated) = group.split_at(group.partition_point(|m| m.is(DATED)));
    // From photo to photo, not from the first: a slow round of six jaws is still one check.
    let together = |a: &Mark, b: &Mark| {
        let pause = a.taken.time().zip(b.taken.time());
        pause.is_some_and(|(before, now)| now.duration_since(before) <= PAUSE)
    };
    let mut sizes: Vec<usize> = dated.chunk_by(together).map(<[Mark]>::len).collect();
    match undated.len() {
        0 => {}
        few @ 1..=MOST_JAWS => sizes.push(few),
        many => sizes.extend(vec![1; many]),
    }
    sizes
}

/// Jaws that have a number, and photos that stand for one in a filed check.
fn told_jaws(check: &[Mark]) -> usize {
    let counting = || check.iter().filter(|m| m.is(COUNTS));
    let numbers: HashSet<u8> = counting().filter_map(|m| m.jaw).collect();
    let filed = counting().filter(|m| m.jaw.is_none() && m.is(FILED));
    numbers.len() + filed.count()
}

fn has_several(check: &[Mark]) -> bool {
    let mut photos = HashMap::new();
    for jaw in check.iter().filter(|m| m.is(COUNTS)).filter_map(|m| m.jaw) {
        *photos.entry(jaw).or_default() += 1;
    }
    photos.into_values().any(are_read_together)
}

/// Photos of one filed check whose methods differ make two checks with one id: the first, by set and method, keeps it.
fn rename(checks: &mut [(Formed, Taken)], marks: &[Mark], ranks: &[u32], words: &Words) {
    let mut order: Vec<u32> = (0..checks.len() as u32).collect();
    order.sort_unstable_by_key(|i| {
        let check = &checks[*i as usize].0;
        // Here those of no known set are first.
        let set = ranks[check.set as usize].wrapping_add(1);
        (check.id, set, marks[check.first as usize].is(TRANSFER))
    });
    let id = |i: &u32| checks[*i as usize].0.id;
    let again = order.windows(2).filter(|pair| id(&pair[0]) == id(&pair[1]));
    let again: Vec<u32> = again.map(|pair| pair[1]).collect();
    if again.is_empty() {
        return;
    }
    let mut taken: HashSet<Id> = checks.iter().map(|(check, _)| check.id).collect();
    for check in again {
        let id = &mut checks[check as usize].0.id;
        while !taken.insert(*id) {
            *id = Id::derived(&["review", &text(*id, words)]);
        }
    }
}

fn text(id: Id, words: &Words) -> String {
    words.get(&id).map_or_else(|| id.to_string(), String::clone)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::method::Method;
    use crate::review::record::Told;

    fn photo(file: &str, taken: Option<&str>) -> PhotoRecord {
        let sha256 = format!("{:0>64}", file.len());
        let mut record = PhotoRecord::broken(sha256 + file, String::new(), Method::Seep);
        record.line.error = None;
        record.line.file = file.to_owned();
        record.line.taken = taken.map(str::to_owned);
        record
    }

    fn gathered(records: &[PhotoRecord]) -> Gathered {
        let mut gathering = Gathering::default();
        for record in records {
            gathering.add(record);
        }
        gathering.gather()
    }

    fn files(records: &[PhotoRecord]) -> Vec<Vec<&str>> {
        let checks = gathered(records);
        let name = |i: usize| records[i].line.file.as_str();
        let of = |check| checks.photos(check).map(name).collect();
        (0..checks.len()).map(of).collect()
    }

    #[test]
    fn a_pause_of_more_than_half_an_hour_begins_a_check() {
        let photos = [
            photo("b", Some("2026-03-04T10:30:00")),
            photo("a", Some("2026-03-04T10:00:00")),
            photo("c", Some("2026-03-04T11:00:01")),
            photo("d", None),
        ];
        // What has no date sorts first.
        assert_eq!(files(&photos), [vec!["d"], vec!["a", "b"], vec!["c"]]);
        let check_of = gathered(&photos).check_of();
        assert_eq!(check_of(0), check_of(1));
        assert_ne!(check_of(0), check_of(2));
    }

    #[test]
    fn more_photos_without_a_time_than_jaws_stand_for_themselves() {
        let names = ["a", "b", "c", "d", "e", "f", "g"];
        let six: Vec<_> = names[..6].iter().map(|n| photo(n, None)).collect();
        assert_eq!(files(&six).len(), 1);
        let seven: Vec<_> = names.iter().map(|n| photo(n, None)).collect();
        assert_eq!(files(&seven).len(), 7);
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
        let checks = gathered(&photos);
        let ids: Vec<String> = (0..checks.len()).map(|check| checks.id(check)).collect();
        assert_eq!(ids.len(), 2);
        let check_of = checks.check_of();
        let of = |photo: usize| checks.id(check_of(photo).unwrap());
        assert_eq!([of(0), of(1)], ["ab".repeat(16), "ab".repeat(16)]);
        assert_ne!(of(2), of(0));
    }
}
