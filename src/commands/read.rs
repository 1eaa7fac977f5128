//! `seepline read`: the photos of one check in, readings and advice out.

use std::fs;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::calling::{self, Said};
use super::{Outcome, archive, complain, load, pictures, print, settings, text_options};
use crate::archive::shelf::{CheckFacts, Shelf};
use crate::commands::cli::ReadArgs;
use crate::people::opinion::Call;
use crate::reading::face::TipDirection;
use crate::report::check;
use crate::report::{self, CallReport, CheckReport, PhotoReport};
use crate::taper::advice::Setup;
use crate::taper::learning::History;
use crate::taper::rules::Rules;

pub(super) fn run(args: &ReadArgs) -> anyhow::Result<Outcome> {
    let settled = Settled::of(args)?;
    let mut report = answer(args, settled)?;
    let mut faults = file_faults(&report, args.json);
    let mut outcome = outcome_of(&report);
    if let Some(folder) = &args.picture {
        let unwritten = pictures::write_all(folder, &mut report);
        if !unwritten.is_empty() {
            outcome = Outcome::Wrong;
        }
        faults.extend(unwritten);
    }
    complain(&faults);
    print(&written(&report, args.json)?)?;
    Ok(outcome)
}

/// Everything that can be wrong with what was typed, settled before a photo is read, so that nobody waits for
/// a reading and is then refused.
struct Settled {
    shelf: Option<Shelf>,
    said: Said,
    setup: Setup,
    rules: Rules,
    /// None, one for all photos, or one per photo.
    tips: Vec<Option<TipDirection>>,
    /// None, or one per photo.
    jaws: Vec<Option<u8>>,
}

impl Settled {
    fn of(args: &ReadArgs) -> anyhow::Result<Self> {
        let shelf = shelf(args)?;
        let said = calling::said(args, shelf.as_ref())?;
        let setup = settings::setup(args, shelf.as_ref().map(|s| &s.set))?;
        Ok(Self {
            shelf,
            said,
            setup,
            rules: settings::rules(&args.rules)?,
            tips: args.tip.iter().map(|said| said.0).collect(),
            jaws: args.jaw.iter().copied().map(Some).collect(),
        })
    }
}

/// Reads the photos, advises on them, files the check where there is a set to file it under, and puts the call
/// beside the answer.
fn answer(args: &ReadArgs, settled: Settled) -> anyhow::Result<CheckReport> {
    let Settled {
        shelf,
        said,
        setup,
        rules,
        tips,
        jaws,
    } = settled;
    let common = load::Common {
        method: args.method,
        tips: &tips,
        corners: &args.corners,
        jaws: &jaws,
    };
    let photos = load::read_all(&args.photos, common);
    let mut report = match shelf {
        None => check::report(photos, args.method, setup, &rules, &History::default())
            .with_proof(archive::proof(&args.archive, &rules)),
        Some(shelf) => {
            let check = ToFile {
                facts: facts(args),
                photos,
                files: args.photos.clone(),
                setup,
                call: said.now().cloned(),
            };
            read_and_file(shelf, check, common, &rules)?
        }
    };
    if let Some(call) = said.call() {
        report.call = Some(beside(call, &report, args, &rules)?);
    }
    Ok(report)
}

fn written(report: &CheckReport, json: bool) -> anyhow::Result<Vec<u8>> {
    if json {
        return Ok(report::to_json(report)?);
    }
    Ok(report::to_text(report, text_options()).into_bytes())
}

/// The call beside the reading, and beside what is known to have been right.
fn beside(
    call: Call,
    report: &CheckReport,
    args: &ReadArgs,
    rules: &Rules,
) -> anyhow::Result<CallReport> {
    let check = report.filed.as_ref().and_then(|note| note.check);
    let right = match (check, &args.jaws) {
        (Some(check), Some(name)) => {
            let archive = archive::open(&args.archive)?;
            let set = archive.jaw_set(name)?.id;
            archive.right(check, set, rules.estimate())?
        }
        _ => None,
    };
    Ok(CallReport::of(call, report, right, rules))
}

/// The jaw set that was named, before any photo is read: a wrong name costs no waiting.
fn shelf(args: &ReadArgs) -> anyhow::Result<Option<Shelf>> {
    let open = |name: &String| Shelf::of(archive::open(&args.archive)?, name);
    args.jaws.as_ref().map(open).transpose()
}

fn facts(args: &ReadArgs) -> CheckFacts {
    CheckFacts {
        method: args.method,
        compound: args.compound.clone(),
        pressure: args.pressure,
        taper: args.taper,
    }
}

/// A check that was read and is to be filed.
pub(super) struct ToFile {
    pub(super) facts: CheckFacts,
    pub(super) photos: Vec<PhotoReport>,
    /// As `photos`.
    pub(super) files: Vec<PathBuf>,
    pub(super) setup: Setup,
    /// Made before the reading is shown.
    pub(super) call: Option<Call>,
}

/// Advises with the jaw set's history, and files the check.
pub(super) fn read_and_file(
    mut shelf: Shelf,
    mut check: ToFile,
    common: load::Common<'_>,
    rules: &Rules,
) -> anyhow::Result<CheckReport> {
    // Advice is about all photos of a check, also those that were filed with it before.
    let others = shelf.missing_photos(&check.photos)?;
    // What was said photo by photo was said of the photos that were named.
    let said_of_all = common.tips.len() == 1;
    let found_alone = load::Common {
        tips: if said_of_all { common.tips } else { &[] },
        // Corners and jaws were given for the named photos, in their order.
        corners: &[],
        jaws: &[],
        ..common
    };
    check.photos.extend(load::read_all(&others, found_alone));
    check.files.extend(others);
    shelf.say_jaws(&mut check.photos)?;
    let (draft, mut report) = shelf.advise(check.photos, &check.facts, check.setup, rules)?;
    let bytes = |photo: usize| again(&check.files[photo]);
    shelf.file(draft, &mut report, bytes, check.call.as_ref())?;
    Ok(report)
}

/// As it is on the disk now.
fn again(file: &Path) -> anyhow::Result<Vec<u8>> {
    fs::read(file).with_context(|| {
        let file = file.display();
        format!("{file} could not be read a second time, so nothing was filed; do it again")
    })
}

pub(super) fn outcome_of(report: &CheckReport) -> Outcome {
    let of_photo = |(index, photo): (usize, &PhotoReport)| {
        let refused = match report.jaw_of(index) {
            Some(jaw) => jaw.joined.reading.refusal.is_some(),
            None => photo.is_refused(),
        };
        match &photo.outcome {
            Err(_) => Outcome::Wrong,
            Ok(_) if refused => Outcome::Unjudged,
            Ok(_) => Outcome::Done,
        }
    };
    let photos = report.photos.iter().enumerate();
    photos.map(of_photo).max().unwrap_or(Outcome::Wrong)
}

/// One line per broken file. On a terminal the text report shows them already.
fn file_faults(report: &CheckReport, json: bool) -> Vec<String> {
    if !json && io::stdout().is_terminal() && io::stderr().is_terminal() {
        return Vec::new();
    }
    let fault = |p: &PhotoReport| p.outcome.as_ref().err().map(|e| format!("{}: {e}", p.file));
    report.photos.iter().filter_map(fault).collect()
}
