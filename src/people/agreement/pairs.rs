//! Two readers held against each other.

use super::calls::Said;
use super::estimate::{ItemPairs, counted, kappa};
use super::patterns::number;
use super::{Calls, CrossTable, Estimate, NoFigure, Reader, Severity, Share, Weights, severity};
use crate::reading::pattern::{Pattern, direction};

/// How often each pattern was taken for each.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Confusion {
    /// The patterns that occur, of rows and columns alike.
    pub patterns: Vec<Pattern>,
    /// Rows: the first reader, or what was right; columns: the second.
    pub counts: Vec<Vec<u64>>,
}

impl Confusion {
    fn of(table: &CrossTable) -> Self {
        let occurs = |p: &Pattern| {
            let at = number(*p);
            (0..table.categories()).any(|i| table.count(at, i) + table.count(i, at) > 0)
        };
        let patterns: Vec<Pattern> = Pattern::ALL.into_iter().filter(occurs).collect();
        let row = |r: &Pattern| -> Vec<u64> {
            let count = |c: &Pattern| table.count(number(*r), number(*c));
            patterns.iter().map(count).collect()
        };
        let counts = patterns.iter().map(row).collect();
        Self { patterns, counts }
    }

    /// Every cell off the diagonal that is not empty: row, column, count; those that weigh most first,
    /// then the frequent ones.
    pub fn confusions(&self) -> Vec<(Pattern, Pattern, u64)> {
        let mut found = Vec::new();
        for (r, row) in self.patterns.iter().zip(&self.counts) {
            let of_row = self.patterns.iter().zip(row);
            found.extend(
                of_row
                    .filter(|(c, n)| *c != r && **n > 0)
                    .map(|(c, n)| (*r, *c, *n)),
            );
        }
        found.sort_by_key(|(r, c, n)| std::cmp::Reverse((severity(*r, *c), *n)));
        found
    }

    /// How many disagreements are this bad.
    pub fn count_of(&self, wanted: Severity) -> u64 {
        let of = self.confusions().into_iter();
        of.filter(|(r, c, _)| severity(*r, *c) == wanted)
            .map(|(_, _, n)| n)
            .sum()
    }
}

/// What two rows of calls come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Photos that both called.
    pub items: usize,
    /// Whether any photo is in it more than once.
    pub repeats: bool,
    /// Calls on which both are the same.
    pub agreement: Share,
    /// Calls of which one takes taper off and the other adds it, of all compared.
    pub opposed: Share,
    /// Cohen's kappa.
    pub kappa: Result<Estimate, NoFigure>,
    /// Weighted by [`severity`].
    pub weighted_kappa: Result<Estimate, NoFigure>,
    /// Who took what for what.
    pub confusion: Confusion,
}

impl Compared {
    /// # Errors
    /// [`NoFigure::NoPairs`] of none.
    pub(super) fn of(items: &[ItemPairs]) -> Result<Self, NoFigure> {
        let pairs = || items.iter().flatten();
        let table = counted(pairs());
        let opposed = pairs()
            .filter(|(a, b)| direction(*a).opposes(direction(*b)))
            .count();
        let share = |count| Share::new(count, table.total()).map_err(|_| NoFigure::NoPairs);
        Ok(Self {
            items: items.len(),
            repeats: items.iter().any(|i| i.len() > 1),
            agreement: share(table.agreed())?,
            opposed: share(opposed as u64)?,
            kappa: kappa(items, &Weights::nominal(Pattern::ALL.len())),
            weighted_kappa: kappa(items, &super::severity::weights()),
            confusion: Confusion::of(&table),
        })
    }
}

/// Two readers.
#[derive(Debug, Clone, PartialEq)]
pub struct PairAgreement {
    /// Who.
    pub readers: [Reader; 2],
    /// What their calls come to.
    pub compared: Result<Compared, NoFigure>,
}

impl PairAgreement {
    pub(super) fn of(calls: &Calls, one: &Reader, other: &Reader) -> Self {
        let programs = [one, other].map(|r| *r == Reader::Program);
        let items: Vec<ItemPairs> = calls
            .of(one)
            .map(|(item, said)| paired(said, calls.of_item(other, item), programs))
            .filter(|pairs| !pairs.is_empty())
            .collect();
        Self {
            readers: [one.clone(), other.clone()],
            compared: Compared::of(&items),
        }
    }
}

/// First call with first, second with second; a gap on either side leaves the round out. The program reads
/// the same in every round, so its one reading stands for each.
fn paired(one: &[Said], other: &[Said], programs: [bool; 2]) -> ItemPairs {
    match (one, other, programs) {
        ([only], others, [true, _]) => others.iter().map(|o| (only.pattern, o.pattern)).collect(),
        (ones, [only], [_, true]) => ones.iter().map(|o| (o.pattern, only.pattern)).collect(),
        (ones, others, _) => {
            let same = |o: &Said| others.iter().find(|s| s.repeat == o.repeat);
            let pair = |o: &Said| Some((o.pattern, same(o)?.pattern));
            ones.iter().filter_map(pair).collect()
        }
    }
}
