//! `seepline join`: the parts of a review, read apart, become one result.

use std::cell::LazyCell;
use std::collections::HashSet;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use anyhow::{Context, ensure};

use super::results::{self, RESULT, Title};
use super::store::{self, GROUPS, PICTURES, THUMBS, is_unfinished};
use super::together::Reader;
use crate::commands::archive::{self, say};
use crate::commands::cli::JoinArgs;
use crate::commands::kept;
use crate::commands::{Outcome, complain, settings};
use crate::report::SETTLE_PAGE;
use crate::review::{PhotoRecord, Questions, ResultLine, Table};

pub(in crate::commands) fn run(args: &JoinArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.result.rules)?;
    let into = &args.result.into;
    // Before the folder is made: a part without a result leaves nothing behind.
    let photos = photos(args)?;
    fs::create_dir_all(into)
        .with_context(|| format!("the folder {} could not be made", into.display()))?;
    let _lock = kept::lock(into)?;
    for part in &args.parts {
        for folder in [THUMBS, PICTURES] {
            take_over(&part.join(folder), &into.join(folder))?;
        }
    }
    let proof = archive::proof(&args.archive, &rules);
    let noted = LazyCell::new(|| store::noted(&args.parts));
    let reader = Reader {
        into,
        places: &|photo| noted.get(&photo.line.sha256).cloned().unwrap_or_default(),
        threads: super::threads(None),
        stop: &AtomicBool::new(false),
    };
    let result = results::of(photos, &rules, proof.as_ref(), Some(&reader))?;
    let table = table(args)?;
    let files: Vec<&str> = result.photos.iter().flat_map(|p| p.line.names()).collect();
    let (rows, _) = table.of_files(&files);
    let questions = Questions::of(&result.photos, &result.checks, &table, &rows);
    let title = Title {
        of: results::names(&args.parts),
        note: None,
        rules: &rules,
        questions: &questions,
    };
    results::write(&result, &args.result, &title)?;
    say(&format!(
        "{} photos,{} {} checks from {} parts. The result is in {}.{}",
        result.photos.len(),
        results::read_together(&result),
        result.checks.len(),
        args.parts.len(),
        into.display(),
        results::left_open(&questions, into)
    ))?;
    Ok(results::outcome(&result))
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

/// By file, each content once; a part that is named twice counts once.
fn photos(args: &JoinArgs) -> anyhow::Result<Vec<PhotoRecord>> {
    let mut photos: Vec<PhotoRecord> = Vec::new();
    for part in &args.parts {
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
        kept::each_line(&place, |line: ResultLine| {
            if let ResultLine::Photo(photo) = line {
                photos.push(*photo);
            }
        })?;
    }
    photos.sort_by(|a, b| by_file(a).cmp(&by_file(b)));
    photos.dedup_by(|a, b| by_file(a) == by_file(b));
    gather_copies(&mut photos);
    Ok(photos)
}

fn by_file(photo: &PhotoRecord) -> (&str, &str) {
    (&photo.line.file, &photo.line.sha256)
}

/// The first file with a content stands for all others with it, as in one run: parts are split by name, so the same photo
/// may be in several.
fn gather_copies(photos: &mut Vec<PhotoRecord>) {
    let opened = |i: &usize| !photos[*i].line.sha256.is_empty();
    let mut by_content: Vec<usize> = (0..photos.len()).filter(opened).collect();
    let content = |i: &usize| photos[*i].line.sha256.as_str();
    by_content.sort_by(|a, b| content(a).cmp(content(b)));
    let several = by_content.chunk_by(|a, b| content(a) == content(b));
    let several = several.filter(|copies| copies.len() > 1);
    let several: Vec<Vec<usize>> = several.map(<[usize]>::to_vec).collect();
    let mut others: HashSet<usize> = HashSet::new();
    for copies in several {
        let mut files: Vec<String> = Vec::new();
        for copy in &copies {
            files.extend(photos[*copy].line.names().map(str::to_owned));
        }
        files.sort();
        // The sort above keeps equal contents in the order of their files.
        photos[copies[0]].line.same_as = files.split_off(1);
        others.extend(&copies[1..]);
    }
    let mut at = 0..;
    photos.retain(|_| at.next().is_none_or(|i| !others.contains(&i)));
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
