//! A filed check → what it says of the taper, or why it says nothing.

use super::conditions::Conditions;
use crate::advice::{Action, Agreement, agreement, is_taper};
use crate::estimate::Observation;
use crate::records::{Cut, FiledCheck, FiledReading, Timeline};
use crate::rules::EstimateRules;
use crate::units::PerSide;

/// Why a check is left out of the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeftOut {
    /// The taper that was cut was not written down.
    NoTaper,
    /// The photos were to be taken again.
    Retake,
    /// Seat or shape had to be mended first.
    FixFirst,
    /// The jaws disagreed, and it can't be told which one is off.
    JawsDisagree,
}

/// What a check says of the taper.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Evidence {
    pub(super) taper: PerSide,
    pub(super) conditions: Conditions,
    /// Each with the taper.
    pub(super) observations: Vec<Observation>,
    /// Index of the reading that disagreed with the others and does not count.
    pub(super) odd_jaw: Option<usize>,
}

/// All cuts with their checks in the order of time.
pub(super) fn checks(timeline: &Timeline) -> impl Iterator<Item = (&Cut, &FiledCheck)> {
    let cuts = timeline.cuts.iter();
    cuts.flat_map(|c| c.checks.iter().map(|check| (&c.cut, check)))
}

/// The jaws share one taper, so where one of three and more differs it is left out and the others count;
/// that it leaves their contact as it was is an assumption.
pub(super) fn evidence(
    cut: &Cut,
    check: &FiledCheck,
    rules: &EstimateRules,
) -> Result<Evidence, LeftOut> {
    let taper = cut.taper.ok_or(LeftOut::NoTaper)?;
    if check.advice.action == Action::Retake {
        return Err(LeftOut::Retake);
    }
    if check.readings.iter().any(|r| is_seat_or_shape(r, rules)) {
        return Err(LeftOut::FixFirst);
    }
    let seen: Vec<(usize, Observation)> = check
        .readings
        .iter()
        .enumerate()
        .filter(|(_, r)| r.confidence >= rules.least_confidence && is_taper(r.pattern))
        .filter_map(|(i, r)| Some((i, r.seen?.observation(Some(taper))?)))
        .collect();
    let odd_jaw = match agreement(&seen, rules) {
        Agreement::Agree => None,
        Agreement::Disagree(Some(odd)) => Some(odd),
        Agreement::Disagree(None) => return Err(LeftOut::JawsDisagree),
    };
    let counted = seen.iter().filter(|(i, _)| Some(*i) != odd_jaw);
    let observations: Vec<_> = counted.map(|(_, o)| *o).collect();
    if observations.is_empty() {
        return Err(LeftOut::Retake);
    }
    Ok(Evidence {
        taper,
        conditions: Conditions::of(cut, check),
        observations,
        odd_jaw,
    })
}

fn is_seat_or_shape(reading: &FiledReading, rules: &EstimateRules) -> bool {
    reading.refusal.is_none()
        && reading.confidence >= rules.least_confidence_other
        && reading.pattern != crate::pattern::Pattern::Unreadable
        && !is_taper(reading.pattern)
}
