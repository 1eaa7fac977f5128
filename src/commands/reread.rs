//! `seepline reread`: all filed photos again with this version, beside what is filed.
//!
//! | in DIR | holds |
//! | --- | --- |
//! | `reread.jsonl` | a line per check read; appended, one write a line, known by check, by when that was written last and by program |
//! | `reread.csv` | the table, written anew at the end under another name, then renamed |
//! | `review.lock` | as of a review |
//!
//! The photos of a check are read by one thread, since those of one jaw are read together. The archive is only read,
//! but for the note that this version has read it.

use std::collections::HashMap;
use std::fs::{self, File};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use anyhow::{Context, ensure};

use super::archive::{now, open, say, show};
use super::progress::Progress;
use super::review::{stopped_by_signals, threads};
use super::{Outcome, complain, kept, load, settings, text_options};
use crate::archive::shelf::readings;
use crate::archive::{Archive, Details};
use crate::commands::cli::RereadArgs;
use crate::people::labels::patterns;
use crate::people::opinion::{Outcomes, Truth, rulings};
use crate::reading::network;
use crate::report::{PhotoReport, check, reread_to_text};
use crate::review::{CheckReread, Known, Reread, Unopened};
use crate::taper::advice::Setup;
use crate::taper::learning::History;
use crate::taper::records::{FiledCheck, FiledReading, Id, Timeline};
use crate::taper::rules::Rules;

const LINES: &str = "reread.jsonl";
const TABLE: &str = "reread.csv";

pub(super) fn run(args: &RereadArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let archive = open(&args.common.archive)?;
    let timelines = archive.every_timeline(Details::LeftOut)?;
    let checks: Vec<&FiledCheck> = timelines.iter().flat_map(Timeline::checks).collect();
    ensure!(
        !checks.is_empty(),
        "no check is filed in this archive, so there is nothing to read again"
    );
    let into = args.into.as_path();
    fs::create_dir_all(into)
        .with_context(|| format!("the folder {} could not be made", into.display()))?;
    let _lock = kept::lock(into)?;
    let lines = kept::append_to(&into.join(LINES))?;
    let done = read_already(into, &checks)?;
    let open: Vec<&FiledCheck> = checks
        .iter()
        .filter(|c| !done.contains_key(&c.id))
        .copied()
        .collect();
    let work = Work {
        archive: Mutex::new(archive),
        lines: Mutex::new(lines),
        rules: &rules,
        stop: stopped_by_signals()?,
        failed: Mutex::new(None),
    };
    let archive = work.all(&open, threads(args.threads))?;
    // From the disk, and so the same whether it was read now or earlier.
    let again = read_already(into, &checks)?;
    let left = checks.len() - again.len();
    if left > 0 {
        say(&format!(
            "Stopped with {left} checks to go: run it again to continue."
        ))?;
        return Ok(Outcome::Stopped);
    }
    finish(archive, &timelines, &again, args, &rules)
}

/// Those of these checks that are read as they stand now, by this program.
fn read_already(into: &Path, checks: &[&FiledCheck]) -> anyhow::Result<HashMap<Id, CheckReread>> {
    let written: HashMap<Id, _> = checks.iter().map(|c| (c.id, c.changed)).collect();
    let mut known = HashMap::new();
    kept::each_line(&into.join(LINES), |line: CheckReread| {
        let stands = written.get(&line.check) == Some(&line.changed);
        if stands && line.program == *network::VERSION {
            known.insert(line.check, line);
        }
    })?;
    Ok(known)
}

struct Work<'a> {
    /// A database connection is for one thread at a time.
    archive: Mutex<Archive>,
    lines: Mutex<File>,
    rules: &'a Rules,
    stop: Arc<AtomicBool>,
    /// Why nothing more can be read or kept.
    failed: Mutex<Option<anyhow::Error>>,
}

