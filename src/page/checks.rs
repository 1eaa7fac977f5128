//! All checks under way, in memory and in the archive's folder, so that a restart loses none: each has a
//! folder of its own with its sheet and its photos under their SHA-256.

use std::collections::HashMap;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant, SystemTime};

use super::fault::{Fault, tell_terminal};
use super::receive::Received;
use crate::archive::in_use;
use crate::archive::shelf::now;
use crate::taper::records::Id;

use crate::under_way::{Filed, Settings, Sheet, UnderWay};

/// In the archive's folder.
const FOLDER: &str = "under-way";
const SHEET: &str = "check.json";
/// At the end of the name of a folder that was set aside: what is in it may be all that is left of a check.
const UNREADABLE: &str = ".unreadable";
/// At the end of the name of a folder that is being removed: a kill in between leaves nothing that looks like a check.
const GONE: &str = ".gone";
/// Where what is handed over arrives: named as what is being removed, so that what a kill leaves there goes at the next start.
const ARRIVING: &str = "arriving.gone";
/// Most checks at once; a shop has a few. What was filed or left longest makes room.
const MOST: usize = 50;
/// A check that nobody touched for so long is thrown away: a weekend, and a day.
const LEFT: Duration = Duration::from_hours(72);
/// Only so long after the server's start the times of files from before it count: a machine whose clock was
/// wrong when it was switched on is set right from the network by then (common practice).
const SETTLED: Duration = Duration::from_hours(1);
/// Most bytes of photos under way: some hundred of a phone's.
pub(super) const MOST_BYTES: u64 = 2 << 30;

/// One check, for one request after the other.
pub(super) type Shared = Arc<Mutex<UnderWay>>;

/// All checks under way.
pub(super) struct Checks {
    folder: PathBuf,
    all: Mutex<HashMap<Id, Shared>>,
    opened: Instant,
}

/// A check's state outlives a panic of whoever held it: a change is written as a whole.
pub(super) fn hold(check: &Shared) -> MutexGuard<'_, UnderWay> {
    check.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Checks {
    /// Those that were under way when the server ended last. What can't be read is set aside and said.
    pub(super) fn open(archive: &Path) -> io::Result<Self> {
        let folder = archive.join(FOLDER);
        fs::create_dir_all(&folder)?;
        let mut all = HashMap::new();
        for entry in fs::read_dir(&folder)? {
            let place = entry?.path();
            match found(&place) {
                Found::Check(check) => {
                    all.insert(check.sheet.id, Arc::new(Mutex::new(*check)));
                }
                Found::Nothing => remove(&place),
                Found::Unreadable(why) => set_aside(&place, &why),
                Found::SetAside => {}
            }
        }
        for place in set_aside_in(archive) {
            tell_terminal(&format!(
                "{} holds a check that could not be read; take its photos out, then delete it (to try it again, take \
                 {UNREADABLE} off its name and start again)",
                place.display()
            ));
        }
        Ok(Self {
            folder,
            all: Mutex::new(all),
            opened: Instant::now(),
        })
    }

    fn all(&self) -> MutexGuard<'_, HashMap<Id, Shared>> {
        self.all.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(super) fn get(&self, id: &str) -> Result<Shared, Fault> {
        let id: Id = id.parse().map_err(|_| Fault::NoSuchCheck)?;
        self.all().get(&id).cloned().ok_or(Fault::NoSuchCheck)
    }

    /// The newest first.
    pub(super) fn list(&self) -> Vec<Shared> {
        let mut all: Vec<(_, Shared)> = Vec::new();
        let checks: Vec<Shared> = self.all().values().cloned().collect();
        for check in checks {
            let begun = hold(&check).sheet.begun;
            all.push((begun, check));
        }
        all.sort_by_key(|(begun, _)| std::cmp::Reverse(*begun));
        all.into_iter().map(|(_, check)| check).collect()
    }

    pub(super) fn begin(&self, settings: Settings) -> Result<(Id, Shared), Fault> {
        self.tidy();
        let id = Id::random().map_err(|_| Fault::Defect)?;
        let sheet = Sheet::new(id, now(), settings);
        let mut check = UnderWay::of(sheet, self.folder.join(id.to_string()));
        check.touched = Some(Instant::now());
        fs::create_dir(&check.folder)?;
        write(&check)?;
        let check = Arc::new(Mutex::new(check));
        self.all().insert(id, Arc::clone(&check));
        Ok((id, check))
    }

    /// Where a file arrives that is of no check here.
    pub(super) fn arriving(&self) -> Result<PathBuf, Fault> {
        let place = self.folder.join(ARRIVING);
        fs::create_dir_all(&place)?;
        Ok(place)
    }

    /// Throws a check away.
    pub(super) fn discard(&self, id: Id) {
        let check = self.all().remove(&id);
        if let Some(check) = check {
            let mut check = hold(&check);
            // For those who hold it still: nothing more is written into its folder.
            check.gone = true;
            remove(&check.folder);
        }
    }

    /// What was left long ago goes; where there are too many, what was filed goes first.
    pub(super) fn tidy(&self) {
        let mut all: Vec<(bool, Touched, Id)> = Vec::new();
        for check in self.list() {
            let check = hold(&check);
            let open =
                check.sheet.filed.is_none_or(|f| !f.up_to_date) && !check.sheet.photos.is_empty();
            let touched = Touched {
                here: check.touched,
                file: touched(&check.folder),
            };
            all.push((open, touched, check.sheet.id));
        }
        all.sort_unstable_by_key(|(open, touched, _)| (*open, *touched));
        // One fewer, as a check is about to begin.
        let too_many = all.len().saturating_sub(MOST - 1);
        for (index, (_, touched, id)) in all.into_iter().enumerate() {
            if index < too_many || touched.long_ago(self.opened, Instant::now(), SystemTime::now())
            {
                self.discard(id);
            }
        }
    }

    /// Whether one more photo has room.
    pub(super) fn room(&self) -> Result<(), Fault> {
        let of = |check: &Shared| {
            hold(check)
                .sheet
                .photos
                .iter()
                .map(|p| p.bytes)
                .sum::<u64>()
        };
        let held: u64 = self.list().iter().map(of).sum();
        if held > MOST_BYTES {
            let text =
                "too many photos are under way; file or throw away checks, and send it again";
            return Err(Fault::Conflict(text.into()));
        }
        Ok(())
    }
}

