//! `seepline join`: the parts of a review, read apart, become one result.

use std::cell::LazyCell;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use anyhow::{Context, ensure};

use super::pages::{self, Title};
use super::parts::Parts;
use super::results::{self, Making, RESULT};
use super::store::{GROUPS, Noted, PICTURES, THUMBS, is_unfinished};
use super::together::Reader;
use crate::commands::archive::{self, say};
use crate::commands::cli::JoinArgs;
use crate::commands::kept;
use crate::commands::{Outcome, complain, settings};
use crate::report::SETTLE_PAGE;
use crate::review::Table;

pub(in crate::commands) fn run(args: &JoinArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.result.rules)?;
    let into = &args.result.into;
    // Before the folder is made: a part without a result leaves nothing behind.
    let photos = Parts::open(&results_of(args)?)?;
    fs::create_dir_all(into)
        .with_context(|| format!("the folder {} could not be made", into.display()))?;
    let _lock = kept::lock(into)?;
    for part in &args.parts {
        for folder in [THUMBS, PICTURES] {
            take_over(&part.join(folder), &into.join(folder))?;
        }
    }
    let table = table(args)?;
    let mut naming = table.naming();
    let gathered = results::gather(&photos, false, |photo| {
        photo.line.names().for_each(|name| naming.file(name));
    })?;
    let (rows, _) = naming.finish();
    let proof = archive::proof(&args.archive, &rules);
    let noted = LazyCell::new(|| Noted::of(&args.parts));
    let reader = Reader {
        into,
        places: &|photo| noted.places(&photo.line.sha256),
        threads: super::threads(None),
        stop: &AtomicBool::new(false),
    };
    let making = Making {
        args: &args.result,
        rules: &rules,
        proof: proof.as_ref(),
        reader: Some(&reader),
    };
    let mut result = making.write(&photos, gathered)?;
    let questions = result.questions(&table, &rows)?;
    let title = Title {
        of: pages::names(&args.parts),
        note: None,
        rules: &rules,
        questions: &questions,
    };
    pages::write_pages(&mut result, into, &title)?;
    let counts = &result.counts;
    say(&format!(
        "{} photos,{} {} checks from {} parts. The result is in {}.{}",
        counts.photos,
        counts.read_together(),
        counts.checks,
        args.parts.len(),
        into.display(),
        pages::left_open(&questions, into)
    ))?;
    Ok(counts.outcome())
}

/// The table that the parts were read with; its faults were said then.
fn table(args: &JoinArgs) -> anyhow::Result<Table> {
    let given = |part: &PathBuf| fs::read(part.join(GROUPS)).ok();
    let tables: Vec<Vec<u8>> = args.parts.iter().filter_map(given).collect();
    let Some(first) = tables.first() else {
        return Ok(Table::default());
    };
    if tables.iter().any(|table| table != first) {
        complain(&[format!(
            "the parts were read with different tables; the page {SETTLE_PAGE} goes on from the first one only"
        )]);
    }
    fs::write(args.result.into.join(GROUPS), first).context("the table could not be kept")?;
    Ok(Table::parse(first, settings::LARGEST_TAPER).0)
}

fn results_of(args: &JoinArgs) -> anyhow::Result<Vec<PathBuf>> {
    let result = |part: &PathBuf| {
        let place = part.join(RESULT);
        ensure!(
            place.is_file(),
            "{} holds no result of a review; name the folder that was given as --into",
            part.display()
        );
        ensure!(
            !is_unfinished(part),
            "{} is not finished: it was stopped, or is at work; run its command again to its end, then join",
            part.display()
        );
        Ok(place)
    };
    args.parts.iter().map(result).collect()
}

/// The pictures that are not there yet, as a further name for the same file where the file system has such: they are most
/// of a result's size, and no picture is ever written into.
fn take_over(from: &Path, into: &Path) -> anyhow::Result<()> {
    let Ok(entries) = fs::read_dir(from) else {
        return Ok(());
    };
    let told = || format!("{} could not be copied; check the space", from.display());
    fs::create_dir_all(into).with_context(told)?;
    for entry in entries {
        let entry = entry.with_context(told)?;
        let place = into.join(entry.file_name());
        let picture = entry.path().extension() == Some(OsStr::new("jpg"));
        if picture && !place.exists() && fs::hard_link(entry.path(), &place).is_err() {
            fs::copy(entry.path(), &place).with_context(told)?;
        }
    }
    Ok(())
}
