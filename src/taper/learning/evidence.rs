//! A filed check → what it says of the taper, or why it says nothing.

use super::conditions::Conditions;
use crate::reading::pattern::is_taper;
use crate::taper::advice::{Action, JawsAgree, jaws_agree};
use crate::taper::estimate::Observation;
use crate::taper::records::{Cut, FiledCheck, FiledReading, Timeline};
use crate::taper::rules::EstimateRules;
use crate::units::PerSide;

/// Why a check is left out of the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LeftOut {
    /// The taper that was cut was not written down.
    NoTaper,
    /// No reading was certain enough, an uncertain one said otherwise, or the tip was contradicted.
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

/// Where fewer than half of the jaws could be judged there was no advice, but those few still count.
/// The jaws share one taper, so where one of three and more differs it is left out and the others count;
/// that it leaves their contact as it was is an assumption.
pub(super) fn evidence(
    cut: &Cut,
    check: &FiledCheck,
    rules: &EstimateRules,
) -> Result<Evidence, LeftOut> {
    let taper = cut.taper.ok_or(LeftOut::NoTaper)?;
    // By the readings: fix-first was also filed where the history contradicted, and such a check counts.
    if check.readings.iter().any(|r| is_seat_or_shape(r, rules)) {
        return Err(LeftOut::FixFirst);
    }
    let firm = seen(check, taper, rules.least_confidence.min(ENOUGH_TO_LEARN));
    let likely = seen(check, taper, rules.least_confidence_other);
    let enough = likely.len() * 2 >= check.jaws().count();
    if matches!(check.advice.action, Action::Retake | Action::Settle) && enough {
        // Not for want of jaws: the tip was contradicted, or an uncertain reading said otherwise.
        return Err(LeftOut::Retake);
    }
    let odd_jaw = match jaws_agree(&firm, rules) {
        JawsAgree::Yes if jaws_agree(&likely, rules) == JawsAgree::Yes => None,
        JawsAgree::Yes => return Err(LeftOut::Retake),
        JawsAgree::No(Some(odd)) => Some(odd),
        JawsAgree::No(None) => return Err(LeftOut::JawsDisagree),
    };
    let counted = firm.iter().filter(|(i, _)| Some(*i) != odd_jaw);
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

/// A history weighs many checks, and one wrong reading cuts nothing, so that less is asked than before a cut (assumption). Earlier weights
/// hardly ever gave more than 0.92, and this much was acted upon then: what was filed stays learnt from.
const ENOUGH_TO_LEARN: f64 = 0.8;

/// Of readings with at least this confidence, with their index.
fn seen(check: &FiledCheck, taper: PerSide, confidence: f64) -> Vec<(usize, Observation)> {
    let certain = |r: &FiledReading| r.confidence >= confidence && is_taper(r.pattern);
    let readings = check.readings.iter().enumerate();
    readings
        .filter(|(_, r)| r.refusal.is_none() && certain(r))
        .filter_map(|(i, r)| Some((i, r.seen?.observation(Some(taper))?)))
        .collect()
}

fn is_seat_or_shape(reading: &FiledReading, rules: &EstimateRules) -> bool {
    reading.refusal.is_none()
        && reading.confidence >= rules.least_confidence_other
        && reading.pattern != crate::reading::pattern::Pattern::Unreadable
        && !is_taper(reading.pattern)
}
