//! `seepline review` and `seepline join`: folders of photos in, a result per photo and per check out.
//!
//! ```text
//! walk → hash, read what is new   → photos          → gather into checks, advise, write → into the archive (`--file`)
//! walk   work (store, `kept`)        records, parts    results, together, pages            file
//! ```
//!
//! | in DIR | holds |
//! | --- | --- |
//! | `readings.jsonl` | a line per photo read, by content, method, tip and version of the program; appended, one write a line |
//! | `files.jsonl` | a line per file: place, size, time of change → SHA-256; a file that changed less than 2 s before it was hashed is hashed again |
//! | `jaws.jsonl` | a line per jaw of several photos, by these, that was read from them together |
//! | `review.jsonl` | the result, written anew at the end of each pass under another name, then renamed |
//! | `groups-given.csv` | the table that was given with `--groups`, for the page that settles what is open and for `join` |
//! | `thumbs/`, `pictures/` | `<SHA-256>.jpg`, 320 px and at most 800 px; written before the photo's line, and made again with its reading where one is gone |
//! | `unfinished` | there while a pass is under way, and after one that was stopped or killed: `join` takes no such part |
//! | `review.lock` | locked by the run at work, with the system's lock, which ends with the process; marks the folder, so that no review walks it |
//!
//! - A last line without its end is cut off at the next start; a line that is none is passed over and its photo read again.
//! - A thread holds one photo, and its networks and stages run on that thread alone (`threads::with`): with as many photos
//!   side by side as there are cores, more threads would only wait for each other.
//! - Lines stay on the disk: each is read when it is asked for, by what comes after and by the pages, and one check is held at a time.
//!   `review` and `join` differ only in where the photos' lines lie (`photos`). `benches/README.md` says what is held of each photo.
//! - A part (`--part K/N`) is the files whose name (as in the result) has a SHA-256 whose first 16 digits, as a number, leave K − 1 when
//!   divided by N. Not their content: to know it every part would read every file, which for a million photos on a shared disk takes
//!   longer than reading them does. The same photo under two names may so be read in two parts; `join` takes the first name, as one
//!   run does. Parts have no checks, as the photos of one check may be in several; `join` forms them from the photo lines, each of
//!   which carries what the table, the archive or the folder said (`told`), so that `join` needs neither. It opens photos only of
//!   jaws that have several, where the parts' `files.jsonl` say that they lay.
//! - Ctrl-C and SIGTERM: the photos under way are finished, the result is written, status 130; checks may lack photos then, and nothing
//!   is filed. The second signal ends at once.

mod file;
mod join;
mod pages;
mod parts;
mod photos;
mod records;
mod results;
mod round;
mod store;
mod together;
mod walk;
mod work;

use std::collections::HashSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU8, Ordering};
use std::thread;
use std::time::Duration;

use anyhow::{Context, ensure};

use super::archive::say;
use super::{Outcome, archive, complain, kept, settings};
use crate::archive::{Archive, ArchiveError, Details};
use crate::commands::cli::ReviewArgs;
use crate::review::{Archived, Sources, Table};
use crate::taper::records::FiledReading;
use crate::taper::rules::Rules;
use crate::text::spreadsheet::Problem;
use records::Tally;
use results::{Counts, Making};
use round::Round;
use store::Store;
use together::Reader;

pub(super) use join::run as join;

/// Between two looks into the folders; looked at anew, not told by the system, so that it works on
/// network shares too.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// Status of a process that a signal ended: 128 and the signal's number, of SIGINT (common practice).
const ENDED_AT_ONCE: i32 = 130;

pub(super) fn run(args: &ReviewArgs) -> anyhow::Result<Outcome> {
    for folder in &args.folders {
        check_folder(folder, &args.result.into)?;
    }
    let rules = settings::rules(&args.result.rules)?;
    let (table, written) = table(args)?;
    let archive = archived(args)?;
    let mut store = Store::open(&args.result.into)?;
    store.keep_groups(written.as_deref())?;
    let stop = stopped_by_signals()?;
    let mut review = Review {
        args,
        rules,
        sources: Sources {
            rows: std::collections::HashMap::new(),
            archive,
            method: args.method,
            tip: args.tip,
            grip: args.grip,
        },
        table,
        said: HashSet::new(),
    };
    let first = review.pass(&mut store, &stop)?;
    if stop.load(Ordering::Relaxed) {
        return Ok(Outcome::Stopped);
    }
    if args.watch {
        return review.watch(&mut store, &stop, first);
    }
    Ok(first.outcome)
}

fn check_folder(folder: &Path, into: &Path) -> anyhow::Result<()> {
    let name = folder.display();
    ensure!(
        folder.is_dir(),
        "{name} is no folder that can be opened; name the folder that the photos are in"
    );
    let place = |path| fs::canonicalize(path).ok();
    ensure!(
        !folder.join(kept::LOCK).exists() && place(folder) != place(into),
        "{name} is a folder for a result; name the folder that the photos are in, and another one with --into"
    );
    Ok(())
}

