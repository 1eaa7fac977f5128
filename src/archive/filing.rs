//! Filing checks: every photo of a jaw set once, every check whole.

use std::collections::{HashMap, HashSet};

use rusqlite::{Connection, params};

use super::error::{ArchiveError, Fault};
use super::load::{self, Details};
use super::photos::{checked, hash_of};
use super::{Archive, calls, hide, prove, rows, sets, stamp};
use crate::taper::records::{FiledAdvice, FiledCheck, FiledReading, Id, Mounting};

/// What came of filing a check.
#[derive(Debug, Clone, PartialEq)]
pub struct Filed {
    /// Under which id it is filed.
    pub check: Id,
    /// Under which cut: for photos that were filed earlier the cut of that time.
    pub cut: Id,
    /// What was written.
    pub filing: Filing,
    /// Other checks of this jaw set that hold some of the photos; those photos stay there.
    pub in_other_checks: Vec<Id>,
    /// Where the same photos are filed under other jaw sets: one of the names is probably wrong.
    pub elsewhere: Vec<Elsewhere>,
}

/// What filing a check wrote.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filing {
    /// A new check.
    New,
    /// Some photos were filed already: the others went into the same check, and its readings of these
    /// photos and its advice were replaced.
    Extended {
        /// Photos that were not filed before.
        added: usize,
    },
    /// All photos were filed already. Readings of a newer version, or with another outcome, replaced the
    /// older ones, or what was not known about the check was filled in.
    Refreshed,
    /// All of it was filed already; nothing was written.
    Already,
}

/// A photo under another jaw set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Elsewhere {
    /// Of the photo.
    pub sha256: String,
    /// The other set.
    pub jaw_set: Id,
    /// Its name.
    pub name: String,
    /// The check there.
    pub check: Id,
}

impl Archive {
    /// Files a check under its cut, with the bytes of its photos. The photos reach the disk first, then
    /// the check as a whole. `check.id` is not looked at: the id follows from the jaw set and the first
    /// photo, see [`Filed::check`].
    ///
    /// Photos that this jaw set has in a check that is not hidden are not filed again, see [`Filing`];
    /// readings by an older version of the program never replace newer ones.
    ///
    /// # Errors
    /// Where a reading's photo is neither given nor stored, set or cut do not exist or are hidden, or
    /// the archive cannot be written.
    pub fn file_check(
        &mut self,
        jaw_set: Id,
        check: &FiledCheck,
        photos: &[&[u8]],
    ) -> Result<Filed, ArchiveError> {
        self.file_check_without(jaw_set, check, photos, &[])
    }

    /// As [`Self::file_check`], where photos that the check was filed with were taken out or replaced:
    /// `left_out` is their SHA-256, and the check is filed without them. It has another id then; the one with
    /// them is hidden, and its calls go along. Where none of the check's photos was filed and those of a check
    /// of the same cut are all left out, the given one stands in its place.
    ///
    /// # Errors
    /// As for [`Self::file_check`].
    pub fn file_check_without(
        &mut self,
        jaw_set: Id,
        check: &FiledCheck,
        photos: &[&[u8]],
        left_out: &[&str],
    ) -> Result<Filed, ArchiveError> {
        self.file_answered(jaw_set, check, photos, left_out, &check.advice)
    }

    /// As [`Self::file_check_without`], where `answered` is the advice before it was kept back.
    pub(crate) fn file_answered(
        &mut self,
        jaw_set: Id,
        check: &FiledCheck,
        photos: &[&[u8]],
        left_out: &[&str],
        answered: &FiledAdvice,
    ) -> Result<Filed, ArchiveError> {
        self.writable()?;
        let check = once_each(check);
        if check.readings.is_empty() {
            return Err(ArchiveError::NoReadings);
        }
        // First: a kill may leave a photo without a check, never a check without its photo.
        self.store_all(&check.readings, photos)?;
        // A photo that was taken out and given again is in.
        let still_out = |hash: &&str| !holds(&check, hash);
        let left_out: Vec<&str> = left_out.iter().copied().filter(still_out).collect();
        self.write(|db| {
            let now = check.changed;
            let filed = file(db, jaw_set, check, &left_out)?;
            // What was answered first stands: the same photos again add nothing, whatever is known by then.
            if !matches!(filed.filing, Filing::Refreshed | Filing::Already) {
                prove::note(db, filed.check, answered, now)?;
            }
            Ok(filed)
        })
    }

