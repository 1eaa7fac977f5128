//! The report folder of a review: pages that open from a folder, without a server, a build step or anything
//! to load from elsewhere. Pictures are linked, not held; they are written beside the pages.
//!
//! The folder's files are made one by one, each from the lines that it asks for ([`Lines`]); what stands first is found in
//! `review/findings`, and what pages say of the whole in `survey`, as the lines come. The
//! table's data are scripts that fill one variable, 5000 checks each, since a page from a folder may not
//! fetch files; only the rows of one page are in the document, so that a key in the filter is answered in
//! under a tenth of a second with 100 000 photos (`benches/README.md`). File names are of `a` to `z`,
//! digits, `-` and `.`.

mod chart;
mod check;
mod data;
mod files;
mod held;
mod layout;
mod lists;
mod overview;
mod paths;
mod photo;
mod set;
mod settle;
pub(crate) mod shown;
mod sparkline;
mod strip;
mod survey;
mod table;

use std::io::{self, Write};

use jiff::civil::DateTime;

use crate::review::{CheckLine, Findings, Lines, Order, PhotoLine, Questions};
use crate::taper::rules::Rules;
use held::Held;
use paths::Paths;
use survey::Totals;

pub(crate) use settle::PAGE as SETTLE_PAGE;

pub use paths::{picture_path, thumb_path};
pub(crate) use survey::Survey;

/// One file of the report folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// Below the report folder, with `/`; of letters, digits, `-` and `.` only.
    pub path: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// What stands above every page.
#[derive(Debug, Clone, Copy)]
pub struct ReviewHeading<'a> {
    /// What was reviewed: the folder's name.
    pub title: &'a str,
    /// When.
    pub when: DateTime,
    /// What a reader must know of the whole: that it is one part, or that it was stopped.
    pub note: Option<&'a str>,
}

/// Rows of a page that lists everything without scripts.
const ROWS_A_PAGE: usize = 500;

/// All that the pages are made of.
pub(crate) struct Review<'a> {
    heading: ReviewHeading<'a>,
    lines: Box<dyn Lines + 'a>,
    questions: &'a Questions,
    rules: &'a Rules,
    order: Order,
    findings: Findings,
    totals: Totals,
    paths: Paths,
}

/// A page still to be made.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Job {
    Style,
    Script,
    Names,
    Rows(usize),
    Settle,
    SettleScript,
    Questions,
    Overview,
    Table,
    Sets(usize),
    Files(usize),
    Set(usize, usize),
    Check(usize),
}

/// The pages of a review, each made when it is asked for; `index.html` is the place to start. The same
/// values make the same bytes.
///
/// A photo without an error is expected to have its pictures at [`thumb_path`] and [`picture_path`].
pub fn review_pages<'a>(
    photos: &'a [impl AsRef<PhotoLine>],
    checks: &'a [CheckLine],
    questions: &'a Questions,
    rules: &'a Rules,
    heading: ReviewHeading<'a>,
) -> impl Iterator<Item = Page> + 'a {
    let lines = Held::of(photos, checks);
    let survey = lines.survey(rules);
    let review = Review::of(Box::new(lines), survey, questions, rules, heading);
    // What is to be made, not the pages: those of a large review would fill the memory.
    let jobs: Vec<Job> = review.jobs().collect();
    jobs.into_iter().map(move |job| {
        let mut bytes = Vec::new();
        // Lines that are held can be read, and memory can be written to.
        let _ = review.write(job, &mut bytes);
        Page {
            path: review.path(job),
            bytes,
        }
    })
}

/// How many pages so many rows take; one where there are none.
fn pages_for(rows: usize) -> usize {
    rows.div_ceil(ROWS_A_PAGE).max(1)
}

impl<'a> Review<'a> {
    /// Of these lines, which `survey` has taken in.
    pub(crate) fn of(
        lines: Box<dyn Lines + 'a>,
        survey: Survey<'_>,
        questions: &'a Questions,
        rules: &'a Rules,
        heading: ReviewHeading<'a>,
    ) -> Self {
        let (order, findings, totals, stems) = survey.finish();
        let paths = Paths::of(stems, &order);
        Self {
            heading,
            lines,
            questions,
            rules,
            order,
            findings,
            totals,
            paths,
        }
    }

    /// The pages to be made.
    pub(crate) fn jobs(&self) -> impl Iterator<Item = Job> {
        let first = [
            Job::Overview,
            Job::Table,
            Job::Style,
            Job::Script,
            Job::Names,
            Job::Settle,
            Job::SettleScript,
            Job::Questions,
        ];
        let sets = self.order.sets.iter().enumerate();
        let of_set =
            |(i, checks): (usize, usize)| (0..pages_for(checks)).map(move |page| Job::Set(i, page));
        (first.into_iter())
            .chain((0..data::chunks(self)).map(Job::Rows))
            .chain((0..pages_for(self.order.sets.len())).map(Job::Sets))
            .chain((0..pages_for(self.totals.broken.len())).map(Job::Files))
            .chain(sets.map(|(i, set)| (i, set.len())).flat_map(of_set))
            .chain((0..self.order.len()).map(Job::Check))
    }

    /// Where a page lies; see [`Page::path`].
    pub(crate) fn path(&self, job: Job) -> String {
        match job {
            Job::Style => "style.css".to_owned(),
            Job::Script => "table.js".to_owned(),
            Job::Names => "data/names.js".to_owned(),
            Job::Rows(chunk) => data::chunk_path(chunk),
            Job::Settle => settle::PAGE.to_owned(),
            Job::SettleScript => "settle.js".to_owned(),
            Job::Questions => settle::DATA.to_owned(),
            Job::Overview => "index.html".to_owned(),
            Job::Table => "checks.html".to_owned(),
            Job::Sets(page) => paths::numbered("sets", page),
            Job::Files(page) => paths::numbered("files", page),
            Job::Set(i, page) => self.paths.set(i, page),
            Job::Check(i) => self.paths.check(i),
        }
    }

    /// Makes a page.
    ///
    /// # Errors
    /// Where a line cannot be read back, or the page not be written.
    pub(crate) fn write(&self, job: Job, into: &mut dyn Write) -> io::Result<()> {
        let text = match job {
            Job::Style => layout::CSS.to_owned(),
            Job::Script => table::SCRIPT.to_owned(),
            Job::Names => data::names(self),
            // These two grow with the review.
            Job::Rows(chunk) => return data::rows(self, chunk, into),
            Job::Questions => return settle::data(self, into),
            Job::Settle => settle::page(self),
            Job::SettleScript => settle::SCRIPT.to_owned(),
            Job::Overview => overview::page(self)?,
            Job::Table => table::page(self),
            Job::Sets(page) => set::list(self, page)?,
            Job::Files(page) => files::page(self, page)?,
            Job::Set(i, page) => set::page(self, i, page)?,
            Job::Check(i) => check::page(self, i)?,
        };
        into.write_all(text.as_bytes())
    }

    /// The photos of a check that are among the photos.
    fn photos_of(&self, check: usize) -> io::Result<Vec<PhotoLine>> {
        Ok(self.lines.photos_of(check)?.into_iter().flatten().collect())
    }
}
