//! Records → the result's files.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::work::write as write_whole;
use crate::cli::ResultArgs;
use crate::commands::Outcome;
use crate::review::{
    CheckLine, PhotoRecord, check_lines, checks_csv, gather, photos_csv, to_jsonl,
};
use crate::rules::Rules;

pub(super) const RESULT: &str = "review.jsonl";

/// What a review comes to.
pub(super) struct Reviewed {
    /// By file.
    pub(super) photos: Vec<PhotoRecord>,
    /// By jaw set, then when they were made; none for a part.
    pub(super) checks: Vec<CheckLine>,
}

/// A part has no checks: photos of one check may be in several parts.
pub(super) fn of(mut photos: Vec<PhotoRecord>, rules: &Rules, whole: bool) -> Reviewed {
    let mut checks = Vec::new();
    if whole {
        let gathered = gather(&mut photos);
        checks = check_lines(&gathered, &photos, rules);
    }
    Reviewed { photos, checks }
}

/// Writes `review.jsonl`, the pages, and what else was asked for.
pub(super) fn write(result: &Reviewed, args: &ResultArgs) -> anyhow::Result<()> {
    let own = args.into.join(RESULT);
    for place in std::iter::once(&own).chain(&args.jsonl) {
        write_jsonl(result, place)?;
    }
    if let Some(place) = &args.csv {
        write_whole(place, &checks_csv(&result.checks))?;
        write_whole(&beside(place), &photos_csv(&result.photos))?;
    }
    write_pages(result, &args.into)
}

fn write_jsonl(result: &Reviewed, place: &Path) -> anyhow::Result<()> {
    let name = place.display();
    let partly = place.with_extension("part");
    let write = || {
        let mut file = BufWriter::new(File::create(&partly)?);
        to_jsonl(&result.photos, &result.checks, &mut file)?;
        file.flush()?;
        drop(file);
        fs::rename(&partly, place)
    };
    write().with_context(|| format!("{name} could not be written; check the folder and its space"))
}

/// The pages that open without a server: the one place where they are written.
#[expect(clippy::unnecessary_wraps, reason = "writing pages can fail")]
fn write_pages(_result: &Reviewed, _into: &Path) -> anyhow::Result<()> {
    Ok(())
}

/// `checks.csv` → `checks-photos.csv`.
fn beside(place: &Path) -> PathBuf {
    let stem = place.file_stem().unwrap_or_default().to_string_lossy();
    let ending = place
        .extension()
        .map_or_else(String::new, |e| format!(".{}", e.to_string_lossy()));
    place.with_file_name(format!("{stem}-photos{ending}"))
}

/// A photo that could not be opened counts as one that could not be judged: in years of photos there is
/// always one.
pub(super) fn outcome(result: &Reviewed) -> Outcome {
    let unjudged = |p: &PhotoRecord| p.line.error.is_some() || p.line.refusal.is_some();
    if result.photos.iter().any(unjudged) {
        Outcome::Unjudged
    } else {
        Outcome::Done
    }
}
