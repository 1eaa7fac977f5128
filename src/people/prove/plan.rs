//! What was fixed beforehand, and the record of it.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::people::opinion::Person;
use crate::taper::records::Id;

/// Longer plans are a mistyped number: years of checks.
const MOST_CHECKS: u32 = 5000;

/// So many checks, none of them the wrong way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Answers to be held against what was right, 1 or more.
    pub checks: u32,
    /// Of the claim, above 0 and below 1.
    pub confidence: f64,
    /// Whether unproven advice is kept back: the reading is shown, the change is not.
    pub held: bool,
}

/// Why there is no such plan.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A share that no number of checks shows, or that says nothing.
    #[error("“at most {0}” is no claim; give a share above 0.1 % and below 100 %, as in 5%")]
    NoClaim(f64),
    /// None, or years of them.
    #[error("{0} checks are no plan; give 1 to {MOST_CHECKS}")]
    NoNumber(u32),
}

impl Plan {
    /// Confidence of every claim here; what is usual.
    pub const CONFIDENCE: f64 = 0.95;

    /// With a number of checks.
    ///
    /// # Errors
    /// Of none, and of more than 5000.
    pub fn of_checks(checks: u32, held: bool) -> Result<Self, PlanError> {
        if !(1..=MOST_CHECKS).contains(&checks) {
            return Err(PlanError::NoNumber(checks));
        }
        Ok(Self {
            checks,
            confidence: Self::CONFIDENCE,
            held,
        })
    }

    /// With as many checks as the claim takes that at most this share, 0 to 1, goes the wrong way.
    ///
    /// # Errors
    /// Where no number of checks up to 5000 bears the claim.
    pub fn to_show(at_most: f64, held: bool) -> Result<Self, PlanError> {
        if !(at_most > 0.001 && at_most < 1.0) {
            return Err(PlanError::NoClaim(at_most));
        }
        Self::of_checks(Self::needed(at_most, Self::CONFIDENCE), held)
    }

    /// Checks without a wrong way that it takes to claim that at most this share, above 0 and below 1, goes it.
    pub fn needed(at_most: f64, confidence: f64) -> u32 {
        // Less a trifle, so that rounding does not ask for one more where a number fits exactly.
        ((1.0 - confidence).ln() / (-at_most).ln_1p() - 1e-9).ceil() as u32
    }

    /// What so many checks without a wrong way can bear: the share that goes the wrong way is at most this.
    pub fn bears(checks: u32, confidence: f64) -> f64 {
        match checks {
            0 => 1.0,
            n => 1.0 - (1.0 - confidence).powf(1.0 / f64::from(n)),
        }
    }

    /// The claim at its end.
    pub fn at_most(&self) -> f64 {
        Self::bears(self.checks, self.confidence)
    }

    /// The operating curve: how probably a program passes of whose answers this share goes the wrong way.
    pub fn passes(&self, wrong_way: f64) -> f64 {
        (1.0 - wrong_way).powf(f64::from(self.checks))
    }
}

/// One prove-out, as it is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProveOut {
    /// The same in every archive that holds it.
    pub id: Id,
    /// The lead who began it.
    pub by: Person,
    /// When.
    pub begun: DateTime,
    /// Fixed then.
    pub plan: Plan,
    /// Version of the program then.
    pub program: String,
    /// Its end; `None` while it goes on.
    pub ended: Option<Ended>,
    /// See [`crate::JawSet::changed`].
    pub changed: DateTime,
}

impl ProveOut {
    /// Whether it was ended with as many checks as its plan takes.
    pub fn is_fulfilled(&self) -> bool {
        let ended = self.ended.as_ref();
        ended.is_some_and(|e| e.counted.len() >= self.plan.checks as usize)
    }
}

/// The end of a prove-out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ended {
    /// The lead who ended it.
    pub by: Person,
    /// When.
    pub at: DateTime,
    /// The checks that were answered and judged by then.
    pub counted: Vec<Id>,
}