/// What a run keeps between its passes.
struct Review<'a> {
    args: &'a ReviewArgs,
    rules: Rules,
    sources: Sources,
    table: Table,
    /// Said once, not at every pass.
    said: HashSet<String>,
}

/// What a pass came to, and what it found, so that the next one can tell what is new.
struct Pass {
    outcome: Outcome,
    seen: walk::Seen,
}

impl Review<'_> {
    fn pass(&mut self, store: &mut Store, stop: &AtomicBool) -> anyhow::Result<Pass> {
        let walked = walk::walk(&self.args.folders, &self.args.result.into);
        let seen = walked.seen();
        self.over(store, stop, walked)
            .map(|outcome| Pass { outcome, seen })
    }

    fn over(
        &mut self,
        store: &mut Store,
        stop: &AtomicBool,
        walked: walk::Walked,
    ) -> anyhow::Result<Outcome> {
        // A share that is not there looks empty: what was read of it is not to be lost.
        ensure!(
            self.args.watch || !walked.files.is_empty(),
            "no photos (JPEG, PNG, WebP or HEIC) were found; the result was left as it was. Name the \
             folder that the photos are in"
        );
        let names: Vec<&str> = walked.files.iter().map(|f| f.file.as_str()).collect();
        let (rows, problems) = self.table.of_files(&names);
        self.sources.rows = rows;
        self.tell(&problems);
        let round = Round {
            sources: &self.sources,
            part: self.args.part,
            threads: threads(self.args.threads),
        };
        store.note_finished(false)?;
        let mut contents = Vec::new();
        let (records, tally) = round.run(&walked, &mut contents, store, stop)?;
        // Before the result is written: what was read outlasts a power cut.
        store.keep()?;
        let mut faults = Vec::new();
        let gathered = results::gather(&records, self.args.part.is_some(), |photo| {
            let error = photo.line.error.as_ref();
            faults.extend(error.map(|error| format!("{}: {error}", photo.line.file)));
        })?;
        complain_once(&mut self.said, faults);
        // Anew at each pass: a watch runs for weeks.
        let proof = archive::proof(&self.args.archive, &self.rules);
        let places = walked.places();
        let reader = Reader {
            into: &self.args.result.into,
            places: &|photo| walk::places_of(photo, &places),
            threads: threads(self.args.threads),
            stop,
        };
        let making = Making {
            args: &self.args.result,
            rules: &self.rules,
            proof: proof.as_ref(),
            reader: Some(&reader).filter(|_| self.args.part.is_none()),
        };
        let mut result = making.write(&records, gathered)?;
        let stopped = stop.load(Ordering::Relaxed);
        let questions = result.questions(&self.table, &self.sources.rows)?;
        let title = pages::Title {
            of: pages::names(&self.args.folders),
            note: note(stopped, self.args.part.is_some()),
            rules: &self.rules,
            questions: &questions,
        };
        pages::write_pages(&mut result, &self.args.result.into, &title)?;
        store.note_finished(!stopped)?;
        let open = pages::left_open(&questions, &self.args.result.into);
        say(&(told(&tally, &result.counts, stopped, self.args) + &open))?;
        // Else checks may lack photos, and what is filed stands.
        if self.args.file && !stopped && self.args.part.is_none() {
            file::file(&result, &walked, self.args, &self.sources, &self.rules)?;
        }
        Ok(result.counts.outcome())
    }

    /// Reads what has arrived and stands still, until it is stopped.
    fn watch(
        &mut self,
        store: &mut Store,
        stop: &AtomicBool,
        first: Pass,
    ) -> anyhow::Result<Outcome> {
        let Pass { mut outcome, seen } = first;
        let (mut done, mut before) = (seen.clone(), seen);
        while !stop.load(Ordering::Relaxed) {
            wait(stop);
            let mut walked = walk::walk(&self.args.folders, &self.args.result.into);
            if self.is_away(&walked, &done) {
                continue;
            }
            let now = walked.seen();
            // Still being copied: not before it is the same twice.
            walked
                .files
                .retain(|f| before.get(&f.key) == now.get(&f.key));
            let still = walked.seen();
            before = now;
            if still != done && !stop.load(Ordering::Relaxed) {
                outcome = self.over(store, stop, walked)?;
                done = still;
            }
        }
        Ok(outcome)
    }

    /// Whether a share went away: what was read of it is not to be lost, and it is looked for again.
    fn is_away(&mut self, walked: &walk::Walked, done: &walk::Seen) -> bool {
        let gone = self.args.folders.iter().find(|f| !f.exists());
        let named = gone.or_else(|| {
            let emptied = walked.files.is_empty() && !done.is_empty();
            self.args.folders.first().filter(|_| emptied)
        });
        let Some(folder) = named else { return false };
        complain_once(
            &mut self.said,
            vec![format!(
                "{}: no longer there, or empty; the result stays as it is until it is back",
                folder.display()
            )],
        );
        true
    }

    fn tell(&mut self, problems: &[Problem]) {
        let Some(file) = &self.args.groups else {
            return;
        };
        let line = |p: &Problem| format!("{}, line {}: {}", file.display(), p.line, p.what);
        let lines: Vec<String> = problems.iter().map(line).collect();
        complain_once(&mut self.said, lines);
    }
}

