//! `seepline import phone`: checks that a phone made alone, into the archive.

use std::path::PathBuf;
use std::sync::Arc;

use anyhow::{Context, bail, ensure};
use sha2::{Digest, Sha256};

use super::archive::open;
use super::{Outcome, complain, print, read, settings, text_options};
use crate::archive::shelf::Shelf;
use crate::commands::cli::ImportPhoneArgs;
use crate::phone::tar;
use crate::report::{self, CheckReport, words};
use crate::taper::rules::Rules;
use crate::under_way::{Read, Sheet, UnderWay};

/// A file of the archive that the phone made, without its folder's name.
type Part<'a> = (&'a str, &'a [u8]);

/// A check, with the photos that lie beside it.
struct Saved<'a> {
    sheet: Sheet,
    photos: Vec<Part<'a>>,
}

pub(super) fn run(args: &ImportPhoneArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let file = args.file.display();
    let bytes = std::fs::read(&args.file).with_context(|| {
        format!("the file {file} could not be read; check its name and permissions")
    })?;
    let parts = tar::files(&bytes).with_context(|| {
        format!("{file} is no file of checks, or not all of it came; save it on the phone again")
    })?;
    let chosen = chosen(saved(&parts)?, args)?;
    let mut outcome = Outcome::Done;
    for check in chosen {
        let id = check.sheet.id;
        // One that cannot be filed keeps none of the others out.
        match filed(args, check, &rules) {
            Ok(report) => {
                outcome = outcome.max(read::outcome_of(&report));
                print(&if args.common.json {
                    report::to_json(&report)?
                } else {
                    report::to_text(&report, text_options()).into_bytes()
                })?;
            }
            Err(error) => {
                outcome = Outcome::Wrong;
                complain(&[format!("check {id}: {error:#}")]);
            }
        }
    }
    Ok(outcome)
}

/// Each check has a folder of its own, with its sheet before its photos.
fn saved<'a>(parts: &[Part<'a>]) -> anyhow::Result<Vec<Saved<'a>>> {
    let mut all: Vec<Saved<'a>> = Vec::new();
    for (name, bytes) in parts {
        let (folder, name) = name.split_once('/').unwrap_or_default();
        if name == "check.json" {
            let sheet = serde_json::from_slice(bytes).with_context(|| {
                format!("the check {folder} cannot be read; a newer version of seepline may have made it")
            })?;
            let photos = Vec::new();
            all.push(Saved { sheet, photos });
        } else if let Some(check) = all.last_mut().filter(|c| c.sheet.id.to_string() == folder) {
            check.photos.push((name, bytes));
        }
    }
    Ok(all)
}

/// Those that were named, or the only one: checks of other jaws must not go under this set.
fn chosen<'a>(all: Vec<Saved<'a>>, args: &ImportPhoneArgs) -> anyhow::Result<Vec<Saved<'a>>> {
    let listed: String = all.iter().map(in_short).collect();
    ensure!(!all.is_empty(), "{} holds no check", args.file.display());
    if args.check.is_empty() {
        ensure!(
            all.len() == 1,
            "the file holds {} checks; say with --check which are of {}:{listed}",
            all.len(),
            args.name
        );
        return Ok(all);
    }
    let is = |check: &Saved, said: &String| check.sheet.id.to_string().starts_with(said.as_str());
    if let Some(said) = args
        .check
        .iter()
        .find(|said| all.iter().filter(|c| is(c, said)).count() != 1)
    {
        bail!("{said} is not the beginning of exactly one check of the file:{listed}");
    }
    let named = |check: &Saved| args.check.iter().any(|said| is(check, said));
    Ok(all.into_iter().filter(named).collect())
}

fn in_short(check: &Saved) -> String {
    let Sheet {
        id, begun, photos, ..
    } = &check.sheet;
    format!("\n  {id}, begun {begun}, {}", words::photos(photos.len()))
}

/// Reads it again, and files it as a whole or not at all.
fn filed(args: &ImportPhoneArgs, saved: Saved, rules: &Rules) -> anyhow::Result<CheckReport> {
    let mut check = UnderWay::of(saved.sheet, PathBuf::new());
    let bytes = |sha256: &str| {
        // Also where it is there under its name: a file may be damaged on its way.
        let whole = |(name, bytes): &&Part| *name == sha256 && hash_of(bytes) == sha256;
        let there = saved.photos.iter().find(whole);
        let (_, bytes) = there.context(
            "one of its photos is not in the file, or damaged; save it on the phone again",
        )?;
        anyhow::Ok(bytes.to_vec())
    };
    for photo in &check.sheet.photos {
        let read = Read::of_bytes(&bytes(&photo.sha256)?, &check.request(photo));
        let read = read.with_context(|| photo.name.clone())?;
        check.reads.insert(photo.sha256.clone(), Arc::new(read));
    }
    let sheet = &check.sheet;
    let shelf = Shelf::of(open(&args.common.archive)?, &args.name)?;
    let mut shelf = shelf.leaving_out(sheet.left_out.iter().cloned().collect());
    let setup = sheet.settings.setup(Some(&shelf.set));
    let (draft, mut report) =
        shelf.advise(check.reports(), &(&sheet.settings).into(), setup, rules)?;
    let hashes: Vec<&str> = sheet.photos.iter().map(|p| p.sha256.as_str()).collect();
    let mut call = sheet.call.clone();
    if let Some(own) = &call
        && shelf.called(&hashes, &own.by)?.is_some()
    {
        call = None;
    }
    shelf.file(draft, &mut report, |i| bytes(hashes[i]), call.as_ref())?;
    Ok(report)
}

fn hash_of(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}
