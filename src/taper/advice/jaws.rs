//! The jaws of a check: which of them count, and whether they agree.

use super::Check;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{Pattern, is_taper};
use crate::taper::estimate::{Observation, OpenEnd};
use crate::taper::rules::EstimateRules;

/// How far a reading counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// Certain enough to act on.
    Firm,
    /// Likelier than not, but not certain enough: it can support a firm one or hold up its change, never
    /// make one.
    Weak,
    /// Not judged.
    Unjudged,
}

/// One jaw with what its reading says of the taper.
#[derive(Debug)]
pub(super) struct Jaw<'a> {
    pub(super) index: usize,
    pub(super) reading: &'a Reading,
    pub(super) standing: Standing,
    /// `Some` for every firm or weak reading of a taper pattern.
    pub(super) observation: Option<Observation>,
}

impl Jaw<'_> {
    pub(super) fn pattern(&self) -> Pattern {
        self.reading.pattern
    }

    pub(super) fn tip_in_doubt(&self) -> bool {
        self.reading.tip_in_doubt()
    }

    pub(super) fn is_firm(&self) -> bool {
        self.standing == Standing::Firm
    }
}

pub(super) fn sorted<'a>(check: &Check<'a>, rules: &EstimateRules) -> Vec<Jaw<'a>> {
    let jaw = |(index, reading): (usize, &&'a Reading)| {
        let observation = Observation::of(reading, check.setup.taper);
        let standing = standing(reading, observation.is_some(), rules);
        Jaw {
            index,
            reading,
            standing,
            observation,
        }
    };
    check.readings.iter().enumerate().map(jaw).collect()
}

/// A confidence that is no number compares as too low everywhere.
fn standing(reading: &Reading, observed: bool, rules: &EstimateRules) -> Standing {
    let at_least = |limit: f64| reading.confidence >= limit;
    let taper = is_taper(reading.pattern);
    // A taper pattern that its own profile does not bear out gives no observation, so it is not judged at all.
    if reading.pattern == Pattern::Unreadable || reading.refusal.is_some() || (taper && !observed) {
        return Standing::Unjudged;
    }
    let firm = if taper {
        rules.least_confidence
    } else {
        rules.least_confidence_other
    };
    if at_least(firm) {
        Standing::Firm
    } else if at_least(rules.least_confidence_other) {
        Standing::Weak
    } else {
        Standing::Unjudged
    }
}

/// The taper errors that a reading allows, in micrometres, with its standard deviation; the marking
/// threshold is taken at its prior median, which is shared by the jaws of a check.
struct Allowed {
    low: f64,
    high: f64,
    sd: f64,
    open_end: OpenEnd,
}

impl Allowed {
    fn by(o: &Observation, rules: &EstimateRules) -> Self {
        let touching = 1.0 - o.open_fraction();
        let size = rules.prior.threshold_median().micrometres() / touching;
        let sd = (size * o.sd() / touching).hypot(rules.prior.jaw_spread().micrometres());
        let (low, high) = match o.open_end() {
            OpenEnd::Neither => (-size, size),
            OpenEnd::Base => (size, size),
            OpenEnd::Tip => (-size, -size),
        };
        Self {
            low,
            high,
            sd,
            open_end: o.open_end(),
        }
    }

    fn gap_to(&self, other: &Self) -> f64 {
        (self.low - other.high).max(other.low - self.high).max(0.0)
    }

    /// Beyond three standard deviations; between two jaws with an open end, whose sizes hang on the
    /// threshold, also beyond what jaws bored together differ by.
    fn disagrees(&self, other: &Self, rules: &EstimateRules) -> bool {
        let noise = 3.0 * self.sd.hypot(other.sd);
        match (self.open_end, other.open_end) {
            // Whatever the threshold is, these have errors of opposite signs.
            (OpenEnd::Base, OpenEnd::Tip) | (OpenEnd::Tip, OpenEnd::Base) => true,
            (OpenEnd::Neither, _) | (_, OpenEnd::Neither) => self.gap_to(other) > noise,
            _ => self.gap_to(other) > noise.max(rules.jaws_differ.micrometres()),
        }
    }
}

/// Whether jaws with taper patterns say the same.
#[derive(Debug, PartialEq)]
pub(crate) enum JawsAgree {
    Yes,
    /// With the index of the one that differs, where that can be told.
    No(Option<usize>),
}

/// Observations with the index of their jaw.
pub(crate) fn jaws_agree(jaws: &[(usize, Observation)], rules: &EstimateRules) -> JawsAgree {
    let allowed = |(index, o): &(usize, Observation)| (*index, Allowed::by(o, rules));
    let seen: Vec<(usize, Allowed)> = jaws.iter().map(allowed).collect();
    if all_agree(&seen, None, rules) {
        JawsAgree::Yes
    } else {
        JawsAgree::No(odd_one(&seen, rules))
    }
}

fn all_agree(seen: &[(usize, Allowed)], without: Option<usize>, rules: &EstimateRules) -> bool {
    let kept = || seen.iter().filter(|(index, _)| Some(*index) != without);
    kept().all(|(_, a)| kept().all(|(_, b)| !a.disagrees(b, rules)))
}

/// The jaw without which at least two others agree; of several, the one farthest from the others.
fn odd_one(seen: &[(usize, Allowed)], rules: &EstimateRules) -> Option<usize> {
    // Of two, either may be the odd one.
    if seen.len() < 3 {
        return None;
    }
    let distance = |a: &Allowed| seen.iter().map(|(_, b)| a.gap_to(b)).sum::<f64>();
    let mut suspects: Vec<(usize, f64)> = seen
        .iter()
        .filter(|(index, _)| all_agree(seen, Some(*index), rules))
        .map(|(index, a)| (*index, distance(a)))
        .collect();
    suspects.sort_by(|a, b| b.1.total_cmp(&a.1));
    match suspects[..] {
        [(index, _)] => Some(index),
        // A tie can't be told; a picometre is the finest length held.
        [(index, first), (_, second), ..] if first - second > 1e-6 => Some(index),
        _ => None,
    }
}

/// The firm jaw whose pattern sets it apart: the only one that is no taper matter, or the only one that
/// differs where at least two others are alike.
pub(super) fn odd_pattern(firm: &[&Jaw<'_>]) -> Option<usize> {
    let only = |differs: &dyn Fn(&Jaw<'_>) -> bool| {
        let mut different = firm.iter().filter(|j| differs(j));
        different
            .next()
            .filter(|_| different.next().is_none())
            .map(|j| j.index)
    };
    only(&|j| !is_taper(j.pattern())).or_else(|| {
        let alike = |j: &Jaw<'_>| firm.iter().filter(|k| k.pattern() == j.pattern()).count();
        let common = firm
            .iter()
            .find(|j| alike(j) >= 2 && alike(j) + 1 == firm.len())?
            .pattern();
        only(&|j| j.pattern() != common)
    })
}

/// The pattern that all share; mixed where they differ, unreadable where there is none.
pub(super) fn common_pattern<'a>(jaws: impl Iterator<Item = &'a Jaw<'a>>) -> Pattern {
    let mut patterns = jaws.map(Jaw::pattern);
    let Some(first) = patterns.next() else {
        return Pattern::Unreadable;
    };
    if patterns.all(|p| p == first) {
        first
    } else {
        Pattern::Mixed
    }
}
