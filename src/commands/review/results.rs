//! Records → the result's files.
//!
//! The photos are read three times from where they lie, one at a time: for the checks that they make, for their lines in
//! `review.jsonl`, and from there for the line of their check, and for the pages. What is held of each meanwhile is said in
//! `benches/README.md`.

use std::collections::HashMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::photos::Photos;
use super::together::{Jaws, Reader};
use crate::commands::Outcome;
use crate::commands::cli::ResultArgs;
use crate::commands::kept::{LineFile, Partly, not_written, unfinished, write_by};
use crate::report::{ProofNote, Survey};
use crate::review::{
    CheckLine, Gathered, Gathering, Open, PhotoRecord, Questions, Row, Table, Tables, check_json,
    check_line, photo_json,
};
use crate::taper::rules::Rules;

pub(super) const RESULT: &str = "review.jsonl";

/// A result that is written, but for its pages.
pub(super) struct Reviewed<'a> {
    pub(super) file: LineFile,
    /// Where the lines of the photos begin, by file, and those of the checks, by jaw set, then when they were made; none for a part.
    pub(super) photos: Vec<u64>,
    pub(super) checks: Vec<u64>,
    pub(super) gathered: Gathered,
    /// What the pages say of the whole.
    pub(super) survey: Survey<'a>,
    open: Open,
    pub(super) counts: Counts,
}

/// What a result is told by.
#[derive(Debug, Default)]
pub(super) struct Counts {
    pub(super) photos: usize,
    pub(super) checks: usize,
    /// Photos that could not be judged.
    pub(super) refused: usize,
    /// Photos that could not be opened.
    pub(super) broken: usize,
    /// Jaws that were read from several photos.
    pub(super) together: usize,
    /// See [`Counts::outcome`].
    unjudged: bool,
}

/// What a result is made with.
pub(super) struct Making<'a> {
    pub(super) args: &'a ResultArgs,
    pub(super) rules: &'a Rules,
    pub(super) proof: Option<&'a ProofNote>,
    /// A part has none.
    pub(super) reader: Option<&'a Reader<'a>>,
}

/// The checks that these photos make; `look` sees each photo. A part has no checks: photos of one check may be in several parts.
///
/// # Errors
/// Where a photo cannot be read back.
pub(super) fn gather(
    photos: &dyn Photos,
    is_part: bool,
    mut look: impl FnMut(&PhotoRecord),
) -> anyhow::Result<Gathered> {
    let mut gathering = Gathering::default();
    for at in 0..photos.len() {
        let photo = photos.photo(at)?;
        look(&photo);
        if !is_part {
            gathering.add(&photo);
        }
    }
    Ok(gathering.gather())
}

impl<'a> Making<'a> {
    /// Writes `review.jsonl` and what else was asked for, but the pages.
    ///
    /// # Errors
    /// Where a line can't be read or written.
    pub(super) fn write(
        &self,
        photos: &dyn Photos,
        gathered: Gathered,
    ) -> anyhow::Result<Reviewed<'a>> {
        let jaws = match self.reader {
            Some(reader) => reader.together(&gathered, photos)?,
            None => Jaws::default(),
        };
        let place = self.args.into.join(RESULT);
        let reviewed = self.lines(&place, photos, gathered, &jaws)?;
        if let Some(copy) = &self.args.jsonl {
            write_by(copy, |to| {
                io::copy(&mut fs::File::open(&place)?, to).map(drop)
            })?;
        }
        Ok(reviewed)
    }

    fn lines(
        &self,
        place: &Path,
        photos: &dyn Photos,
        gathered: Gathered,
        jaws: &Jaws,
    ) -> anyhow::Result<Reviewed<'a>> {
        let told = || not_written(place);
        let mut to = Writing {
            lines: Partly::begin(place).with_context(told)?,
            tables: self.tables()?,
            csv: self.args.csv.as_deref(),
        };
        let mut reviewed = Reviewed {
            // Of what is written until then; the whole has another name.
            file: LineFile::open(&unfinished(place))?,
            photos: Vec::with_capacity(photos.len()),
            checks: Vec::with_capacity(gathered.len()),
            gathered,
            survey: Survey::by(self.rules),
            open: Open::default(),
            counts: Counts::default(),
        };
        reviewed.write_photos(photos, &mut to)?;
        reviewed.write_checks(self, jaws, &mut to)?;
        reviewed.counts.together = jaws.read;
        to.finish()?;
        reviewed.file = LineFile::open(place)?;
        Ok(reviewed)
    }

    fn tables(&self) -> anyhow::Result<Option<Tables<Partly>>> {
        let Some(place) = &self.args.csv else {
            return Ok(None);
        };
        let begun = || Tables::begin([Partly::begin(place)?, Partly::begin(&beside(place))?]);
        begun().map(Some).with_context(|| not_written(place))
    }
}

/// The files that lines are written to.
struct Writing<'a> {
    lines: Partly,
    tables: Option<Tables<Partly>>,
    csv: Option<&'a Path>,
}

