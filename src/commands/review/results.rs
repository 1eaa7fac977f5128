//! Records → the result's files.

use std::collections::HashSet;
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::together::Reader;
use crate::archive::in_use;
use crate::commands::Outcome;
use crate::commands::archive::now;
use crate::commands::cli::ResultArgs;
use crate::commands::kept::{unfinished, write as write_whole};
use crate::report::{ProofNote, ReviewHeading, SETTLE_PAGE, review_pages};
use crate::review::{
    CheckLine, PhotoRecord, Questions, check_lines, checks_csv, gather, of_several_photos,
    photos_csv, to_jsonl,
};
use crate::taper::rules::Rules;

pub(super) const RESULT: &str = "review.jsonl";

/// What a review comes to.
pub(super) struct Reviewed {
    /// By file.
    pub(super) photos: Vec<PhotoRecord>,
    /// By jaw set, then when they were made; none for a part.
    pub(super) checks: Vec<CheckLine>,
    /// How many jaws were read for it from several photos.
    pub(super) together: usize,
}

/// A part is read by no `reader` and has no checks: photos of one check may be in several parts.
///
/// # Errors
/// Where what was read can't be kept.
pub(super) fn of(
    mut photos: Vec<PhotoRecord>,
    rules: &Rules,
    proof: Option<&ProofNote>,
    reader: Option<&Reader<'_>>,
) -> anyhow::Result<Reviewed> {
    let Some(reader) = reader else {
        return Ok(Reviewed {
            photos,
            checks: Vec::new(),
            together: 0,
        });
    };
    let gathered = gather(&mut photos);
    let several = of_several_photos(&gathered, &photos);
    let (said, together) = reader.together(&several, &photos)?;
    let held = proof.is_some_and(|p| p.held);
    let mut checks = check_lines(&gathered, &photos, &said, rules, held);
    for check in &mut checks {
        check.proof = proof.map(|p| p.line.clone());
    }
    Ok(Reviewed {
        photos,
        checks,
        together,
    })
}

/// What a run says of the jaws that it read from several photos.
pub(super) fn read_together(result: &Reviewed) -> String {
    match result.together {
        0 => String::new(),
        1 => " 1 jaw read from its several photos together;".to_owned(),
        jaws => format!(" {jaws} jaws read from their several photos together;"),
    }
}

/// What the pages say of the whole.
pub(super) struct Title<'a> {
    /// What was reviewed.
    pub(super) of: String,
    /// That it is a part, or was stopped.
    pub(super) note: Option<&'a str>,
    pub(super) rules: &'a Rules,
    /// What the photos leave open.
    pub(super) questions: &'a Questions,
}

/// Writes `review.jsonl`, the pages, and what else was asked for.
pub(super) fn write(result: &Reviewed, args: &ResultArgs, title: &Title<'_>) -> anyhow::Result<()> {
    let own = args.into.join(RESULT);
    for place in std::iter::once(&own).chain(&args.jsonl) {
        write_jsonl(result, place)?;
    }
    if let Some(place) = &args.csv {
        write_whole(place, &checks_csv(&result.checks))?;
        write_whole(&beside(place), &photos_csv(&result.photos))?;
    }
    write_pages(result, &args.into, title)
}

fn write_jsonl(result: &Reviewed, place: &Path) -> anyhow::Result<()> {
    let name = place.display();
    let partly = unfinished(place);
    let write = || {
        let mut file = BufWriter::new(File::create(&partly)?);
        to_jsonl(&result.photos, &result.checks, &mut file)?;
        file.flush()?;
        drop(file);
        in_use::rename(&partly, place)
    };
    write().with_context(|| format!("{name} could not be written; check the folder and its space, and close the file where it is open"))
}

/// The pages that open without a server, one after the other: they never lie in memory together.
fn write_pages(result: &Reviewed, into: &Path, title: &Title<'_>) -> anyhow::Result<()> {
    let heading = ReviewHeading {
        title: &title.of,
        when: now(),
        note: title.note,
    };
    let (photos, checks) = (&result.photos, &result.checks);
    for page in review_pages(photos, checks, title.questions, title.rules, heading) {
        let place = into.join(&page.path);
        if let Some(folder) = place.parent() {
            fs::create_dir_all(folder)
                .with_context(|| format!("the folder {} could not be made", folder.display()))?;
        }
        write_whole(&place, &page.bytes)?;
    }
    Ok(())
}

/// Where the answers to what is left open are given; nothing where nothing is.
pub(super) fn left_open(questions: &Questions, into: &Path) -> String {
    match questions.photos() {
        0 => String::new(),
        photos => format!(
            " What words can settle is left open in {photos} of the photos: say it on the page {}.",
            into.join(SETTLE_PAGE).display()
        ),
    }
}

/// The last parts of the folders' names, for the heading.
pub(super) fn names(folders: &[PathBuf]) -> String {
    let name = |f: &PathBuf| {
        let whole = f.canonicalize().unwrap_or_else(|_| f.clone());
        let last = whole.file_name().map(|n| n.to_string_lossy().into_owned());
        last.unwrap_or_else(|| f.display().to_string())
    };
    folders.iter().map(name).collect::<Vec<_>>().join(", ")
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
/// always one. Of a jaw with several photos all of them together count, as in `read`.
pub(super) fn outcome(result: &Reviewed) -> Outcome {
    let judged = result.checks.iter().flat_map(|check| {
        let jaws = check.jaws.iter().filter(|j| j.reading.refusal.is_none());
        jaws.flat_map(|j| j.photos.iter().map(|at| &*check.photos[*at]))
    });
    let judged: HashSet<&str> = judged.collect();
    let refused = |p: &PhotoRecord| p.line.refusal.is_some() && !judged.contains(&*p.line.sha256);
    let unjudged = |p: &PhotoRecord| p.line.error.is_some() || refused(p);
    if result.photos.iter().any(unjudged) {
        Outcome::Unjudged
    } else {
        Outcome::Done
    }
}
