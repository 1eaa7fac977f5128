//! The usual limits, and when numbers are too small to hold against them.

use super::share::Z;
use super::{Estimate, NoFigure, Share};

/// What a limit is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimitKind {
    /// At least this share.
    AtLeast,
    /// At most this share.
    AtMost,
}

/// A usual limit of attribute agreement studies.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Limit {
    /// Which side is well.
    pub kind: LimitKind,
    /// The share, 0 to 1.
    pub share: f64,
}

impl Limit {
    /// Effectiveness of at least 90 % (measurement-systems manuals, 3rd ed., second-hand).
    pub const EFFECTIVENESS: Self = Self {
        kind: LimitKind::AtLeast,
        share: 0.90,
    };
    /// Misses at most 2 % (as above).
    pub const MISSES: Self = Self {
        kind: LimitKind::AtMost,
        share: 0.02,
    };
    /// False alarms at most 5 % (as above).
    pub const FALSE_ALARMS: Self = Self {
        kind: LimitKind::AtMost,
        share: 0.05,
    };

    /// Whether a share keeps it.
    pub fn standing(self, share: &Share) -> Standing {
        let (at_worst, at_best) = match self.kind {
            LimitKind::AtLeast => (share.low >= self.share, share.high >= self.share),
            LimitKind::AtMost => (share.high <= self.share, share.low <= self.share),
        };
        match (at_worst, at_best) {
            (true, _) => Standing::Kept,
            (false, false) => Standing::Missed,
            (false, true) => Standing::Open,
        }
    }
}

/// What an interval says about a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The whole interval is on the good side.
    Kept,
    /// The limit lies in the interval: these numbers do not settle it.
    Open,
    /// The whole interval is on the bad side.
    Missed,
}

/// Judgements without a single error that it takes to show that a limit is kept: for `n` of `n`, Wilson's
/// lower end is `n / (n + z²)`.
pub fn least_to_show(limit: Limit) -> u64 {
    let good = match limit.kind {
        LimitKind::AtLeast => limit.share,
        LimitKind::AtMost => 1.0 - limit.share,
    };
    (Z * Z * good / (1.0 - good)).ceil() as u64
}

/// Kappa above this is called good: from memory, as in measurement-systems manuals.
pub const KAPPA_GOOD: f64 = 0.75;
/// Kappa below this is called poor: measurement-systems manuals, second-hand.
pub const KAPPA_POOR: f64 = 0.40;

/// Fewer photos than this are few: even without one error, no 35 photos can show an effectiveness of 90 %
/// ([`least_to_show`]).
pub const SMALL_ITEMS: usize = 35;

/// Whether a coefficient rests on too little to be named good or poor: few photos, no interval, or one
/// that is wider than the way from poor to good, so that it could be either.
pub fn is_small(estimate: &Estimate) -> bool {
    let wide = |low: f64, high: f64| high - low > KAPPA_GOOD - KAPPA_POOR;
    let unsettled = match estimate.interval {
        Ok(i) => wide(i.low, i.high),
        // Not one disagreement: with enough photos that says something.
        Err(NoFigure::NoSpread) => false,
        Err(_) => true,
    };
    estimate.items < SMALL_ITEMS || unsettled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_number_shows_a_limit_and_one_less_does_not() {
        for (limit, errors_of) in [
            (Limit::EFFECTIVENESS, false),
            (Limit::MISSES, true),
            (Limit::FALSE_ALARMS, true),
        ] {
            let n = least_to_show(limit);
            let faultless = |n| Share::new(if errors_of { 0 } else { n }, n).expect("a share");
            assert_eq!(limit.standing(&faultless(n)), Standing::Kept);
            assert_eq!(limit.standing(&faultless(n - 1)), Standing::Open);
        }
        assert_eq!(least_to_show(Limit::EFFECTIVENESS), SMALL_ITEMS as u64);
    }
}
