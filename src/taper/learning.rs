//! What a jaw set's history says of the next answer.
//!
//! A check says something of two things: the needed taper and the marking threshold `h`. Which earlier
//! checks say it of the *same* needed taper and the *same* threshold is a matter of what changed between:
//!
//! | changed | needed taper | threshold |
//! | --- | --- | --- |
//! | nothing, or the set was cut again | the same | the same but for its drift from check to check |
//! | clamping or boring pressure | moved by the compliance, where it is known; else another | the same |
//! | compound or method | the same | another |
//! | machine, chuck, master jaws, serration position | another | the same |
//!
//! What was never written down is no evidence of a change. That a recut needs the same taper is an
//! assumption: it holds while the jaws lose little of their height and depth.

mod compliance;
mod conditions;
mod evidence;
mod history;
mod joint;
mod lesson;
mod pooling;
mod steps;
mod threshold;

use crate::reading::method::Method;

pub use compliance::{Compliance, CompliancePoint, ComplianceSource, Foretold, compliance};
pub use conditions::Conditions;
pub use evidence::LeftOut;
pub(crate) use history::Answer;
pub use history::History;
pub use lesson::{Lesson, knowledge, known_compliance};
pub use pooling::{Pooled, random_effects};
pub use steps::{Interval, JawSetEstimate, Standing, Step, steps};
pub use threshold::{LearnedThreshold, SetThreshold, learned_threshold, set_thresholds};

/// What was learned from *other* jaw sets; nothing by default.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Knowledge {
    /// At most one per compound and method.
    pub thresholds: Vec<LearnedThreshold>,
    /// Moves the needed taper from one pressure to another.
    pub compliance: Option<Compliance>,
}

impl Knowledge {
    fn threshold(&self, compound: Option<&str>, method: Method) -> Option<&LearnedThreshold> {
        let same = |t: &&LearnedThreshold| {
            t.method == method && same_words(t.compound.as_deref(), compound)
        };
        self.thresholds.iter().find(same)
    }
}

/// Alike but for case and blanks at the ends; unknown is alike only to unknown.
fn same_words(a: Option<&str>, b: Option<&str>) -> bool {
    let plain = |s: &str| s.trim().to_lowercase();
    a.map(plain) == b.map(plain)
}
