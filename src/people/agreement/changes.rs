//! The changes of taper that were called, held against the right ones.

use super::Right;
use super::calls::Said;
use crate::reading::pattern::Direction;
use crate::units::PerSide;

/// How the changes called compare with the right ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChangesCalled {
    /// Calls with a change where the right one is known.
    pub compared: usize,
    /// Of these, with the opposite sign.
    pub wrong_sign: usize,
    /// The middle distance from the right change, per side; of an even number the larger of the two in
    /// the middle.
    pub median_off: PerSide,
}

impl ChangesCalled {
    /// `None` where no call can be compared.
    pub(super) fn of<'a>(pairs: impl Iterator<Item = (&'a Right, &'a Said)>) -> Option<Self> {
        let both = |(r, s): (&Right, &Said)| Some((r.change?, s.change?));
        let both: Vec<(PerSide, PerSide)> = pairs.filter_map(both).collect();
        let mut off: Vec<PerSide> = both.iter().map(|(r, s)| distance(*r, *s)).collect();
        off.sort_unstable();
        let wrong = both
            .iter()
            .filter(|(r, s)| way(*r).opposes(way(*s)))
            .count();
        Some(Self {
            compared: both.len(),
            wrong_sign: wrong,
            median_off: *off.get(off.len() / 2)?,
        })
    }
}

fn distance(one: PerSide, other: PerSide) -> PerSide {
    PerSide::of(one.length() - other.length()).abs()
}

/// Which way a change cuts.
pub(super) fn way(change: PerSide) -> Direction {
    match change.cmp(&PerSide::ZERO) {
        std::cmp::Ordering::Less => Direction::Less,
        std::cmp::Ordering::Equal => Direction::None,
        std::cmp::Ordering::Greater => Direction::More,
    }
}
