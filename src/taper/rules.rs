//! The advice table as data: what each pattern means and asks for, how to take a photo again, the
//! numbers behind the estimate, and the cautions. Compiled in; a file can take its place.

mod checked;
mod raw;

use std::collections::HashMap;
use std::sync::LazyLock;

use sha2::{Digest, Sha256};

use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::estimate::Prior;
use crate::units::{Length, PerSide};

pub(crate) use checked::name;
pub use raw::{PatternRule, Situation};

/// The table that is compiled in; a template for the shop's own.
pub const BUILT_IN_RULES: &str = include_str!("rules/rules.toml");

/// The rules, complete and checked: every pattern, situation and reason has its row.
#[derive(Debug, Clone)]
pub struct Rules {
    version: String,
    estimate: EstimateRules,
    recut: RecutRules,
    /// Complete: the row for one method where there is one, or else the row for both.
    patterns: HashMap<(Pattern, Method), PatternRule>,
    situations: HashMap<Situation, Words>,
    refusals: HashMap<Reason, String>,
    cautions: Vec<String>,
}

/// A broken rules file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RulesError {
    /// A row or a value that can't stand.
    #[error(
        "{file}, line {line}: {reason}; correct it there, or leave out --rules to use the rules that are built in"
    )]
    Broken {
        /// Name of the file as given.
        file: String,
        /// Line, counted from 1.
        line: usize,
        /// What is wrong there.
        reason: String,
    },
}

/// The numbers behind the estimate and its use; each is set in the rules file's `[estimate]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EstimateRules {
    /// What is believed before any reading.
    pub prior: Prior,
    /// A change is a whole multiple of this.
    pub increment: PerSide,
    /// No change at once is larger than this, a whole multiple of `increment`.
    pub largest_step: PerSide,
    /// Probability inside the interval that is reported, above 0 and below 1.
    pub interval: f64,
    /// Least confidence of a full-length, tip-only or base-only reading to act on.
    pub least_confidence: f64,
    /// Least confidence of any other reading to act on.
    pub least_confidence_other: f64,
    /// Jaws whose taper errors differ by more than this, and by more than their noise explains, disagree.
    pub jaws_differ: PerSide,
    /// Chance that something changed between two checks and nobody wrote it down, above 0 and below 1.
    pub unnoticed_change: f64,
}

/// Allowances for boring a set again; each is set in the rules file's `[recut]`. Per side or per jaw,
/// but for the back face, which is along the spindle axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RecutRules {
    /// How far off the spindle's axis a set sits that was moved, where its run-out was not measured.
    pub off_centre: Length,
    /// A set whose faces run farther off than this must be bored, moved or not.
    pub off_centre_fine: Length,
    /// What the cut takes at the least, anywhere on any face.
    pub clean_up: Length,
    /// What is skimmed off the back face.
    pub back_face: Length,
    /// Stroke that must be left after the cut.
    pub stroke_reserve: Length,
}

/// What to say.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// What to do, one sentence.
    pub advice: String,
    /// Why, one sentence.
    pub why: String,
    /// In the order to look.
    pub look_at_first: Vec<String>,
}

impl Rules {
    /// Reads a rules file's text; `file` is its name for messages.
    ///
    /// # Errors
    /// Where the text is no TOML, has an unknown or missing key, a value of the wrong kind, unit or
    /// range, a row twice or not at all.
    pub fn parse(text: &str, file: &str) -> Result<Self, RulesError> {
        let broken = |fault: checked::Fault| RulesError::Broken {
            file: file.to_owned(),
            line: fault.line(text),
            reason: fault.reason,
        };
        let raw = raw::Table::from_toml(text).map_err(broken)?;
        checked::check(raw, &fingerprint(text)).map_err(broken)
    }

    /// The rules that are compiled in.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Rules> = LazyLock::new(|| {
            Rules::parse(BUILT_IN_RULES, "the built-in rules")
                .expect("the built-in rules are checked by a test")
        });
        &BUILT_IN
    }

    /// Version of the table and the first digits of its SHA-256: `1 (3f2a9c0d)`.
    pub fn version(&self) -> &str {
        &self.version
    }

    /// The numbers behind the estimate.
    pub fn estimate(&self) -> &EstimateRules {
        &self.estimate
    }

    /// The allowances for boring a set again.
    pub fn recut(&self) -> &RecutRules {
        &self.recut
    }

    /// What a pattern means and asks for under a method.
    pub fn pattern(&self, pattern: Pattern, method: Method) -> &PatternRule {
        // `checked` has made sure that no row is missing, here and in the next two.
        &self.patterns[&(pattern, method)]
    }

    /// What to say in a situation.
    pub fn situation(&self, situation: Situation) -> &Words {
        &self.situations[&situation]
    }

    /// How to take the photo again.
    pub fn refusal(&self, reason: Reason) -> &str {
        &self.refusals[&reason]
    }

    /// Writes these rules' advice into a reading's refusal, where it has one.
    pub fn fill_refusal(&self, reading: &mut Reading) {
        if let Some(refusal) = &mut reading.refusal {
            self.refusal(refusal.reason).clone_into(&mut refusal.advice);
        }
    }

    /// The safety cautions, in order.
    pub fn cautions(&self) -> &[String] {
        &self.cautions
    }
}

impl Default for Rules {
    fn default() -> Self {
        Self::built_in().clone()
    }
}

/// First eight hexadecimal digits of the text's SHA-256.
fn fingerprint(text: &str) -> String {
    // Kept with every check: a shop may change its table and leave the version as it is.
    let digest = Sha256::digest(text.as_bytes());
    let [a, b, c, d] = [digest[0], digest[1], digest[2], digest[3]];
    format!("{a:02x}{b:02x}{c:02x}{d:02x}")
}

#[cfg(test)]
mod tests;