impl Writing<'_> {
    /// Where the line begins.
    fn photo(&mut self, photo: &PhotoRecord) -> anyhow::Result<u64> {
        let begins = self.lines.at;
        photo_json(photo, &mut self.lines).with_context(|| not_written(self.lines.place()))?;
        self.row(|tables| tables.photo(&photo.line))?;
        Ok(begins)
    }

    fn check(&mut self, check: &CheckLine) -> anyhow::Result<u64> {
        let begins = self.lines.at;
        check_json(check, &mut self.lines).with_context(|| not_written(self.lines.place()))?;
        self.row(|tables| tables.check(check))?;
        Ok(begins)
    }

    fn row(
        &mut self,
        write: impl FnOnce(&mut Tables<Partly>) -> io::Result<()>,
    ) -> anyhow::Result<()> {
        let told = || not_written(self.csv.unwrap_or(Path::new("")));
        self.tables
            .as_mut()
            .map_or(Ok(()), write)
            .with_context(told)
    }

    fn finish(self) -> anyhow::Result<()> {
        let place = self.lines.place().to_path_buf();
        self.lines.finish().with_context(|| not_written(&place))?;
        let Some(tables) = self.tables else {
            return Ok(());
        };
        let finish = || tables.end()?.into_iter().try_for_each(Partly::finish);
        finish().with_context(|| not_written(self.csv.unwrap_or(Path::new(""))))
    }
}

impl Reviewed<'_> {
    fn write_photos(&mut self, photos: &dyn Photos, to: &mut Writing<'_>) -> anyhow::Result<()> {
        let check_of = self.gathered.check_of();
        for at in 0..photos.len() {
            let mut photo = photos.photo(at)?;
            let check = check_of(at);
            photo.line.check = check.map_or_else(String::new, |check| self.gathered.id(check));
            self.photos.push(to.photo(&photo)?);
            self.survey.photo(&photo.line);
            self.open.photo(&photo);
            let is_refused = photo.line.refusal.is_some();
            let is_broken = photo.line.error.is_some();
            self.counts.photos += 1;
            self.counts.refused += usize::from(is_refused);
            self.counts.broken += usize::from(is_broken);
            self.counts.unjudged |= is_broken || (is_refused && check.is_none());
        }
        // They are read back for their checks.
        to.lines
            .flush()
            .with_context(|| not_written(to.lines.place()))
    }

    fn write_checks(
        &mut self,
        making: &Making<'_>,
        jaws: &Jaws,
        to: &mut Writing<'_>,
    ) -> anyhow::Result<()> {
        let held = making.proof.is_some_and(|p| p.held);
        for at in 0..self.gathered.len() {
            let records = self.records_of(at)?;
            let photos: Vec<&PhotoRecord> = records.iter().collect();
            let mut check = check_line(
                self.gathered.id(at),
                &photos,
                &jaws.of_check(&photos)?,
                self.gathered.jaws_of_the_set(at),
                making.rules,
                held,
            );
            check.proof = making.proof.map(|p| p.line.clone());
            self.checks.push(to.check(&check)?);
            self.survey.check(&check, photos.iter().map(|p| &p.line));
            let placed: Vec<_> = self.gathered.photos(at).zip(photos).collect();
            self.open.check(&check, &placed);
            self.counts.checks += 1;
            self.counts.unjudged |= has_unjudged(&check, &records);
        }
        Ok(())
    }

    /// The photos of a check.
    ///
    /// # Errors
    /// Where they cannot be read back.
    pub(super) fn records_of(&self, check: usize) -> io::Result<Vec<PhotoRecord>> {
        let photos = self.gathered.photos(check);
        photos.map(|at| self.file.line(self.photos[at])).collect()
    }

    /// What the photos leave open; `table` and its lines that speak of the photos are what was said before.
    ///
    /// # Errors
    /// Where a line cannot be read back.
    pub(super) fn questions(
        &mut self,
        table: &Table,
        rows: &HashMap<String, Row>,
    ) -> anyhow::Result<Questions> {
        let open = std::mem::take(&mut self.open);
        let photo = |at: usize| self.file.line(self.photos[at]);
        Ok(open.questions(table, rows, photo)?)
    }
}

/// Whether a photo was refused of which no jaw that was read from several photos says more.
fn has_unjudged(check: &CheckLine, photos: &[PhotoRecord]) -> bool {
    let judged = |place: usize| {
        let mut jaws = check.jaws.iter().filter(|j| j.reading.refusal.is_none());
        jaws.any(|jaw| jaw.photos.contains(&place))
    };
    let mut photos = photos.iter().enumerate();
    photos.any(|(place, photo)| photo.line.refusal.is_some() && !judged(place))
}

impl Counts {
    /// What a run says of the jaws that it read from several photos.
    pub(super) fn read_together(&self) -> String {
        match self.together {
            0 => String::new(),
            1 => " 1 jaw read from its several photos together;".to_owned(),
            jaws => format!(" {jaws} jaws read from their several photos together;"),
        }
    }

    /// A photo that could not be opened counts as one that could not be judged: in years of photos there is
    /// always one. Of a jaw with several photos all of them together count, as in `read`.
    pub(super) fn outcome(&self) -> Outcome {
        if self.unjudged {
            Outcome::Unjudged
        } else {
            Outcome::Done
        }
    }
}

/// `checks.csv` → `checks-photos.csv`.
fn beside(place: &Path) -> PathBuf {
    let stem = place.file_stem().unwrap_or_default().to_string_lossy();
    let ending = place
        .extension()
        .map_or_else(String::new, |e| format!(".{}", e.to_string_lossy()));
    place.with_file_name(format!("{stem}-photos{ending}"))
}