    /// Writes down what was done about a check; `None` takes it back.
    ///
    /// # Errors
    /// Where there is no such check.
    pub fn note_done(
        &mut self,
        check: Id,
        done: Option<&str>,
        now: jiff::civil::DateTime,
    ) -> Result<(), ArchiveError> {
        self.write(|db| {
            let key = check.to_string();
            let kept = load::checks(db, "k.id = ?1", [key.as_str()], Details::LeftOut)?.pop();
            let kept = kept.ok_or_else(|| load::unknown("check", &key))?;
            let changed = stamp(now, kept.check.changed).to_string();
            db.execute(
                "UPDATE checks SET done = ?2, changed = ?3 WHERE id = ?1",
                params![key, done, changed],
            )?;
            Ok(())
        })
    }

    /// Every photo that a reading is of.
    fn store_all(&self, readings: &[FiledReading], photos: &[&[u8]]) -> Result<(), ArchiveError> {
        let given: HashMap<String, &[u8]> = photos.iter().map(|p| (hash_of(p), *p)).collect();
        for reading in readings {
            let hash = checked(&reading.sha256)?;
            if let Some(bytes) = given.get(hash) {
                self.photos.store(bytes)?;
            } else if !self.photos.holds(hash)? {
                let file = reading.file.clone();
                return Err(ArchiveError::PhotoNotGiven { file });
            }
        }
        Ok(())
    }
}

/// The check with the first reading of each photo.
fn once_each(check: &FiledCheck) -> FiledCheck {
    let mut seen = HashSet::new();
    // A photo that was named twice is one jaw's photo, not evidence twice.
    let mut check = check.clone();
    check.readings.retain(|r| seen.insert(r.sha256.clone()));
    check
}

fn file(
    db: &Connection,
    jaw_set: Id,
    check: FiledCheck,
    left_out: &[&str],
) -> Result<Filed, Fault> {
    // One that is hidden is deleted to whoever files.
    if sets::hidden(db, "jaw_sets", jaw_set)? != Some(false) {
        return Err(load::unknown("jaw set", &jaw_set.to_string()));
    }
    let hashes: Vec<&str> = check.readings.iter().map(|r| r.sha256.as_str()).collect();
    let elsewhere = elsewhere(db, jaw_set, &hashes)?;
    let mut holding = holding(db, jaw_set, &hashes)?;
    // Only then: where some of its photos are filed, the check is that one, whatever was left out.
    if holding.is_empty() {
        holding.extend(replaced(db, jaw_set, check.cut, left_out)?);
    }
    let mut filed = match holding.split_first() {
        None => file_new(db, jaw_set, check)?,
        Some((first, others)) => add_to(db, jaw_set, (first, others), check, left_out)?,
    };
    filed.elsewhere = elsewhere;
    Ok(filed)
}

/// The checks of a set, not hidden, that hold any of these photos; in the photos' order.
pub(super) fn holding(
    db: &Connection,
    jaw_set: Id,
    hashes: &[&str],
) -> Result<Vec<FiledCheck>, Fault> {
    let mut all: Vec<FiledCheck> = Vec::new();
    for hash in hashes {
        if all.iter().any(|c| holds(c, hash)) {
            continue;
        }
        let set = jaw_set.to_string();
        let found = load::checks(db, load::HOLDING, [set.as_str(), hash], Details::Whole)?;
        all.extend(found.into_iter().map(|kept| kept.check));
    }
    Ok(all)
}

/// The check of that cut whose photos are all left out. One of another cut shows what the jaws were then.
pub(super) fn replaced(
    db: &Connection,
    jaw_set: Id,
    cut: Id,
    left_out: &[&str],
) -> Result<Option<FiledCheck>, Fault> {
    let whole = |c: &FiledCheck| {
        let mut photos = c.readings.iter().map(|r| r.sha256.as_str());
        c.cut == cut && photos.all(|hash| left_out.contains(&hash))
    };
    Ok(holding(db, jaw_set, left_out)?.into_iter().find(whole))
}

fn holds(check: &FiledCheck, hash: &str) -> bool {
    check.readings.iter().any(|r| r.sha256 == hash)
}

