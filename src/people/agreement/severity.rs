//! What it costs to take one pattern for another: the weights of weighted kappa.

use super::Weights;
use crate::reading::pattern::{Direction, Pattern, direction};

/// How bad it is that two calls differ, the harmless first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Both call the same.
    None,
    /// Nothing is cut and nothing runs on either call: it costs another look or another photo.
    AnotherLook,
    /// One call lets the jaws run, the other stops them: a bad seat grips work, or good jaws are
    /// taken off for nothing.
    RunOrStop,
    /// One call cuts taper, the other does not: a cut for nothing, or one that was due left out.
    CutOrNot,
    /// One call takes taper off, the other adds it.
    WrongWay,
}

impl Severity {
    /// The weight of the disagreement. An assumption, not a measured cost: each step up is worse than
    /// the one before, and a cut the wrong way weighs twice a cut for nothing, since it doubles the error
    /// that it should remove and takes the material with it.
    pub fn weight(self) -> u8 {
        match self {
            Self::None => 0,
            Self::AnotherLook => 1,
            Self::RunOrStop => 2,
            Self::CutOrNot => 3,
            Self::WrongWay => 6,
        }
    }

    /// Why it weighs what it does.
    pub fn reason(self) -> &'static str {
        match self {
            Self::None => "both call the same",
            Self::AnotherLook => "nothing is cut on either call: another look or another photo",
            Self::RunOrStop => "one call lets the jaws run, the other stops them",
            Self::CutOrNot => "one call changes the taper, the other does not",
            Self::WrongWay => "one call takes taper off, the other adds it: the error doubles",
        }
    }

    /// From the worst to the mildest that still is a disagreement.
    pub const WORST_FIRST: [Self; 4] = [
        Self::WrongWay,
        Self::CutOrNot,
        Self::RunOrStop,
        Self::AnotherLook,
    ];
}

/// How bad it is to take one pattern for the other, whichever of the two is right.
pub fn severity(one: Pattern, other: Pattern) -> Severity {
    let ways = [direction(one), direction(other)];
    if one == other {
        Severity::None
    } else if ways[0].opposes(ways[1]) {
        Severity::WrongWay
    } else if ways.iter().any(|w| *w != Direction::None) {
        Severity::CutOrNot
    } else if [one, other].contains(&Pattern::FullLength) {
        Severity::RunOrStop
    } else {
        Severity::AnotherLook
    }
}

/// The weights of all pairs of patterns.
pub(super) fn weights() -> Weights {
    let row = |one: Pattern| -> Vec<f64> {
        let weight = |other| f64::from(severity(one, other).weight());
        Pattern::ALL.into_iter().map(weight).collect()
    };
    let rows: Vec<Vec<f64>> = Pattern::ALL.into_iter().map(row).collect();
    // The table is square with a zero diagonal, as a test asserts.
    Weights::of_table(&rows).unwrap_or_else(|_| Weights::nominal(Pattern::ALL.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wrong_way_weighs_most_and_either_side_may_be_right() {
        let all = || {
            Pattern::ALL
                .into_iter()
                .flat_map(|a| Pattern::ALL.map(|b| (a, b)))
        };
        for (a, b) in all() {
            assert_eq!(severity(a, b), severity(b, a));
            assert_eq!(severity(a, b) == Severity::None, a == b);
            let opposed = [a, b] == [Pattern::TipOnly, Pattern::BaseOnly]
                || [b, a] == [Pattern::TipOnly, Pattern::BaseOnly];
            assert_eq!(severity(a, b) == Severity::WrongWay, opposed);
        }
        let of = |s: Severity| s.weight();
        assert!(
            Severity::WORST_FIRST
                .windows(2)
                .all(|w| of(w[0]) > of(w[1]))
        );
        assert_ne!(weights(), Weights::nominal(Pattern::ALL.len()));
    }
}
