//! Joining another archive into this one. Merging the same archive again changes nothing, and two
//! archives that are merged into each other in turn hold the same.

mod calls;
mod prove;

use std::collections::{BTreeMap, BTreeSet, HashSet};

use rusqlite::Connection;

use super::backup::copy_photo;
use super::error::Fault;
use super::load::{self, Details, Kept, KeptCheck};
use super::{Archive, ArchiveError, filing, hide, labels, rows, stamp, verify};
use crate::taper::records::{Cut, FiledCheck, Id, JawSet};

/// What merging changed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Merged {
    /// Records that were not here: jaw sets, cuts, checks.
    pub added: [usize; 3],
    /// Records of which the other archive had a later version or more photos: jaw sets, cuts, checks.
    pub changed: [usize; 3],
    /// Calls that were not here, and those that were and are held otherwise now.
    pub calls: [usize; 2],
    /// Labels of photos that were not here, or are held otherwise now.
    pub labels: usize,
    /// Photos copied.
    pub photos: usize,
    /// Sets that got another name because two different ones had the same.
    pub renamed: Vec<Renamed>,
    /// Checks that held the same photo and are one now.
    pub united: Vec<United>,
    /// Photos that neither archive has whole; their SHA-256.
    pub missing: Vec<String>,
}

/// A set under a new name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renamed {
    /// The set.
    pub jaw_set: Id,
    /// Its name in the other archive.
    pub from: String,
    /// Its name now.
    pub to: String,
}

/// Two checks with a photo in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct United {
    /// Holds the readings of both now.
    pub kept: Id,
    /// Hidden now.
    pub hidden: Id,
}

/// Everything in an archive, hidden or not.
struct Everything {
    jaw_sets: BTreeMap<Id, Kept<JawSet>>,
    cuts: BTreeMap<Id, Kept<Cut>>,
    checks: BTreeMap<Id, KeptCheck>,
}

impl Archive {
    /// Takes in everything that `other` holds, hidden records included. Of two versions of a record the
    /// later one stands; a check keeps the photos of both. A set of `other` whose name another set has
    /// here gets a number behind its name. Other archives are not written to.
    ///
    /// # Errors
    /// Where `other` cannot be read or this archive not be written; nothing is changed then.
    pub fn merge(&mut self, other: &Archive) -> Result<Merged, ArchiveError> {
        self.writable()?;
        let (theirs, opinions, proofs, labels, hashes) = other.read(|db| {
            let opinions = calls::Opinions::of(db)?;
            let proofs = prove::ProveOuts::of(db)?;
            let labels = labels::labels(db, "1", [])?;
            Ok((
                everything(db)?,
                opinions,
                proofs,
                labels,
                verify::photos(db)?,
            ))
        })?;
        let mut merged = Merged::default();
        // Photos first, as in filing: a kill leaves some too many, never a check without its photo.
        for hash in hashes {
            if self.photos.holds(&hash)? {
                continue;
            }
            if copy_photo(&other.photos, &self.photos, &hash)? {
                merged.photos += 1;
            } else {
                merged.missing.push(hash);
            }
        }
        self.write(|db| {
            let ours = everything(db)?;
            merge_jaw_sets(db, &ours, &theirs, &mut merged)?;
            merge_cuts(db, &ours, &theirs, &mut merged)?;
            merge_checks(db, &ours, &theirs, &mut merged)?;
            // Only in sets that the other archive has can a photo have come into a second check.
            for jaw_set in theirs.jaw_sets.keys() {
                unite(db, *jaw_set, &mut merged)?;
            }
            calls::merge(db, &opinions, &mut merged)?;
            prove::merge(db, &proofs, &merged)?;
            merged.labels = labels::merge(db, &labels)?;
            Ok(merged)
        })
    }
}

fn everything(db: &Connection) -> Result<Everything, Fault> {
    let jaw_sets = load::jaw_sets(db, "1", [])?;
    let cuts = load::cuts(db, "1", [])?;
    let checks = load::checks(db, "1", [], Details::Whole)?;
    Ok(Everything {
        jaw_sets: jaw_sets.into_iter().map(|k| (k.record.id, k)).collect(),
        cuts: cuts.into_iter().map(|k| (k.record.id, k)).collect(),
        checks: checks.into_iter().map(|k| (k.check.id, k)).collect(),
    })
}

/// Whether `theirs` stands against `ours`. Of equal times the one whose text sorts later, so that both
/// archives choose alike.
fn stands<T: serde::Serialize>(
    ours: (&T, bool, jiff::civil::DateTime),
    theirs: (&T, bool, jiff::civil::DateTime),
) -> bool {
    let text = |record: &T| serde_json::to_string(record).unwrap_or_default();
    let key = |(record, hidden, changed)| (changed, text(record), hidden);
    key(theirs) > key(ours)
}

fn later_of<T: serde::Serialize + Clone>(
    ours: Option<&Kept<T>>,
    theirs: &Kept<T>,
    changed: impl Fn(&T) -> jiff::civil::DateTime,
) -> Option<Kept<T>> {
    let told = |kept: &Kept<T>| (kept.hidden, changed(&kept.record));
    let Some(ours) = ours else {
        return Some(theirs.clone());
    };
    let ((a, at), (b, bt)) = (told(ours), told(theirs));
    stands((&ours.record, a, at), (&theirs.record, b, bt)).then(|| theirs.clone())
}

