//! A jaw set's timeline → the estimate after each check.

use super::Knowledge;
use super::conditions::{Conditions, Needed};
use super::evidence::{self, Evidence, LeftOut};
use super::joint::{self, Known, Verdict};
use crate::reading::pattern::Pattern;
use crate::taper::estimate::{Lattice, Posterior};
use crate::taper::records::{Difference, Id, Timeline};
use crate::taper::rules::EstimateRules;
use crate::units::PerSide;

/// One check, and what is known after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The check.
    pub check: Id,
    /// Its cut.
    pub cut: Id,
    /// The taper that was cut.
    pub taper: Option<PerSide>,
    /// The check's own pattern.
    pub pattern: Pattern,
    /// Index of a reading that disagreed with the others and does not count.
    pub odd_jaw: Option<usize>,
    /// How it stands to the checks before.
    pub standing: Standing,
    /// What is known after it. Where the check was left out, of its own conditions as known before;
    /// `None` where nothing is.
    pub estimate: Option<JawSetEstimate>,
}

/// How a check stands to the earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// None before it counts.
    First,
    /// It is combined with so many earlier ones.
    Combined(usize),
    /// What changed since the last check makes the needed taper another.
    Anew(Vec<Difference>),
    /// It contradicts the earlier ones, so that something changed unnoticed: the estimate starts anew
    /// here, with less trust than a first check deserves.
    Contradicts,
    /// It does not count.
    LeftOut(LeftOut),
}

/// What is known of a jaw set.
#[derive(Debug, Clone, PartialEq)]
pub struct JawSetEstimate {
    /// Needed taper per side.
    pub needed: Interval,
    /// The set's marking threshold, a gap: per side.
    pub threshold: Interval,
    /// How many checks it rests on.
    pub checks: usize,
    /// All of it.
    pub posterior: Posterior,
}

/// A median with its interval, 90 % unless the rules say otherwise.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Interval {
    /// Lower end.
    pub low: PerSide,
    /// As likely above as below.
    pub median: PerSide,
    /// Upper end.
    pub high: PerSide,
}

/// The estimate after each check, oldest first, from that check and those before it that speak of the
/// same needed taper or threshold. Costs about a millisecond a check.
pub fn steps(timeline: &Timeline, knowledge: &Knowledge, rules: &EstimateRules) -> Vec<Step> {
    Walk::over(timeline, knowledge, rules).steps
}

/// The checks so far.
pub(super) struct Walk<'a> {
    knowledge: &'a Knowledge,
    rules: &'a EstimateRules,
    lattice: Lattice,
    /// Those that count.
    known: Vec<Known>,
    /// Those before this one speak of something that has changed since.
    since: usize,
    /// After the last of them.
    estimate: Option<JawSetEstimate>,
    pub(super) steps: Vec<Step>,
}

impl<'a> Walk<'a> {
    pub(super) fn over(
        timeline: &Timeline,
        knowledge: &'a Knowledge,
        rules: &'a EstimateRules,
    ) -> Self {
        let first = evidence::checks(timeline).find_map(|(cut, _)| cut.taper);
        let mut walk = Self {
            knowledge,
            rules,
            lattice: Lattice::at(first.unwrap_or(PerSide::ZERO), &rules.prior),
            known: Vec::new(),
            since: 0,
            estimate: None,
            steps: Vec::new(),
        };
        for (cut, check) in evidence::checks(timeline) {
            let mut step = Step {
                check: check.id,
                cut: cut.id,
                taper: cut.taper,
                pattern: check.advice.pattern,
                odd_jaw: None,
                standing: Standing::First,
                estimate: None,
            };
            let now = Conditions::of(cut, check);
            match evidence::evidence(cut, check, rules) {
                Ok(evidence) => walk.take(evidence, &now, &mut step),
                Err(why) => walk.leave_out(why, &now, &mut step),
            }
            walk.steps.push(step);
        }
        walk
    }

    /// The checks that count and that no later contradiction has outdated.
    pub(super) fn standing(self) -> Vec<Evidence> {
        let rest = self.known.into_iter().skip(self.since);
        rest.map(|k| k.evidence).collect()
    }

    fn take(&mut self, evidence: Evidence, conditions: &Conditions, step: &mut Step) {
        step.odd_jaw = evidence.odd_jaw;
        let Some(now) = Known::of(evidence, &self.lattice) else {
            return self.leave_out(LeftOut::JawsDisagree, conditions, step);
        };
        let earlier: Vec<&Known> = self.known[self.since..].iter().collect();
        let verdict = joint::judge(&now, &earlier, self.knowledge, self.rules, &self.lattice);
        let (posterior, checks) = match verdict {
            Verdict::Impossible => {
                return self.leave_out(LeftOut::JawsDisagree, conditions, step);
            }
            Verdict::Alone(posterior) => {
                if let Some(last) = earlier.last() {
                    let before = &last.evidence.conditions;
                    step.standing =
                        Standing::Anew(now.evidence.conditions.differences_from(before));
                }
                (posterior, 1)
            }
            Verdict::Together(posterior, earlier) => {
                step.standing = Standing::Combined(earlier);
                (posterior, earlier + 1)
            }
            Verdict::Contradicts(posterior) => {
                step.standing = Standing::Contradicts;
                self.since = self.known.len();
                (posterior, 1)
            }
        };
        self.estimate = JawSetEstimate::of(posterior, checks, self.rules);
        step.estimate.clone_from(&self.estimate);
        self.known.push(now);
    }

    /// What was known before stands where it is of the same needed taper.
    fn leave_out(&self, why: LeftOut, conditions: &Conditions, step: &mut Step) {
        step.standing = Standing::LeftOut(why);
        let same = self.known.last().is_some_and(|last| {
            let before = &last.evidence.conditions;
            conditions.needed_since(before, self.knowledge.compliance.as_ref()) == Needed::Same
        });
        step.estimate = self.estimate.clone().filter(|_| same);
    }
}

impl JawSetEstimate {
    fn of(posterior: Posterior, checks: usize, rules: &EstimateRules) -> Option<Self> {
        let tail = (1.0 - rules.interval) / 2.0;
        let interval = |at: &dyn Fn(f64) -> Option<PerSide>| {
            Some(Interval {
                low: at(tail)?,
                median: at(0.5)?,
                high: at(1.0 - tail)?,
            })
        };
        Some(Self {
            needed: interval(&|p| posterior.needed_quantile(p))?,
            threshold: interval(&|p| posterior.threshold_quantile(p))?,
            checks,
            posterior,
        })
    }
}