fn complain_once(said: &mut HashSet<String>, mut lines: Vec<String>) {
    lines.retain(|line| said.insert(line.clone()));
    complain(&lines);
}

fn wait(stop: &AtomicBool) {
    let step = Duration::from_millis(100);
    let mut waited = Duration::ZERO;
    while waited < LOOK_EVERY && !stop.load(Ordering::Relaxed) {
        thread::sleep(step);
        waited += step;
    }
}

/// As many as were asked for, else one for each core.
pub(super) fn threads(asked: Option<u16>) -> usize {
    let cores = || thread::available_parallelism().map_or(1, std::num::NonZero::get);
    asked.map_or_else(cores, usize::from)
}

/// With the file's bytes.
fn table(args: &ReviewArgs) -> anyhow::Result<(Table, Option<Vec<u8>>)> {
    let Some(file) = &args.groups else {
        return Ok((Table::default(), None));
    };
    table_in(file).map(|(table, bytes)| (table, Some(bytes)))
}

/// The table in a file, with the file's bytes. A line that is of no use is told and stops none of the others.
pub(super) fn table_in(file: &Path) -> anyhow::Result<(Table, Vec<u8>)> {
    let name = file.display();
    let bytes = fs::read(file).with_context(|| {
        format!("the table {name} could not be read; check its name and permissions")
    })?;
    let (table, problems) = Table::parse(&bytes, settings::LARGEST_TAPER);
    complain(&told_of(file, &problems));
    Ok((table, bytes))
}

/// What is wrong with lines of a table, a line each.
pub(super) fn told_of(file: &Path, problems: &[Problem]) -> Vec<String> {
    let name = file.display();
    let line = |p: &Problem| format!("{name}, line {}: {}", p.line, p.what);
    problems.iter().map(line).collect()
}

/// What the archive says; a shop without one still reviews.
fn archived(args: &ReviewArgs) -> anyhow::Result<Archived> {
    let archive = match Archive::open(&archive::folder(&args.archive)?) {
        // What is to be filed needs an archive that is there.
        Err(ArchiveError::Missing(_)) if !args.file => return Ok(Archived::default()),
        opened => opened?,
    };
    let mut timelines = archive.every_timeline(Details::LeftOut)?;
    let cuts = timelines.iter_mut().flat_map(|t| &mut t.cuts);
    for check in cuts.flat_map(|cut| &mut cut.checks) {
        // Only there the details matter, which are most of an archive.
        if check.readings.iter().any(FiledReading::is_further_view) {
            *check = archive.check(&check.id.to_string())?.record;
        }
    }
    Ok(Archived::of(&timelines))
}

/// Ctrl-C, SIGTERM: the first asks to finish the photos under way, the second ends at once. What was
/// read until then is in the store either way.
pub(super) fn stopped_by_signals() -> anyhow::Result<Arc<AtomicBool>> {
    let stop = Arc::new(AtomicBool::new(false));
    let (asked, times) = (Arc::clone(&stop), AtomicU8::new(0));
    ctrlc::set_handler(move || {
        asked.store(true, Ordering::Relaxed);
        if times.fetch_add(1, Ordering::Relaxed) > 0 {
            std::process::exit(ENDED_AT_ONCE);
        }
    })
    .context("Ctrl-C could not be taken over; run it again")?;
    Ok(stop)
}

/// What the pages must say of a result that is not all of it.
fn note(stopped: bool, part: bool) -> Option<&'static str> {
    match (stopped, part) {
        (true, _) => Some("This review was stopped before its end: run it again to go on."),
        (false, true) => {
            Some("This is one part of a review: `seepline join` makes the whole of all parts.")
        }
        (false, false) => None,
    }
}

fn told(tally: &Tally, counts: &Counts, stopped: bool, args: &ReviewArgs) -> String {
    let photos = counts.photos;
    let checks = match args.part {
        Some(_) => String::new(),
        None => format!(" {} checks;", counts.checks),
    };
    let left = if stopped {
        let left = tally.left;
        format!(" Stopped with {left} files to go: run it again to continue.")
    } else {
        String::new()
    };
    let again = match tally.again {
        0 => String::new(),
        again => format!(" ({again} of them again, as its tip or method was said anew)"),
    };
    format!(
        "{photos} photos, {} read now{again}, {} known already;{}{checks} {} could not be judged, {} not opened. \
         The result is in {}.{left}",
        tally.read,
        photos.saturating_sub(tally.read + tally.unopened),
        counts.read_together(),
        counts.refused,
        counts.broken,
        args.result.into.display()
    )
}