fn merge_jaw_sets(
    db: &Connection,
    ours: &Everything,
    theirs: &Everything,
    merged: &mut Merged,
) -> Result<(), Fault> {
    let mut taken: Vec<Kept<JawSet>> = theirs
        .jaw_sets
        .iter()
        .filter_map(|(id, their)| later_of(ours.jaw_sets.get(id), their, |s| s.changed))
        .collect();
    let replaced: HashSet<Id> = taken.iter().map(|k| k.record.id).collect();
    // Names of what stays as it is come first, then those of sets that are here already.
    let mut names: HashSet<String> = ours
        .jaw_sets
        .values()
        .filter(|k| !k.hidden && !replaced.contains(&k.record.id))
        .map(|k| rows::name_key(&k.record.name))
        .collect();
    taken.sort_by_key(|k| !ours.jaw_sets.contains_key(&k.record.id));
    // A numbered name must not be one that a later set of these comes with.
    let wanted: HashSet<String> = taken
        .iter()
        .map(|k| rows::name_key(&k.record.name))
        .collect();
    for set in taken.iter_mut().filter(|k| !k.hidden) {
        if !names.insert(rows::name_key(&set.record.name)) {
            let free = |name: &str| {
                let key = rows::name_key(name);
                !names.contains(&key) && !wanted.contains(&key)
            };
            merged.renamed.push(rename(&mut set.record, free));
            names.insert(rows::name_key(&set.record.name));
        }
    }
    // Two sets may swap names: first none of them has one.
    for id in &replaced {
        let sql = "UPDATE jaw_sets SET name_key = id WHERE id = ?1";
        db.execute(sql, [id.to_string()])?;
    }
    for set in &taken {
        merged.count(0, ours.jaw_sets.contains_key(&set.record.id));
        rows::write_jaw_set(db, &set.record, Some(set.hidden))?;
    }
    Ok(())
}

/// `heron` → `heron (2)`, later than both versions that had the name.
fn rename(set: &mut JawSet, free: impl Fn(&str) -> bool) -> Renamed {
    let from = set.name.clone();
    let numbered = |n: u32| format!("{} ({n})", from.trim());
    let to = (2..=u32::MAX).map(numbered).find(|name| free(name));
    set.name = to.unwrap_or_else(|| format!("{} {}", from.trim(), set.id));
    // Later than either version: else merging the other way would bring the old name back.
    set.changed = stamp(set.changed, set.changed);
    Renamed {
        jaw_set: set.id,
        to: set.name.clone(),
        from,
    }
}

fn merge_cuts(
    db: &Connection,
    ours: &Everything,
    theirs: &Everything,
    merged: &mut Merged,
) -> Result<(), Fault> {
    for (id, their) in &theirs.cuts {
        let our = ours.cuts.get(id);
        if let Some(cut) = later_of(our, their, |c| c.changed) {
            merged.count(1, our.is_some());
            rows::write_cut(db, &cut.record, Some(cut.hidden))?;
        }
    }
    Ok(())
}

fn merge_checks(
    db: &Connection,
    ours: &Everything,
    theirs: &Everything,
    merged: &mut Merged,
) -> Result<(), Fault> {
    for (id, their) in &theirs.checks {
        let our = ours.checks.get(id);
        let now = our.map_or_else(|| their.clone(), |our| both(our, their));
        if our != Some(&now) {
            merged.count(2, our.is_some());
            rows::write_check(db, now.jaw_set, &now.check, Some(now.hidden))?;
        }
    }
    Ok(())
}

/// The later version, with the photos of both.
fn both(ours: &KeptCheck, theirs: &KeptCheck) -> KeptCheck {
    let told = |kept: &KeptCheck| (kept.hidden, kept.check.changed);
    let ((a, at), (b, bt)) = (told(ours), told(theirs));
    let (later, earlier) = if stands((&ours.check, a, at), (&theirs.check, b, bt)) {
        (theirs, ours)
    } else {
        (ours, theirs)
    };
    let mut now = later.clone();
    add_readings(&mut now.check, &earlier.check);
    now
}

fn add_readings(to: &mut FiledCheck, from: &FiledCheck) {
    let has: BTreeSet<String> = to.readings.iter().map(|r| r.sha256.clone()).collect();
    let new = from.readings.iter().filter(|r| !has.contains(&r.sha256));
    to.readings.extend(new.cloned());
}

/// Checks of a set that share a photo, because each archive filed it, become the one with the smaller
/// id; the other is hidden.
fn unite(db: &Connection, jaw_set: Id, merged: &mut Merged) -> Result<(), Fault> {
    // Uniting two may make a third one share a photo with the first.
    while let Some((_, kept, hidden)) = hide::photo_twice(db, jaw_set)? {
        let load = |id: Id| {
            let key = id.to_string();
            let found = load::checks(db, "k.id = ?1", [key.as_str()], Details::Whole)?.pop();
            found.ok_or_else(|| load::unknown("check", &key))
        };
        let (mut first, mut second) = (load(kept)?.check, load(hidden)?.check);
        add_readings(&mut first, &second);
        filing::fill_in(&mut first, &second);
        let latest = first.changed.max(second.changed);
        first.changed = stamp(latest, latest);
        // Both later than what either archive has, so that merging the other way comes to the same.
        second.changed = first.changed;
        rows::write_check(db, jaw_set, &first, Some(false))?;
        rows::write_check(db, jaw_set, &second, Some(true))?;
        merged.united.push(United { kept, hidden });
    }
    Ok(())
}

impl Merged {
    fn count(&mut self, kind: usize, was_here: bool) {
        if was_here {
            self.changed[kind] += 1;
        } else {
            self.added[kind] += 1;
        }
    }
}
