//! What one jaw set teaches the others, and what all of them together say for one set.

use serde::{Deserialize, Serialize};

use super::compliance::{Compliance, CompliancePoint, compliance};
use super::steps::{Standing, Step};
use super::threshold::{SetThreshold, is_finished, learned_threshold, thresholds_of};
use super::{Conditions, Knowledge, same_words, steps};
use crate::taper::records::{FiledCheck, Timeline};
use crate::taper::rules::EstimateRules;
use crate::units::{Length, PerSide};

/// Sets are sisters up to this difference in height, as a share: a beam's deflection goes with the third
/// power, so a tenth makes a third (assumption).
const SISTER_HEIGHT: f64 = 0.1;
/// A deviation is taken from the ends of this interval, which need not be the one that is reported.
const INTERVAL: f64 = 0.9;
/// Standard deviations to either end of it in a normal distribution.
const Z_90: f64 = 1.645;

/// What a jaw set teaches others. Small, so that an archive can keep it and need not go over all checks
/// again.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// The set's name.
    pub name: String,
    /// Of its jaws.
    pub material: Option<String>,
    /// Of its jaws.
    pub jaw_height: Option<Length>,
    /// One per compound and method.
    pub thresholds: Vec<SetThreshold>,
    /// One per cut that was left as it is at known pressures.
    pub points: Vec<CompliancePoint>,
}

impl Lesson {
    /// Of a set's whole history. Costs about a millisecond a check.
    pub fn of(timeline: &Timeline, rules: &EstimateRules) -> Self {
        let set = &timeline.jaw_set;
        let steps = finished_steps(timeline, rules);
        Self {
            name: set.name.clone(),
            material: set.material.clone(),
            jaw_height: set.jaw_height,
            thresholds: thresholds_of(timeline, &steps, rules),
            points: points(timeline, &steps),
        }
    }

    fn is_sister_of(&self, material: Option<&str>, height: Option<Length>) -> bool {
        let alike =
            |a: Length, b: Length| a.ratio(b).is_some_and(|r| (r - 1.0).abs() <= SISTER_HEIGHT);
        let heights = self.jaw_height.zip(height);
        material.is_some()
            && same_words(self.material.as_deref(), material)
            && heights.is_some_and(|(a, b)| alike(a, b))
    }
}

/// What the set's own finished checks and other sets' lessons say for its next check.
///
/// `now` is what a check is made under that is not in the timeline yet.
pub fn knowledge(
    own: &Timeline,
    others: &[Lesson],
    now: Option<&Conditions>,
    rules: &EstimateRules,
) -> Knowledge {
    // All at one pressure step, the compliance moves nothing.
    let compliance = pressures_differ(own, now)
        .then(|| known_compliance(own, others, rules))
        .flatten();
    Knowledge {
        thresholds: thresholds(own, others, rules),
        compliance,
    }
}

fn pressures_differ(own: &Timeline, now: Option<&Conditions>) -> bool {
    let filed = own.cuts.iter().flat_map(|of_cut| {
        let conditions = |check| Conditions::of(&of_cut.cut, check);
        of_cut.checks.iter().map(conditions)
    });
    let mut steps = filed
        .chain(now.cloned())
        .filter_map(|c| c.pressure_step_pa());
    let first = steps.next();
    steps.any(|s| Some(s) != first)
}

/// The steps of a set that was left as it is at some check; none of another, which teaches nothing.
fn finished_steps(timeline: &Timeline, rules: &EstimateRules) -> Vec<Step> {
    if is_finished(timeline) {
        steps(timeline, &Knowledge::default(), rules)
    } else {
        Vec::new()
    }
}

/// Taper per pressure step for a set: its own where it has finished checks, else its sisters'.
pub fn known_compliance(
    own: &Timeline,
    others: &[Lesson],
    rules: &EstimateRules,
) -> Option<Compliance> {
    let (material, height) = (own.jaw_set.material.as_deref(), own.jaw_set.jaw_height);
    let sisters: Vec<Vec<CompliancePoint>> = others
        .iter()
        .filter(|l| l.is_sister_of(material, height))
        .map(|l| l.points.clone())
        .collect();
    compliance(&points(own, &finished_steps(own, rules)), &sisters)
}

/// One per compound and method that other sets were checked with.
fn thresholds(
    own: &Timeline,
    others: &[Lesson],
    rules: &EstimateRules,
) -> Vec<super::LearnedThreshold> {
    let all: Vec<SetThreshold> = others.iter().flat_map(|l| l.thresholds.clone()).collect();
    let mut found: Vec<super::LearnedThreshold> = Vec::new();
    for set in &all {
        let compound = set.compound.as_deref();
        let known = |t: &super::LearnedThreshold| {
            t.method == set.method && same_words(t.compound.as_deref(), compound)
        };
        // Once per compound and method, however many sets name it.
        if found.iter().any(known) {
            continue;
        }
        let material = own.jaw_set.material.as_deref();
        found.extend(learned_threshold(
            &all,
            &rules.prior,
            compound,
            material,
            set.method,
        ));
    }
    found
}

/// The last finished check of each cut: left as it is, at known pressures.
fn points(timeline: &Timeline, steps: &[Step]) -> Vec<CompliancePoint> {
    let of_cut = timeline.cuts.iter().filter_map(|of_cut| {
        let finished = |c: &&FiledCheck| c.advice.leaves();
        // One of each cut: its checks stand on one another, so the last has what the others say.
        let check = of_cut.checks.iter().rev().find(finished)?;
        let step = steps.iter().find(|s| s.check == check.id)?;
        if matches!(step.standing, Standing::LeftOut(_)) {
            return None;
        }
        let estimate = step.estimate.as_ref()?;
        let tail = (1.0 - INTERVAL) / 2.0;
        let at = |p: f64| estimate.posterior.needed_quantile(p);
        let sd_um = (at(1.0 - tail)? - at(tail)?).micrometres() / (2.0 * Z_90);
        Some(CompliancePoint {
            pressure: check.pressure?,
            boring_pressure: of_cut.cut.boring_pressure?,
            needed: estimate.needed.median,
            sd: PerSide::from_computed_micrometres(sd_um)?,
        })
    });
    of_cut.collect()
}
