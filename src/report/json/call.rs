//! `call` in the JSON of a check.

use serde::Serialize;

use super::super::call::CallReport;
use crate::people::opinion::{Basis, CalledChange, Comparison, MixedUp, Outcome, Person, Truth};
use crate::reading::pattern::Pattern;
use crate::taper::learning::Interval;
use crate::units::amount::{Amount, BothWays};

#[derive(Serialize)]
pub(super) struct CallJson<'a> {
    by: &'a Person,
    at: jiff::civil::DateTime,
    pattern: Pattern,
    /// `leave`, `none` or `change`.
    asks: &'static str,
    change: Option<BothWays>,
    comparison: Option<ComparisonJson>,
    differences: &'a [String],
    decides: &'a [String],
    why: &'a str,
    right: Option<RightJson>,
}

#[derive(Serialize)]
struct ComparisonJson {
    same_pattern: bool,
    outcome: Outcome,
    /// Called less read.
    off: Option<BothWays>,
    within_interval: Option<bool>,
    mixed_up: Option<MixedUp>,
}

/// What was right, where more is known than the reading.
#[derive(Serialize)]
struct RightJson {
    pattern: Pattern,
    change: Option<BothWays>,
    low_per_side_thou: Option<f64>,
    high_per_side_thou: Option<f64>,
    by: Basis,
}

pub(super) fn call(report: &CallReport) -> CallJson<'_> {
    let call = &report.call;
    CallJson {
        by: &call.by,
        at: call.at,
        pattern: call.pattern,
        asks: asks(call.change),
        change: call.change.per_side().map(BothWays::from),
        comparison: report.comparison.as_ref().map(comparison),
        differences: &report.differences,
        decides: &report.decides,
        why: &report.why,
        right: report.truth.as_ref().map(right),
    }
}

fn asks(change: CalledChange) -> &'static str {
    match change {
        CalledChange::Leave => "leave",
        CalledChange::NoChange => "none",
        CalledChange::Change(_) => "change",
    }
}

fn comparison(comparison: &Comparison) -> ComparisonJson {
    let amount = comparison.amount;
    ComparisonJson {
        same_pattern: comparison.same_pattern,
        outcome: comparison.outcome,
        off: amount.map(|a| a.by.into()),
        within_interval: amount.map(|a| a.within),
        mixed_up: amount.and_then(|a| a.mixed_up),
    }
}

fn right(truth: &Truth) -> RightJson {
    let thou = |of: fn(&Interval) -> crate::units::PerSide| {
        truth.change.as_ref().map(|c| Amount::from(of(c)).thou)
    };
    RightJson {
        pattern: truth.pattern,
        change: truth.change.map(|c| c.median.into()),
        low_per_side_thou: thou(|c| c.low),
        high_per_side_thou: thou(|c| c.high),
        by: truth.by,
    }
}