/// When a check was last changed. What was not changed since the server started comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Touched {
    /// Since the server started.
    here: Option<Instant>,
    /// As its file says, by whatever the clock said then.
    file: SystemTime,
}

impl Touched {
    /// Clocks are set, back and forth: what was changed while the server runs goes by the time that it ran.
    fn long_ago(self, opened: Instant, now: Instant, clock: SystemTime) -> bool {
        if let Some(here) = self.here {
            return now.saturating_duration_since(here) > LEFT;
        }
        let age = clock.duration_since(self.file).unwrap_or_default();
        age > LEFT && now.saturating_duration_since(opened) > SETTLED
    }
}

/// What a folder turns out to be.
enum Found {
    Check(Box<UnderWay>),
    /// Nothing was begun in it, or it was being removed.
    Nothing,
    /// With the reason.
    Unreadable(String),
    /// Earlier.
    SetAside,
}

/// A check as it was left. An error of the disk that passes must not cost it, so that only what surely holds nothing
/// counts as nothing.
fn found(place: &Path) -> Found {
    let name = place.file_name().unwrap_or_default().to_string_lossy();
    if name.ends_with(UNREADABLE) {
        return Found::SetAside;
    }
    if name.ends_with(GONE) {
        return Found::Nothing;
    }
    let bytes = match fs::read(place.join(SHEET)) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound && holds_nothing(place) => {
            return Found::Nothing;
        }
        Err(error) => return Found::Unreadable(error.to_string()),
    };
    let sheet: Sheet = match serde_json::from_slice(&bytes) {
        Ok(sheet) => sheet,
        Err(error) => return Found::Unreadable(error.to_string()),
    };
    // A copy of another check's folder would be that check twice.
    if *name != sheet.id.to_string() {
        return Found::Unreadable("it is the check of another folder".to_owned());
    }
    let mut check = UnderWay::of(sheet, place.to_path_buf());
    check
        .sheet
        .photos
        // What stands in the sheet becomes a path; and a kill may have come before the photo had its name.
        .retain(|p| is_hash(&p.sha256) && is_there(&place.join(&p.sha256)));
    leave_only(&check);
    Found::Check(Box::new(check))
}

