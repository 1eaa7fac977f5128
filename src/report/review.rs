//! The report folder of a review: pages that open from a folder, without a server, a build step or anything
//! to load from elsewhere. Pictures are linked, not held; they are written beside the pages.
//!
//! `review_pages` makes the folder's files one by one; what stands first is found in `review/findings`. The
//! table's data are scripts that fill one variable, 5000 checks each, since a page from a folder may not
//! fetch files; only the rows of one page are in the document, so that a key in the filter is answered in
//! under a tenth of a second with 100 000 photos (`benches/README.md`). File names are of `a` to `z`,
//! digits, `-` and `.`.

mod chart;
mod check;
mod data;
mod files;
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
mod table;

use jiff::civil::DateTime;

use crate::review::{CheckLine, Findings, Order, PhotoLine, Questions};
use crate::taper::rules::Rules;
use paths::Paths;

pub(crate) use settle::PAGE as SETTLE_PAGE;

pub use paths::{picture_path, thumb_path};

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
struct Review<'a> {
    heading: ReviewHeading<'a>,
    photos: Vec<&'a PhotoLine>,
    checks: &'a [CheckLine],
    questions: &'a Questions,
    rules: &'a Rules,
    order: Order<'a>,
    findings: Findings,
    paths: Paths,
}

/// A page still to be made.
#[derive(Debug, Clone, Copy)]
enum Job {
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
    let photos: Vec<&PhotoLine> = photos.iter().map(AsRef::as_ref).collect();
    let order = Order::of(&photos, checks);
    let findings = Findings::of(checks, &order, rules);
    let paths = Paths::of(checks, &order);
    let review = Review {
        heading,
        photos,
        checks,
        questions,
        rules,
        order,
        findings,
        paths,
    };
    // What is to be made, not the pages: those of a large review would fill the memory.
    let jobs = review.jobs();
    jobs.into_iter().map(move |job| review.page(job))
}

/// How many pages so many rows take; one where there are none.
fn pages_for(rows: usize) -> usize {
    rows.div_ceil(ROWS_A_PAGE).max(1)
}

impl Review<'_> {
    fn jobs(&self) -> Vec<Job> {
        let mut jobs = vec![
            Job::Overview,
            Job::Table,
            Job::Style,
            Job::Script,
            Job::Names,
            Job::Settle,
            Job::SettleScript,
            Job::Questions,
        ];
        jobs.extend((0..data::chunks(self)).map(Job::Rows));
        jobs.extend((0..pages_for(self.order.sets.len())).map(Job::Sets));
        jobs.extend((0..pages_for(files::broken(self).count())).map(Job::Files));
        for (i, set) in self.order.sets.iter().enumerate() {
            jobs.extend((0..pages_for(set.checks.len())).map(|page| Job::Set(i, page)));
        }
        jobs.extend((0..self.checks.len()).map(Job::Check));
        jobs
    }

    fn page(&self, job: Job) -> Page {
        let (path, text) = match job {
            Job::Style => ("style.css".to_owned(), layout::CSS.to_owned()),
            Job::Script => ("table.js".to_owned(), table::SCRIPT.to_owned()),
            Job::Names => ("data/names.js".to_owned(), data::names(self)),
            Job::Rows(chunk) => (data::chunk_path(chunk), data::rows(self, chunk)),
            Job::Settle => (settle::PAGE.to_owned(), settle::page(self)),
            Job::SettleScript => ("settle.js".to_owned(), settle::SCRIPT.to_owned()),
            Job::Questions => (settle::DATA.to_owned(), settle::data(self)),
            Job::Overview => ("index.html".to_owned(), overview::page(self)),
            Job::Table => ("checks.html".to_owned(), table::page(self)),
            Job::Sets(page) => (paths::numbered("sets", page), set::list(self, page)),
            Job::Files(page) => (paths::numbered("files", page), files::page(self, page)),
            Job::Set(i, page) => (self.paths.set(i, page), set::page(self, i, page)),
            Job::Check(i) => (self.paths.check(i), check::page(self, i)),
        };
        Page {
            path,
            bytes: text.into_bytes(),
        }
    }
}
