//! Which checks belong to which jaw set, in which order.

use std::ops::Range;

use crate::review::CheckLine;

/// The checks of one jaw set.
#[derive(Debug, Clone)]
pub(crate) struct JawSetChecks {
    /// `None` for those whose set is not known.
    pub(crate) name: Option<String>,
    /// Places of its checks: those without a date, then the others, the oldest first.
    all: Range<usize>,
    undated: usize,
}

/// The order of everything in a review.
#[derive(Debug, Default)]
pub(crate) struct Order {
    /// By name; the checks without a set are last.
    pub(crate) sets: Vec<JawSetChecks>,
}

impl JawSetChecks {
    /// Those with a date, oldest first.
    pub(crate) fn dated(&self) -> Range<usize> {
        self.all.start + self.undated..self.all.end
    }

    /// Oldest first; those without a date last.
    pub(crate) fn checks(&self) -> impl DoubleEndedIterator<Item = usize> {
        let undated = self.all.start..self.all.start + self.undated;
        self.dated().chain(undated)
    }

    /// How many checks it has.
    pub(crate) fn len(&self) -> usize {
        self.all.len()
    }
}

impl Order {
    /// Takes in the next check, in the order of [`crate::review::Lines`]; whether it is the first of its set.
    pub(super) fn add(&mut self, check: &CheckLine) -> bool {
        let at = self.len();
        let last = self.sets.last();
        let begins = last.is_none_or(|set| set.name != check.jaw_set);
        if begins {
            self.sets.push(JawSetChecks {
                name: check.jaw_set.clone(),
                all: at..at,
                undated: 0,
            });
        }
        if let Some(set) = self.sets.last_mut() {
            set.all.end = at + 1;
            set.undated += usize::from(check.made.is_none());
        }
        begins
    }

    /// How many checks there are.
    pub(crate) fn len(&self) -> usize {
        self.sets.last().map_or(0, |set| set.all.end)
    }

    /// The jaw sets that have a name.
    pub(crate) fn named(&self) -> impl Iterator<Item = (usize, &JawSetChecks)> {
        self.sets
            .iter()
            .enumerate()
            .filter(|(_, s)| s.name.is_some())
    }

    /// Position in [`Self::sets`] of a check's set.
    pub(crate) fn set_of(&self, check: usize) -> usize {
        self.sets.partition_point(|set| set.all.end <= check)
    }

    /// The checks before and after one in its set; `None` at the ends and where the set is not known.
    pub(crate) fn neighbours(&self, check: usize) -> [Option<usize>; 2] {
        let set = &self.sets[self.set_of(check)];
        // Checks without a set have nothing to do with each other.
        if set.name.is_none() {
            return [None, None];
        }
        let undated = set.all.start..set.all.start + set.undated;
        let (first, last) = (set.checks().next(), set.checks().next_back());
        let before = match check {
            _ if Some(check) == first => None,
            _ if check == undated.start => set.dated().next_back(),
            _ => Some(check - 1),
        };
        let after = match check {
            _ if Some(check) == last => None,
            _ if check + 1 == set.all.end => Some(undated.start),
            _ => Some(check + 1),
        };
        [before, after]
    }
}
