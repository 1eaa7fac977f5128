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
//!
//! `steps` gives the estimate after each check of a jaw set; `advise_with` uses the same for a check made now. Both are pure: the
//! records come from the archive.
//!
//! # Model
//!
//! On a grid over (needed taper, the set's marking threshold `h`):
//!
//! - A check's own threshold is `ln h_k = ln h + d_k`, `d_k` normal with `threshold_drift_log_sd` (0.26, an assumption: 30 % from
//!   check to check), integrated out as a convolution along `ln h`. The jaws of a check share `h_k` and each have their own taper
//!   (`jaw_spread`). The drift is part of `threshold_log_sd`, so a single check means what it means without a history.
//! - Besides a reading's own deviation the edge of contact is uncertain by 0.028 of the length (how far faces are from the wedge,
//!   measured on the four rendered sets below), and a face called full-length bounds the error by `h/0.85`, since smaller bands are
//!   called so. Only the history uses these two.
//! - Another pressure step moves the needed taper by the compliance with its uncertainty, or starts anew. Whether the threshold
//!   changes with the pressure is not modelled; the drift has to cover it.
//! - A jaw that disagrees with at least two others is left out and they count (assumption: it leaves their contact as it was).
//!   Everything else that asked for mending first, or for another photo, is left out whole.
//! - *Contradiction*: with `unnoticed_change` p (0.05, assumption), the checks are taken to be about different things where they are
//!   less than p/(1 − p) times as likely together as apart (Bayes factor). Then there is no change, situation
//!   `history-contradicts`, and the estimate starts anew at that check: the same result seen again stands.
//! - The sign of a change is always what the present photos show; the history only narrows the amount.
//! - Other sets: `set_thresholds` divides the prior out of a finished set's posterior of `ln h` (taken for normal);
//!   `learned_threshold` pools at least three sets by random effects, shrunk towards the prior as if it were four more sets
//!   (assumption). `compliance` is weighted least squares through the origin.
//!
//! # How well it learns
//!
//! Simulated sets (drawn from this model; nothing there is from outside), 500 each, edges misread by 0.013 of the length in the
//! median and 0.05 at the ninetieth percentile: `cargo test --test all simulation -- --nocapture`.
//!
//! | simulated | 90 % interval holds, all checks / second | error after the second check, median, thou per side | checks until full-length | overshoots per set | not finished in 12 checks | wrong way |
//! | --- | --- | --- | --- | --- | --- | --- |
//! | model right | 89 % / 90 % | 0.18 | 1.76 | 0.06 | 0.4 % | 0 |
//! | the same sets, 0.001 in a step | | | 1.93 | 0.17 | 0.2 % | 0 |
//! | `h` times or over 1.3 at each check | 90 % / 88 % | 0.20 | 1.85 | 0.11 | 0.6 % | 0 |
//! | `h` drifts, one deviation is 30 % | 87 % / 86 % | 0.19 | 1.77 | 0.06 | 0.4 % | 0 |
//! | jaw 1 off by 30 µm (150 sets) | 77 % / 79 % | 0.24 | 7.0 | 0.03 | 39 % | 0 |
//! | first taper 1.5 to 4 thou off, with the history | 89 % / 88 % | 0.27 | 2.88 | 0.11 | 0 | 0 |
//! | the same, each check by itself | | | 2.93 | 0.18 | 0.2 % | |
//! | the same, 0.001 in a step | | | 3.83 | 0.17 | 0.2 % | 0 |
//!
//! With one jaw off the interval is too narrow, and four sets in ten never finish: the advice is to seat the jaw, which the
//! simulation does not do.
//!
//! Rendered jaw sets, read by the program itself: `SEEPLINE_SETS=DIR cargo test --test all photos -- --ignored --nocapture`.
//! Four sets, which were looked at while the model was made: error of the needed taper after the second check 0.26, 0.03, 0.22 and
//! 0.04 thou per side, median 0.13; all eleven intervals hold the truth. Where it is 0.26 the second check was full-length already,
//! which only bounds the error; where it is 0.22 one jaw was not judged and the edges of the other two lie where a threshold a tenth
//! smaller would put them. A median over four is worth little.

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
pub(crate) use history::Bearing;
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
