//! Several checks → one posterior, each as far as it speaks of the same needed taper or threshold.

use super::Knowledge;
use super::conditions::Needed;
use super::evidence::Evidence;
use crate::taper::estimate::{Lattice, Layer, Posterior};
use crate::taper::rules::EstimateRules;

/// A check with its layer on the shared lattice.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) evidence: Evidence,
    pub(super) layer: Layer,
}

/// How a check stands to the earlier ones.
#[derive(Debug, Clone)]
pub(super) enum Verdict {
    /// Nothing earlier speaks of the same needed taper.
    Alone(Posterior),
    /// With so many earlier ones.
    Together(Posterior, usize),
    /// That something changed is likelier than that all are about the same needed taper.
    Contradicts(Posterior),
    /// It contradicts itself.
    Impossible,
}

impl Known {
    pub(super) fn of(evidence: Evidence, lattice: &Lattice) -> Option<Self> {
        let layer = Layer::of(&evidence.observations, lattice)?;
        Some(Self { evidence, layer })
    }
}

/// `earlier` from oldest to newest.
pub(super) fn judge(
    now: &Known,
    earlier: &[&Known],
    knowledge: &Knowledge,
    rules: &EstimateRules,
    lattice: &Lattice,
) -> Verdict {
    let compliance = knowledge.compliance.as_ref();
    let needed_of = |e: &Known| {
        now.evidence
            .conditions
            .needed_since(&e.evidence.conditions, compliance)
    };
    let (others, same): (Vec<&Known>, Vec<&Known>) = earlier
        .iter()
        .partition(|e| needed_of(e) == Needed::Another);
    let belief = threshold_belief(now, &others, knowledge, lattice);
    let Some(alone) = now.layer.outcome(now.evidence.taper, &belief, lattice) else {
        return Verdict::Impossible;
    };
    let Some(before) = together(now, &same, &needed_of, lattice) else {
        return Verdict::Alone(alone.posterior);
    };
    let first = same
        .first()
        .map_or(now.evidence.taper, |e| e.evidence.taper);
    let apart = before
        .outcome(first, &belief, lattice)
        .map(|o| o.log_evidence);
    let joint = before.and(&now.layer).outcome(first, &belief, lattice);
    match (joint, apart) {
        (Some(joint), Some(apart))
            if joint.log_evidence - apart - alone.log_evidence >= log_limit(rules) =>
        {
            Verdict::Together(joint.posterior, same.len())
        }
        _ => Verdict::Contradicts(alone.posterior),
    }
}

/// A change that nobody wrote down is likelier than none where the checks are this much less likely
/// together than apart: Bayes' rule with the chance of such a change.
fn log_limit(rules: &EstimateRules) -> f64 {
    (rules.unnoticed_change / (1.0 - rules.unnoticed_change)).ln()
}

/// The prior, or what other jaw sets taught of this compound and method, and what this set's checks
/// taught under another mounting or pressure.
fn threshold_belief(
    now: &Known,
    others: &[&Known],
    knowledge: &Knowledge,
    lattice: &Lattice,
) -> Vec<f64> {
    let conditions = &now.evidence.conditions;
    let learned = knowledge.threshold(conditions.compound.as_deref(), conditions.method);
    let mut belief = learned.map_or_else(
        || lattice.prior_belief(),
        |t| lattice.belief(t.median, t.log_sd),
    );
    let mut rest: Vec<&Known> = others
        .iter()
        .copied()
        .filter(|e| conditions.same_threshold(&e.evidence.conditions))
        .collect();
    while let Some(first) = rest.first().copied() {
        let alike = |e: &&Known| {
            let of = &first.evidence.conditions;
            of.needed_since(&e.evidence.conditions, None) == Needed::Same
        };
        let (group, others): (Vec<&Known>, Vec<&Known>) = rest.into_iter().partition(alike);
        if let Some(layer) = product(group.iter().map(|e| e.layer.clone())) {
            let said = layer.of_the_threshold(first.evidence.taper, lattice);
            if said.iter().any(|l| l.is_finite()) {
                belief.iter_mut().zip(said).for_each(|(b, s)| *b += s);
            }
        }
        rest = others;
    }
    crate::taper::estimate::normalised(belief)
}

/// What checks that speak of the needed taper of `now` say of it and of the threshold of `now`.
fn together(
    now: &Known,
    same: &[&Known],
    needed_of: &dyn Fn(&Known) -> Needed,
    lattice: &Lattice,
) -> Option<Layer> {
    let mut rest = same.to_vec();
    let mut all: Vec<Layer> = Vec::new();
    while let Some(first) = rest.first().copied() {
        let (needed, conditions) = (needed_of(first), &first.evidence.conditions);
        let alike = |e: &&Known| {
            needed_of(e) == needed && conditions.same_threshold(&e.evidence.conditions)
        };
        let (group, others): (Vec<&Known>, Vec<&Known>) = rest.into_iter().partition(alike);
        let mut layer = product(group.iter().map(|e| e.layer.clone()))?;
        if !now.evidence.conditions.same_threshold(conditions) {
            layer = layer.of_another_threshold(&lattice.prior_belief());
        }
        if let Needed::Moved { by_um, sd_um } = needed {
            layer = layer.shifted(by_um, sd_um);
        }
        all.push(layer);
        rest = others;
    }
    product(all.into_iter())
}

fn product(layers: impl Iterator<Item = Layer>) -> Option<Layer> {
    layers.reduce(|a, b| a.and(&b))
}
