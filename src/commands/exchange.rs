//! `seepline export`, `backup` and `merge`: the archive as files, its copy, and its joining with another.

use std::fs;
use std::path::Path;

use anyhow::{Context, ensure};

use super::archive::{create_or_open, open, say};
use super::{Outcome, pack};
use crate::archive::{Archive, Merged};
use crate::commands::cli::{BackupArgs, ExportArgs, MergeArgs};

pub(super) fn export(args: &ExportArgs) -> anyhow::Result<Outcome> {
    if let Some((into, licence)) = args.labelled.as_ref().zip(args.licence) {
        return pack::export(args, into, licence);
    }
    let to = args.to.as_ref().context("name the folder to write into")?;
    let archive = open(&args.archive)?;
    let told = || {
        let folder = to.display();
        format!("the export could not be written to {folder}; check the folder and its free space")
    };
    fs::create_dir_all(to).with_context(told)?;
    let mut json = serde_json::to_vec_pretty(&archive.export_json()?)?;
    json.push(b'\n');
    write_new(&to.join("archive.json"), &json).with_context(told)?;
    for table in archive.export_csv()? {
        write_new(&to.join(table.name), &table.bytes).with_context(told)?;
    }
    say(&format!(
        "The archive is written to {} as archive.json and six CSV tables.",
        to.display()
    ))?;
    Ok(Outcome::Done)
}

/// Nothing that is there already is written over: it may be somebody's spreadsheet.
fn write_new(file: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    ensure!(
        !file.exists(),
        "{} is there already; move it away or name another folder",
        file.display()
    );
    Ok(fs::write(file, bytes)?)
}

pub(super) fn backup(args: &BackupArgs) -> anyhow::Result<Outcome> {
    let copied = open(&args.archive)?.backup(&args.to)?;
    let (checks, photos) = (copied.checks, copied.photos);
    say(&format!(
        "Copied to {}: {checks} checks, {photos} photos.",
        args.to.display()
    ))?;
    told_missing(&copied.missing)
}

pub(super) fn merge(args: &MergeArgs) -> anyhow::Result<Outcome> {
    // This one first: a wrong name must not leave a new archive behind.
    let other = Archive::open(&args.other)?;
    let mut archive = create_or_open(&args.archive)?;
    let merged = archive.merge(&other)?;
    say(&summary(&merged))?;
    for renamed in &merged.renamed {
        say(&format!(
            "Another set is called {} here already; the one taken in is called {} now.",
            renamed.from, renamed.to
        ))?;
    }
    told_missing(&merged.missing)
}

fn summary(merged: &Merged) -> String {
    let [sets, cuts, checks] = merged.added;
    let called = match merged.calls[0] {
        0 => String::new(),
        calls => format!(", {calls} calls"),
    };
    let labelled = match merged.labels {
        0 => String::new(),
        labels => format!(", {labels} labels"),
    };
    let changed = merged.changed.iter().sum::<usize>() + merged.calls[1];
    let united = merged.united.len();
    let joined = if united > 0 {
        format!(" {united} checks of the same photos were joined.")
    } else {
        String::new()
    };
    format!(
        "Taken in: {sets} jaw sets, {cuts} cuts, {checks} checks{called}{labelled}, {} photos; {changed} records brought up \
         to date.{joined}",
        merged.photos
    )
}

fn told_missing(missing: &[String]) -> anyhow::Result<Outcome> {
    if missing.is_empty() {
        return Ok(Outcome::Done);
    }
    say(&format!(
        "{} photos are missing or damaged where they should lie; their records are kept. The first: {}",
        missing.len(),
        missing[0]
    ))?;
    Ok(Outcome::Unjudged)
}