/// Killed before its first sheet was written: no photo was sent yet.
fn holds_nothing(folder: &Path) -> bool {
    let photo = |e: fs::DirEntry| e.file_name().to_str().is_some_and(is_hash);
    fs::read_dir(folder).is_ok_and(|mut entries| !entries.any(|e| e.map_or(true, photo)))
}

/// What can't be asked for counts as there: a photo that counts as gone is removed.
fn is_there(file: &Path) -> bool {
    match fs::metadata(file) {
        Ok(metadata) => metadata.is_file(),
        Err(error) => error.kind() != ErrorKind::NotFound,
    }
}

/// Never removed: the photos in it may be the only ones.
fn set_aside(place: &Path, why: &str) {
    let name = place.display();
    let told = match in_use::rename(place, &renamed(place, UNREADABLE)) {
        Ok(()) => {
            format!("the check under way in {name} could not be read ({why}) and was set aside")
        }
        Err(error) => format!(
            "the check under way in {name} could not be read ({why}), nor set aside: {error}"
        ),
    };
    tell_terminal(&told);
}

fn renamed(place: &Path, ending: &str) -> PathBuf {
    let mut name = place.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Folders of checks that could not be read when a server started.
pub(crate) fn set_aside_in(archive: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(archive.join(FOLDER)).into_iter().flatten();
    let places = entries.filter_map(|e| Some(e.ok()?.path()));
    let mut all: Vec<PathBuf> = places
        .filter(|p| p.to_string_lossy().ends_with(UNREADABLE))
        .collect();
    all.sort();
    all
}

fn is_hash(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| b.is_ascii_hexdigit())
}

