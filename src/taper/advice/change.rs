//! Posterior → a change of the taper that a shop can cut.

use super::TaperChange;
use crate::reading::pattern::Pattern;
use crate::taper::estimate::{Observation, Posterior, estimate};
use crate::taper::learning::{Bearing, History};
use crate::taper::rules::{EstimateRules, Situation};
use crate::units::PerSide;

/// A change with what it rests on.
#[derive(Debug)]
pub(super) struct Amount {
    pub(super) change: TaperChange,
    /// Before rounding and before it was held to a step.
    pub(super) median: PerSide,
    pub(super) next_taper: Option<PerSide>,
    /// True where the largest step made the change smaller.
    pub(super) held_to_step: bool,
    pub(super) posterior: Posterior,
    /// True where earlier checks count too.
    pub(super) with_history: bool,
}

/// `pattern` is full-length, tip-only or base-only. The situation says why there is no change.
pub(super) fn amount(
    pattern: Pattern,
    observations: &[Observation],
    taper: Option<PerSide>,
    history: &History,
    rules: &EstimateRules,
) -> Result<Amount, Situation> {
    let (posterior, with_history) = match history.judge(observations, rules) {
        Bearing::Posterior(posterior) => (*posterior, true),
        Bearing::Contradicts => return Err(Situation::HistoryContradicts),
        // No taper, no history, or none that can stand beside this check.
        Bearing::None => {
            let alone = estimate(observations, &rules.prior);
            (alone.ok_or(Situation::JawsDisagree)?, false)
        }
    };
    // Without a taper the posterior is of the change itself, as if zero were cut.
    let present = taper.unwrap_or(PerSide::ZERO);
    let at = |p: f64| posterior.needed_quantile(p).map(|needed| needed - present);
    let tail = (1.0 - rules.interval) / 2.0;
    let found = (at(0.5), at(tail), at(1.0 - tail));
    let (Some(median), Some(low), Some(high)) = found else {
        return Err(Situation::LowConfidence);
    };
    // No number where the interval reaches across zero: the other way could be the right one.
    let change = match pattern {
        Pattern::FullLength => PerSide::ZERO,
        Pattern::TipOnly if high < PerSide::ZERO => {
            // As a size, so that taking off and adding are rounded alike.
            not_below_zero(-step(-median, rules), median, taper, rules)?
        }
        Pattern::BaseOnly if low > PerSide::ZERO => step(median, rules),
        _ => return Err(Situation::LowConfidence),
    };
    Ok(Amount {
        change: TaperChange {
            change,
            low,
            high,
            interval: rules.interval,
        },
        median,
        next_taper: taper.map(|present| present + change),
        held_to_step: median.abs().rounded_to(rules.increment) > rules.largest_step,
        posterior,
        with_history,
    })
}

/// A size above zero, rounded to the increment, at least one increment and at most the largest step.
fn step(size: PerSide, rules: &EstimateRules) -> PerSide {
    // Rules whose largest step is below their increment are refused, or this would panic.
    size.rounded_to(rules.increment)
        .clamp(rules.increment, rules.largest_step)
}

/// Takes off no more taper than there is. Where the estimate itself, not its rounding, asks for less
/// than none, something else is wrong.
fn not_below_zero(
    change: PerSide,
    median: PerSide,
    taper: Option<PerSide>,
    rules: &EstimateRules,
) -> Result<PerSide, Situation> {
    let Some(present) = taper else {
        return Ok(change);
    };
    let needed = present + median;
    // Of no taper nothing can come off; and less than half an increment below none would be rounded to none.
    if present == PerSide::ZERO || needed + needed < -rules.increment {
        return Err(Situation::NegativeTaper);
    }
    Ok(change.max(-present))
}
