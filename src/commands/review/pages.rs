//! A result that is written → its pages.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::results::Reviewed;
use crate::commands::archive::now;
use crate::commands::kept::write_by;
use crate::report::{Review, ReviewHeading, SETTLE_PAGE, Survey};
use crate::review::{CheckLine, Lines, PhotoLine, Questions};
use crate::taper::rules::Rules;

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

impl Lines for &Reviewed<'_> {
    fn photo(&self, at: usize) -> io::Result<PhotoLine> {
        self.file.line(self.photos[at])
    }

    fn check(&self, at: usize) -> io::Result<CheckLine> {
        self.file.line(self.checks[at])
    }

    fn photos_of(&self, check: usize) -> io::Result<Vec<Option<PhotoLine>>> {
        let photos = self.gathered.photos(check);
        photos.map(|at| self.photo(at).map(Some)).collect()
    }
}

/// The pages that open without a server, one after the other: they never lie in memory together.
///
/// # Errors
/// Where a page can't be written.
pub(super) fn write_pages<'a>(
    reviewed: &mut Reviewed<'a>,
    into: &Path,
    title: &Title<'a>,
) -> anyhow::Result<()> {
    let heading = ReviewHeading {
        title: &title.of,
        when: now(),
        note: title.note,
    };
    let survey = std::mem::replace(&mut reviewed.survey, Survey::by(title.rules));
    let lines = Box::new(&*reviewed);
    let review = Review::of(lines, survey, title.questions, title.rules, heading);
    for job in review.jobs() {
        let place = into.join(review.path(job));
        if let Some(folder) = place.parent() {
            fs::create_dir_all(folder)
                .with_context(|| format!("the folder {} could not be made", folder.display()))?;
        }
        write_by(&place, |file| review.write(job, file))?;
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