fn elsewhere(db: &Connection, jaw_set: Id, hashes: &[&str]) -> Result<Vec<Elsewhere>, Fault> {
    let mut statement = db.prepare(
        "SELECT s.id, s.name, k.id FROM readings AS r
            CROSS JOIN checks AS k ON k.id = r.check_id CROSS JOIN cuts AS c ON c.id = k.cut
            CROSS JOIN jaw_sets AS s ON s.id = k.jaw_set
         WHERE r.sha256 = ?1 AND s.id <> ?2 AND k.hidden = 0 AND c.hidden = 0 AND s.hidden = 0
         ORDER BY s.name_key",
    )?;
    let mut all = Vec::new();
    for hash in hashes {
        let mut rows = statement.query(params![hash, jaw_set.to_string()])?;
        while let Some(row) = rows.next()? {
            let (set, check): (String, String) = (row.get(0)?, row.get(2)?);
            all.push(Elsewhere {
                sha256: (*hash).to_owned(),
                jaw_set: load::id(&set, "jaw_sets", "id")?,
                name: row.get(1)?,
                check: load::id(&check, "checks", "id")?,
            });
        }
    }
    Ok(all)
}

fn file_new(db: &Connection, jaw_set: Id, mut check: FiledCheck) -> Result<Filed, Fault> {
    let cut = sets::kept_cut(db, check.cut)?;
    if cut.hidden {
        return Err(load::unknown("cut", &check.cut.to_string()));
    }
    if cut.record.jaw_set != jaw_set {
        let cut = check.cut;
        return Err(ArchiveError::CutOfAnotherSet { cut, jaw_set }.into());
    }
    check.id = free_id(db, jaw_set, &check.readings[0].sha256)?;
    rows::write_check(db, jaw_set, &check, None)?;
    Ok(filed(&check, Filing::New, &[]))
}

/// From the jaw set and the first photo; numbered on where a hidden check has that id, which must keep
/// what it holds.
fn free_id(db: &Connection, jaw_set: Id, first: &str) -> Result<Id, Fault> {
    let set = jaw_set.to_string();
    let mut id = Id::derived(&[&set, first]);
    let mut number = 1;
    while sets::hidden(db, "checks", id)?.is_some() {
        number += 1;
        id = Id::derived(&[&set, first, &number.to_string()]);
    }
    Ok(id)
}

fn filed(check: &FiledCheck, filing: Filing, others: &[FiledCheck]) -> Filed {
    Filed {
        check: check.id,
        cut: check.cut,
        filing,
        in_other_checks: others.iter().map(|c| c.id).collect(),
        elsewhere: Vec::new(),
    }
}

/// Into `first`, which holds at least one of the photos, or only such as are left out.
fn add_to(
    db: &Connection,
    jaw_set: Id,
    (first, others): (&FiledCheck, &[FiledCheck]),
    given: FiledCheck,
    left_out: &[&str],
) -> Result<Filed, Fault> {
    let in_others = |hash: &str| others.iter().any(|c| holds(c, hash));
    let added: Vec<FiledReading> = given
        .readings
        .iter()
        // What stands in another check stays there: a photo is in one check of a set.
        .filter(|r| !holds(first, &r.sha256) && !in_others(&r.sha256))
        .cloned()
        .collect();
    let mut now = first.clone();
    fill_in(&mut now, &given);
    if replaces(&given, first) {
        take_readings(&mut now, &given);
    }
    // Before the advice is looked at: what is left out has no part in it.
    now.readings
        .retain(|r| !left_out.contains(&r.sha256.as_str()));
    // Before the new ones are added, which would hide that some went.
    let fewer = now.readings.len() < first.readings.len();
    let filing = match added.len() {
        0 if now == *first => return Ok(filed(first, Filing::Already, others)),
        0 => Filing::Refreshed,
        added => Filing::Extended { added },
    };
    // Advice is about all photos of a check: with others than before it is the given one.
    if fewer || !added.is_empty() {
        now.readings.extend(added);
        take_advice(&mut now, &given);
    }
    now.changed = stamp(given.changed, first.changed);
    if fewer {
        now.made = given.made;
        put_in_place_of(db, jaw_set, first, &mut now)?;
    } else {
        rows::write_check(db, jaw_set, &now, None)?;
    }
    Ok(filed(&now, filing, others))
}

