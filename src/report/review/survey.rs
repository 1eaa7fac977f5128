//! What pages say of all photos and checks, which are taken in one after the other: a few bytes of each are held, not the
//! lines.

use std::collections::{BTreeSet, HashMap};

use super::{paths, shown};
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::review::{CheckLine, Finder, Findings, Order, PhotoLine};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use crate::units::PerSide;

/// Takes in a review's lines.
pub(crate) struct Survey<'a> {
    finder: Finder<'a>,
    totals: Totals,
    stems: Vec<Id>,
}

/// Numbers of the whole.
#[derive(Debug, Default)]
pub(super) struct Totals {
    pub(super) photos: usize,
    /// Files with the bytes of another.
    pub(super) copies: usize,
    /// Places of the photos that could not be read.
    pub(super) broken: Vec<usize>,
    /// Photos refused.
    pub(super) reasons: HashMap<Reason, usize>,
    /// Checks.
    pub(super) patterns: HashMap<Pattern, usize>,
    /// The first and the last, where any check has one.
    pub(super) dates: Option<[String; 2]>,
    /// How far the program is proven, where a check says it.
    pub(super) proof: Option<String>,
    /// All that are asked for.
    pub(super) changes: BTreeSet<PerSide>,
    /// The words of all that is to be done.
    pub(super) actions: BTreeSet<&'static str>,
}

impl<'a> Survey<'a> {
    pub(crate) fn by(rules: &'a Rules) -> Self {
        Self {
            finder: Finder::by(rules.estimate()),
            totals: Totals::default(),
            stems: Vec::new(),
        }
    }

    /// Takes in the next photo, by file.
    pub(crate) fn photo(&mut self, photo: &PhotoLine) {
        let totals = &mut self.totals;
        totals.copies += photo.same_as.len();
        if photo.error.is_some() {
            totals.broken.push(totals.photos);
        }
        if let Some(reason) = photo.refusal {
            *totals.reasons.entry(reason).or_default() += 1;
        }
        totals.photos += 1;
    }

    /// Takes in the next check, as [`crate::review::Lines`] has them, with its photos as far as they are among the photos.
    pub(crate) fn check<'p>(
        &mut self,
        check: &CheckLine,
        photos: impl Iterator<Item = &'p PhotoLine>,
    ) {
        self.finder.add(check, photos);
        self.stems.push(paths::check_stem(&check.check));
        let totals = &mut self.totals;
        *totals.patterns.entry(check.pattern).or_default() += 1;
        totals.changes.extend(check.change);
        totals.actions.insert(shown::action(check));
        if totals.proof.is_none() {
            totals.proof.clone_from(&check.proof);
        }
        if let Some(made) = &check.made {
            totals.date(made);
        }
    }

    /// With the stems of the checks' pages.
    pub(super) fn finish(self) -> (Order, Findings, Totals, Vec<Id>) {
        let (order, findings) = self.finder.finish();
        (order, findings, self.totals, self.stems)
    }
}

impl Totals {
    fn date(&mut self, made: &str) {
        let [first, last] = self
            .dates
            .get_or_insert_with(|| [made.to_owned(), made.to_owned()]);
        if made < first.as_str() {
            made.clone_into(first);
        }
        if made > last.as_str() {
            made.clone_into(last);
        }
    }
}
