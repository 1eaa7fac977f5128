//! `seepline import`: what a shop has already.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use jiff::civil::DateTime;

use super::archive::{create_or_open, now, open, say};
use super::read::{ToFile, read_and_file};
use super::{Outcome, load, print, settings, text_options};
use crate::archive::shelf::{CheckFacts, Shelf};
use crate::commands::cli::{ImportPhotosArgs, ImportSetsArgs};
use crate::reading::face::TipDirection;
use crate::reading::photo::time_taken;
use crate::report::{self, CheckReport};
use crate::review::PAUSE;
use crate::taper::advice::Setup;
use crate::units::PerSide;

pub(super) fn sets(args: &ImportSetsArgs) -> anyhow::Result<Outcome> {
    let table = fs::read(&args.file).with_context(|| {
        let file = args.file.display();
        format!("the table {file} could not be read; check its name and permissions")
    })?;
    let imported = create_or_open(&args.common.archive)?.import_jaw_sets(&table, now())?;
    say(&format!(
        "{} jaw sets added, {} filled in, {} known already.",
        imported.added.len(),
        imported.filled_in.len(),
        imported.already
    ))?;
    for problem in &imported.problems {
        say(&format!(
            "{}, line {}: {}",
            args.file.display(),
            problem.line,
            problem.what
        ))?;
    }
    Ok(if imported.problems.is_empty() {
        Outcome::Done
    } else {
        Outcome::Wrong
    })
}

pub(super) fn photos(args: &ImportPhotosArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let tapers: Vec<PerSide> = args
        .taper
        .iter()
        .map(|t| settings::taper(*t))
        .collect::<anyhow::Result<_>>()?;
    let checks = grouped(args)?;
    ensure!(
        checks.len() == tapers.len(),
        "the photos in {} make {} checks, and {} tapers were given; give --taper once per check, oldest \
         first, or say with --jaws-per-check how many photos make one:\n{}",
        args.photos.display(),
        checks.len(),
        tapers.len(),
        listed(&checks)
    );
    let said = tips(args, &checks)?.into_iter().zip(jaws(args, &checks)?);
    let mut reports = Vec::new();
    for ((files, (tips, jaws)), taper) in checks.into_iter().zip(said).zip(tapers) {
        reports.push(read_one(args, files, (&tips, &jaws), taper, &rules)?);
    }
    tell(&reports, args.common.json)?;
    Ok(reports
        .iter()
        .map(super::read::outcome_of)
        .max()
        .unwrap_or(Outcome::Wrong))
}

/// What was said of the tips, check by check: once for all photos, or once per photo.
fn tips(
    args: &ImportPhotosArgs,
    checks: &[Vec<PathBuf>],
) -> anyhow::Result<Vec<Vec<Option<TipDirection>>>> {
    let said: Vec<Option<TipDirection>> = args.tip.iter().map(|said| said.0).collect();
    if said.len() <= 1 {
        return Ok(vec![said; checks.len()]);
    }
    let photos: usize = checks.iter().map(Vec::len).sum();
    ensure!(
        said.len() == photos,
        "{} --tip for {photos} photos; give --tip once for all photos, or once per photo, oldest first, with \
         `unsaid` where you don't know:\n{}",
        said.len(),
        listed(checks)
    );
    Ok(by_check(&said, checks))
}

/// Which jaws the photos show, check by check: nothing, or once per photo.
fn jaws(args: &ImportPhotosArgs, checks: &[Vec<PathBuf>]) -> anyhow::Result<Vec<Vec<Option<u8>>>> {
    let photos: usize = checks.iter().map(Vec::len).sum();
    let number = args.jaw.len();
    if number == 0 {
        return Ok(vec![Vec::new(); checks.len()]);
    }
    ensure!(
        number == photos,
        "{number} --jaw for {photos} photos; give --jaw once per photo, oldest first, the same number for photos of one \
         jaw, or not at all:\n{}",
        listed(checks)
    );
    let said: Vec<Option<u8>> = args.jaw.iter().copied().map(Some).collect();
    Ok(by_check(&said, checks))
}

/// What was said once per photo, check by check.
fn by_check<T: Clone>(mut said: &[T], checks: &[Vec<PathBuf>]) -> Vec<Vec<T>> {
    let of_check = |files: &Vec<PathBuf>| {
        let (these, others) = said.split_at(files.len());
        said = others;
        these.to_vec()
    };
    checks.iter().map(of_check).collect()
}