impl Work<'_> {
    /// Gives the archive back.
    fn all(self, open: &[&FiledCheck], threads: usize) -> anyhow::Result<Archive> {
        if !open.is_empty() {
            let photos = open.iter().map(|c| c.readings.len()).sum();
            let progress = Progress::over(photos);
            load::side_by_side(
                open,
                threads,
                || self.ends(),
                |check| match self.one(check.id) {
                    Ok(()) => progress.step(check.readings.len()),
                    Err(error) => {
                        let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
                        failed.get_or_insert(error);
                    }
                },
            );
            progress.end();
        }
        let failed = self.failed.into_inner();
        match failed.unwrap_or_else(PoisonError::into_inner) {
            Some(error) => Err(error),
            None => Ok(self
                .archive
                .into_inner()
                .unwrap_or_else(PoisonError::into_inner)),
        }
    }

    fn ends(&self) -> bool {
        self.stop.load(Ordering::Relaxed) || self.failed.lock().is_ok_and(|failed| failed.is_some())
    }

    fn one(&self, check: Id) -> anyhow::Result<()> {
        let (check, photos) = self.filed(check)?;
        let read: Vec<PhotoReport> = check
            .readings
            .iter()
            .zip(&photos)
            .map(|(filed, place)| again(filed, place, &check))
            .collect();
        let unopened = check
            .readings
            .iter()
            .zip(&read)
            .filter_map(|(filed, photo)| {
                Some(Unopened {
                    sha256: filed.sha256.clone(),
                    error: photo.outcome.as_ref().err()?.clone(),
                })
            });
        let unopened = unopened.collect();
        // Joins the photos of a jaw as filing does; the advice is not used.
        let history = History::default();
        let report = check::report(read, check.method, Setup::default(), self.rules, &history);
        let mut readings = readings(&report)?;
        for reading in &mut readings {
            reading.detail = serde_json::Value::Null;
        }
        let line = CheckReread {
            check: check.id,
            changed: check.changed,
            program: network::VERSION.clone(),
            readings,
            unopened,
        };
        kept::append(&self.lines, &line)
            .context("the reading could not be kept; check the space in the folder --into")
    }

    /// With the places of its photos.
    fn filed(&self, check: Id) -> anyhow::Result<(FiledCheck, Vec<std::path::PathBuf>)> {
        let archive = self.archive.lock().unwrap_or_else(PoisonError::into_inner);
        let check = archive.check(&check.to_string())?.record;
        let place = |r: &FiledReading| archive.photo_path(&r.sha256);
        let places = check.readings.iter().map(place).collect::<Result<_, _>>()?;
        Ok((check, places))
    }
}

/// As it was filed.
fn again(filed: &FiledReading, place: &Path, check: &FiledCheck) -> PhotoReport {
    let request = filed.request(check.method);
    // One photo must not end a run of thousands.
    let read = catch_unwind(AssertUnwindSafe(|| load::read_one(place, &request)));
    let outcome = match read {
        Ok(Ok(inspection)) if inspection.photo.sha256 == filed.sha256 => Ok(Box::new(inspection)),
        Ok(Ok(_)) => Err("the photo is damaged in the archive; take it from a backup".to_owned()),
        Ok(Err(error)) => Err(error.to_string()),
        Err(_) => Err("the program failed on this photo; keep it and report that".to_owned()),
    };
    PhotoReport {
        file: filed.file.clone(),
        outcome,
        jaw: filed.jaw(),
        same_as: None,
        picture: None,
    }
}

fn finish(
    mut archive: Archive,
    timelines: &[Timeline],
    again: &HashMap<Id, CheckReread>,
    args: &RereadArgs,
    rules: &Rules,
) -> anyhow::Result<Outcome> {
    let calls = archive.calls()?;
    let rulings = rulings(&calls);
    let labels = archive.labels()?;
    let labelled = patterns(&labels);
    let mut known = Vec::new();
    for timeline in timelines {
        let outcomes = Outcomes::of(timeline, rules.estimate());
        for of_cut in &timeline.cuts {
            known.extend(of_cut.checks.iter().map(|check| {
                Known {
                    jaw_set: &timeline.jaw_set.name,
                    taper: of_cut.cut.taper,
                    check,
                    labelled: &labelled,
                    truth: outcomes
                        .truth(check.id, rulings.get(&check.id).copied())
                        .filter(Truth::proves),
                }
            }));
        }
    }
    let mut reread = Reread::of(&network::VERSION, &known, again, rules.estimate());
    if archive.proof(rules.estimate())?.is_some_and(|p| p.holds()) {
        reread.hold_changes();
    }
    let table = args.into.join(TABLE);
    kept::write(&table, &reread.to_csv())?;
    show(args.common.json, &reread, || {
        reread_to_text(&reread, &table.display().to_string(), text_options())
    })?;
    let missing = |(name, error): &(String, String)| format!("{name}: {error}");
    complain(&reread.unopened.iter().map(missing).collect::<Vec<_>>());
    // Of an archive that may only be read nothing can be noted, and the doctor goes on asking for it.
    if !archive.is_read_only() {
        archive.note_reread(&network::VERSION, now())?;
    }
    Ok(match (reread.lost(), reread.unopened.len()) {
        (0, 0) => Outcome::Done,
        (0, _) => Outcome::Wrong,
        _ => Outcome::Unjudged,
    })
}