/// A check that lost photos gets an id of its own, and the one with them is hidden: nothing is deleted, and an
/// archive that has it as it was does not bring the photos back when the two are merged.
fn put_in_place_of(
    db: &Connection,
    jaw_set: Id,
    before: &FiledCheck,
    now: &mut FiledCheck,
) -> Result<(), Fault> {
    hide::set_hidden(db, ("check", "checks"), before.id, true, now.changed)?;
    now.id = free_id(db, jaw_set, &now.readings[0].sha256)?;
    rows::write_check(db, jaw_set, now, None)?;
    calls::follow(db, before.id, now.id, now.changed)?;
    prove::follow(db, before.id, now.id)
}

/// Whether the given readings are to stand: by a newer version, or with another outcome by the same one
/// (read with another tip, method or corners). What was advised at the time is else kept as it was.
fn replaces(given: &FiledCheck, filed: &FiledCheck) -> bool {
    let version = |c: &FiledCheck| (version(&c.program), version(&c.rules));
    let outcome = |r: &FiledReading| (r.pattern, r.refusal, r.seen);
    let otherwise = given.readings.iter().any(|new| {
        let old = filed.readings.iter().find(|r| r.sha256 == new.sha256);
        old.is_some_and(|old| outcome(old) != outcome(new))
    });
    match version(given).cmp(&version(filed)) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Greater => true,
        std::cmp::Ordering::Equal => otherwise || given.method != filed.method,
    }
}

/// In the order of Semantic Versioning 2.0.0, section 11: numbers, then whether it is released, then the parts of a
/// pre-release, numbers before words.
type Version = (Vec<u64>, bool, Vec<(bool, u64, String)>);

/// `0.10.1-rc.2` → 0, 10, 1 and rc, 2; what is no number before the hyphen counts as 0.
fn version(text: &str) -> Version {
    // What stands behind the plus sign says how it was built, not how new it is.
    let text = text.split('+').next().unwrap_or_default();
    let (numbers, before) = text.split_once('-').unwrap_or((text, ""));
    let numbers = numbers.split('.').map(|n| n.parse().unwrap_or(0)).collect();
    let part = |part: &str| match part.parse() {
        Ok(number) => (false, number, String::new()),
        Err(_) => (true, 0, part.to_owned()),
    };
    let parts = before.split('.').filter(|p| !p.is_empty());
    (numbers, before.is_empty(), parts.map(part).collect())
}

/// The given readings in place of those of the same photos; advice and versions with them where they are
/// about the whole check.
fn take_readings(now: &mut FiledCheck, given: &FiledCheck) {
    for reading in &mut now.readings {
        let new = given.readings.iter().find(|r| r.sha256 == reading.sha256);
        if let Some(new) = new {
            *reading = new.clone();
        }
    }
    if now.readings.iter().all(|r| holds(given, &r.sha256)) {
        take_advice(now, given);
    }
}

fn take_advice(now: &mut FiledCheck, given: &FiledCheck) {
    now.method = given.method;
    now.program.clone_from(&given.program);
    now.rules.clone_from(&given.rules);
    now.advice = given.advice.clone();
}

/// What was not known about the check. What was written down stands; it is changed by hand.
pub(crate) fn fill_in(now: &mut FiledCheck, given: &FiledCheck) {
    let fill = |now: &mut Option<String>, given: &Option<String>| {
        if now.is_none() {
            now.clone_from(given);
        }
    };
    fill(&mut now.compound, &given.compound);
    fill(&mut now.done, &given.done);
    now.pressure = now.pressure.or(given.pressure);
    let Mounting {
        machine,
        chuck,
        master_jaws,
        serration,
    } = &mut now.mounting;
    fill(machine, &given.mounting.machine);
    fill(chuck, &given.mounting.chuck);
    fill(master_jaws, &given.mounting.master_jaws);
    fill(serration, &given.mounting.serration);
}

#[cfg(test)]
mod tests {
    use super::version;

    #[test]
    fn versions_are_ordered_as_semantic_versioning_says() {
        // The example of Semantic Versioning 2.0.0, section 11.4, between two releases.
        let rising = [
            "0.10.0",
            "1.0.0-alpha",
            "1.0.0-alpha.1",
            "1.0.0-alpha.beta",
            "1.0.0-beta",
            "1.0.0-beta.2",
            "1.0.0-beta.11",
            "1.0.0-rc.1",
            "1.0.0",
            "1.0.1",
        ];
        for pair in rising.windows(2) {
            assert!(version(pair[0]) < version(pair[1]), "{pair:?}");
        }
        assert_eq!(version("1.0.0+a"), version("1.0.0+b"));
    }
}