fn read_one(
    args: &ImportPhotosArgs,
    files: Vec<PathBuf>,
    (tips, jaws): (&[Option<TipDirection>], &[Option<u8>]),
    taper: PerSide,
    rules: &crate::taper::rules::Rules,
) -> anyhow::Result<CheckReport> {
    // Opened anew for each check: the one before is part of its history.
    let shelf = Shelf::of(open(&args.common.archive)?, &args.name)?;
    let common = load::Common {
        method: args.method,
        tips,
        corners: &[],
        jaws,
    };
    let check = ToFile {
        facts: CheckFacts {
            method: args.method,
            compound: args.compound.clone(),
            pressure: args.pressure,
            taper: Some(taper),
        },
        photos: load::read_all(&files, common),
        files,
        setup: Setup {
            grip: shelf.set.grip,
            taper: Some(taper),
            length: shelf.set.face_length,
            clearance: None,
        },
        call: None,
    };
    read_and_file(shelf, check, common, rules)
}

fn tell(reports: &[CheckReport], json: bool) -> anyhow::Result<()> {
    for report in reports {
        print(&if json {
            report::to_json(report)?
        } else {
            report::to_text(report, text_options()).into_bytes()
        })?;
    }
    Ok(())
}

/// The folder's photos by the time taken, in checks.
fn grouped(args: &ImportPhotosArgs) -> anyhow::Result<Vec<Vec<PathBuf>>> {
    let mut photos = dated(&args.photos)?;
    // By time, then by name; where none says its time, by name alone.
    photos.sort();
    if let Some(count) = args.jaws_per_check {
        let files: Vec<PathBuf> = photos.into_iter().map(|(_, file)| file).collect();
        ensure!(
            files.len().is_multiple_of(usize::from(count)),
            "{} photos in {} are no whole number of checks of {count}; take out what does not belong, or \
             leave --jaws-per-check out",
            files.len(),
            args.photos.display()
        );
        return Ok(files
            .chunks(count.into())
            .map(<[PathBuf]>::to_vec)
            .collect());
    }
    if let Some((_, file)) = photos.iter().find(|(time, _)| time.is_none()) {
        bail!(
            "{} does not say when it was taken; say with --jaws-per-check how many photos make a check, \
             they are then taken in the order of their names",
            file.display()
        );
    }
    Ok(by_pauses(photos))
}

fn by_pauses(photos: Vec<(Option<DateTime>, PathBuf)>) -> Vec<Vec<PathBuf>> {
    let mut checks: Vec<Vec<PathBuf>> = Vec::new();
    let mut last: Option<DateTime> = None;
    for (time, file) in photos {
        let paused = match (last, time) {
            (Some(last), Some(time)) => time.duration_since(last) > PAUSE,
            _ => true,
        };
        match checks.last_mut().filter(|_| !paused) {
            Some(check) => check.push(file),
            None => checks.push(vec![file]),
        }
        last = time;
    }
    checks
}

/// The folder's photos with the time that each was taken; other files are passed over.
fn dated(folder: &Path) -> anyhow::Result<Vec<(Option<DateTime>, PathBuf)>> {
    let entries = fs::read_dir(folder).with_context(|| {
        let folder = folder.display();
        format!("the folder {folder} could not be opened; check its name and permissions")
    })?;
    let mut found = Vec::new();
    for entry in entries {
        let file = entry?.path();
        if file.is_file() && is_named_like_a_photo(&file) {
            let bytes = fs::read(&file).with_context(|| {
                let file = file.display();
                format!("the photo {file} could not be read; copy it again, or take it out of the folder")
            })?;
            let taken = time_taken(&bytes).and_then(|time| time.parse().ok());
            found.push((taken, file));
        }
    }
    ensure!(
        !found.is_empty(),
        "{} holds no photos (JPEG, PNG, WebP or HEIC); name the folder they are in",
        folder.display()
    );
    Ok(found)
}

pub(super) fn is_named_like_a_photo(file: &Path) -> bool {
    let ending = file.extension().and_then(|e| e.to_str()).unwrap_or("");
    let known = ["jpg", "jpeg", "png", "webp", "heic", "heif"];
    known.iter().any(|k| ending.eq_ignore_ascii_case(k))
}

fn listed(checks: &[Vec<PathBuf>]) -> String {
    let line = |(i, files): (usize, &Vec<PathBuf>)| {
        let names: Vec<_> = files
            .iter()
            .filter_map(|f| f.file_name().map(|n| n.to_string_lossy()))
            .collect();
        format!("  check {}: {}", i + 1, names.join(", "))
    };
    let lines: Vec<String> = checks.iter().enumerate().map(line).collect();
    lines.join("\n")
}
