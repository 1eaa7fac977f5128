//! The earlier checks as they bear on the one that is being judged.

use super::conditions::{Conditions, Needed};
use super::evidence::Evidence;
use super::joint::{self, Known, Verdict};
use super::steps::Walk;
use super::{Knowledge, LearnedThreshold};
use crate::taper::estimate::{Lattice, Observation, Posterior};
use crate::taper::records::Timeline;
use crate::taper::rules::EstimateRules;
use crate::units::PerSide;

/// What the earlier checks of a jaw set, and other jaw sets, say for a check made now; nothing by default.
#[derive(Debug, Clone, Default)]
pub struct History {
    now: Conditions,
    earlier: Vec<Evidence>,
    knowledge: Knowledge,
}

/// How the present check stands to the history.
pub(crate) enum Bearing {
    /// There is no history that bears on it.
    None,
    /// Together they say this.
    Posterior(Box<Posterior>),
    /// The history excludes it.
    Contradicts,
}

impl History {
    /// `timeline` without the check that is being judged; `now` is what that check is made under.
    pub fn of(
        timeline: &Timeline,
        now: Conditions,
        knowledge: Knowledge,
        rules: &EstimateRules,
    ) -> Self {
        let earlier = Walk::over(timeline, &knowledge, rules).standing();
        Self {
            now,
            earlier,
            knowledge,
        }
    }

    /// Whether nothing bears on the check.
    pub fn is_empty(&self) -> bool {
        self.earlier.is_empty() && self.learned().is_none()
    }

    pub(crate) fn judge(&self, observations: &[Observation], rules: &EstimateRules) -> Bearing {
        let taper = observations.first().and_then(Observation::taper);
        let Some(taper) = taper.filter(|_| !self.is_empty()) else {
            return Bearing::None;
        };
        let lattice = Lattice::at(taper, &rules.prior);
        let known = |e: Evidence| Known::of(e, &lattice);
        let now = Evidence {
            taper,
            conditions: self.now.clone(),
            observations: observations.to_vec(),
            odd_jaw: None,
        };
        let earlier: Vec<Known> = self.earlier.iter().cloned().filter_map(known).collect();
        let earlier: Vec<&Known> = earlier.iter().collect();
        let Some(now) = known(now) else {
            return Bearing::None;
        };
        match joint::judge(&now, &earlier, &self.knowledge, rules, &lattice) {
            Verdict::Alone(p) | Verdict::Together(p, _) => Bearing::Posterior(Box::new(p)),
            Verdict::Contradicts(_) => Bearing::Contradicts,
            // Judged without a history, it comes out as jaws that disagree.
            Verdict::Impossible => Bearing::None,
        }
    }

    fn learned(&self) -> Option<&LearnedThreshold> {
        let compound = self.now.compound.as_deref();
        self.knowledge.threshold(compound, self.now.method)
    }

    /// What counts besides the present check, one sentence; empty where nothing does.
    pub(crate) fn in_words(&self) -> String {
        let compliance = self.knowledge.compliance.as_ref();
        let bears =
            |e: &&Evidence| self.now.needed_since(&e.conditions, compliance) != Needed::Another;
        let tapers: Vec<PerSide> = self.earlier.iter().filter(bears).map(|e| e.taper).collect();
        let checks = match tapers[..] {
            [] => String::new(),
            [taper] => format!("the check at {} before", taper.as_taper()),
            [.., last] => format!(
                "the {} checks before, the last at {}",
                tapers.len(),
                last.as_taper()
            ),
        };
        let sets = self.learned().map_or(String::new(), |t| {
            format!("what {} other jaw sets say of this compound", t.sets)
        });
        match (checks.is_empty(), sets.is_empty()) {
            (true, true) => String::new(),
            (false, true) => format!("This counts {checks}."),
            (true, false) => format!("This counts {sets}."),
            (false, false) => format!("This counts {checks}, and {sets}."),
        }
    }
}