/// Removes what is no longer needed, or was left by a kill: photos taken out, uploads that broke off.
fn leave_only(check: &UnderWay) {
    let Ok(entries) = fs::read_dir(&check.folder) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let known = name.to_str().is_some_and(|n| n == SHEET || check.needs(n));
        if !known {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn touched(folder: &Path) -> SystemTime {
    let modified = fs::metadata(folder.join(SHEET)).and_then(|m| m.modified());
    modified.unwrap_or(SystemTime::UNIX_EPOCH)
}

/// A folder that stays is looked at again at the next start. Renamed first: the sheet may go before the photos.
fn remove(place: &Path) {
    let going = renamed(place, GONE);
    let going = in_use::rename(place, &going).map_or_else(|_| place.to_path_buf(), |()| going);
    if let Err(error) = fs::remove_dir_all(&going)
        && error.kind() != ErrorKind::NotFound
    {
        tell_terminal(&format!(
            "{} could not be removed: {error}",
            place.display()
        ));
    }
}

/// The sheet as a whole, or as it was.
pub(super) fn write(check: &UnderWay) -> Result<(), Fault> {
    if check.gone {
        return Err(Fault::NoSuchCheck);
    }
    let text = serde_json::to_vec(&check.sheet).map_err(|_| Fault::Defect)?;
    // A kill in between leaves the sheet as it was; synced, as a power cut may keep the new name and not the bytes.
    let apart = check.folder.join(format!("{SHEET}.new"));
    let mut file = File::create(&apart)?;
    file.write_all(&text)?;
    file.sync_all()?;
    drop(file);
    Ok(in_use::rename(&apart, &check.folder.join(SHEET))?)
}

/// A change that is on the disk, too, or not made at all. What was filed is behind after it.
pub(super) fn change<T>(
    check: &mut UnderWay,
    change: impl FnOnce(&mut UnderWay) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let before = (
        check.sheet.clone(),
        check.answer.clone(),
        check.problem.clone(),
    );
    let done = change(check).and_then(|done| {
        check.changed();
        check.touched = Some(Instant::now());
        write(check)?;
        Ok(done)
    });
    if done.is_err() {
        (check.sheet, check.answer, check.problem) = before;
    }
    done
}

/// Forgets photos that are no longer needed.
pub(super) fn forget_others(check: &mut UnderWay) {
    let known = check.reads.keys().cloned();
    let gone: Vec<String> = known.filter(|sha256| !check.needs(sha256)).collect();
    for sha256 in gone {
        check.reads.remove(&sha256);
        // What stays is removed when the server starts again.
        let _ = fs::remove_file(check.folder.join(sha256));
    }
}

/// Gives an upload its place among the check's photos.
pub(super) fn keep(check: &UnderWay, received: &Received) -> Result<(), Fault> {
    if check.gone {
        return Err(Fault::NoSuchCheck);
    }
    Ok(in_use::rename(
        &received.file,
        &check.folder.join(&received.sha256),
    )?)
}

/// Notes that the check was filed as it is now.
pub(super) fn note_filed(check: &mut UnderWay, id: Id) -> Result<(), Fault> {
    check.sheet.filed = Some(Filed {
        check: id,
        up_to_date: true,
    });
    check.touched = Some(Instant::now());
    write(check)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_is_set_throws_nothing_away_that_was_just_changed() {
        let (opened, clock) = (Instant::now(), SystemTime::now());
        let year = Duration::from_hours(365 * 24);
        let (hour, days) = (Duration::from_hours(1), Duration::from_hours(73));
        let (later, much_later) = (opened + 2 * hour, opened + days);
        let of = |here, file| Touched { here, file };
        // Changed while the server runs: the clock has no say.
        for file in [clock, clock - year, clock + year] {
            assert!(!of(Some(opened), file).long_ago(opened, later, clock));
            assert!(of(Some(opened), file).long_ago(opened, much_later, clock));
        }
        // From before it started: the file's time counts, once the clock is likely right.
        assert!(!of(None, clock - year).long_ago(opened, opened, clock));
        assert!(of(None, clock - year).long_ago(opened, later, clock));
        assert!(!of(None, clock - 2 * hour).long_ago(opened, much_later, clock));
        assert!(!of(None, clock + year).long_ago(opened, later, clock));
    }

    /// A check with one photo in a folder of its own, as a server leaves it.
    fn left(archive: &Path) -> PathBuf {
        let (_, check) = Checks::open(archive)
            .unwrap()
            .begin(Settings::default())
            .unwrap();
        let folder = hold(&check).folder.clone();
        fs::write(folder.join("a".repeat(64)), b"photo").unwrap();
        folder
    }

    #[test]
    fn a_check_that_cannot_be_read_is_set_aside_with_its_photos() {
        for broken in [Some(&b""[..]), Some(b"{\"id\":"), None] {
            let archive = tempfile::tempdir().unwrap();
            let folder = left(archive.path());
            match broken {
                Some(bytes) => fs::write(folder.join(SHEET), bytes).unwrap(),
                None => fs::remove_file(folder.join(SHEET)).unwrap(),
            }
            // The second start leaves it as it is.
            for _ in 0..2 {
                assert!(Checks::open(archive.path()).unwrap().list().is_empty());
                let aside = renamed(&folder, UNREADABLE);
                assert_eq!(set_aside_in(archive.path()), std::slice::from_ref(&aside));
                assert_eq!(fs::read(aside.join("a".repeat(64))).unwrap(), b"photo");
            }
        }
    }

    #[test]
    fn what_was_never_begun_or_was_thrown_away_is_removed() {
        let archive = tempfile::tempdir().unwrap();
        let folder = left(archive.path());
        fs::rename(&folder, renamed(&folder, GONE)).unwrap();
        fs::create_dir(&folder).unwrap();
        assert!(Checks::open(archive.path()).unwrap().list().is_empty());
        let entries = fs::read_dir(archive.path().join(FOLDER)).unwrap();
        assert_eq!(entries.count(), 0);
    }

    #[test]
    fn what_was_changed_last_makes_room_last() {
        let (now, clock) = (Instant::now(), SystemTime::now());
        let of = |here, file| Touched { here, file };
        let early = of(None, clock);
        let later = of(Some(now), clock - LEFT);
        assert!(early < later && later < of(Some(now + LEFT), clock - 2 * LEFT));
    }
}
