//! Check → advice: the readings of all jaws together, and what to change.

mod change;
mod ends;
mod jaws;
mod program;
mod verdict;
mod words;

pub(crate) use jaws::{JawsAgree, jaws_agree};

use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::taper::estimate::Posterior;
use crate::taper::learning::History;
use crate::taper::rules::Rules;
use crate::units::{Length, OnDiameter, PerSide};

/// Which way the jaws grip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum Grip {
    /// The jaws close on the workpiece's outer diameter.
    #[default]
    Outside,
    /// The jaws open against its inner diameter.
    Inside,
}

/// What to do. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Leave the taper as it is.
    Leave,
    /// Cut again with another taper.
    Recut,
    /// Mend something else first.
    FixFirst,
    /// Say what the pictures leave open or contradict, and read them again: no photo need be taken.
    Settle,
    /// Take the photo again.
    Retake,
    /// Leave or cut again; which, and by how much, is kept back until the program is proven in this shop.
    Held,
}

/// What the user says about the check as a whole.
#[derive(Debug, Clone, Default)]
pub struct Setup {
    /// Outside or inside grip.
    pub grip: Grip,
    /// The taper that is cut now, ≥ 0 (more material at the tip).
    pub taper: Option<PerSide>,
    /// Length of the gripping face.
    pub length: Option<Length>,
    /// How far off the tip the cut starts; zero: at the tip itself.
    pub clearance: Option<Length>,
}

/// The readings of all jaws after one clamping, in the order in which their photos were given.
#[derive(Debug, Clone)]
pub struct Check<'a> {
    /// One per jaw.
    pub readings: Vec<&'a Reading>,
    /// What the user said.
    pub setup: Setup,
}

/// A change of the taper with its interval. Positive adds taper: more material at the tip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TaperChange {
    /// Rounded to the shop's increment and held to the largest step.
    pub change: PerSide,
    /// Lower end of the interval.
    pub low: PerSide,
    /// Upper end of the interval.
    pub high: PerSide,
    /// Probability inside the interval, above 0 and below 1, as the rules set it.
    pub interval: f64,
}

/// How to program the new cut when boring from tip to base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProgramChange {
    /// Taper to program, per side, over length + clearance, so that the face gets `next_taper`.
    pub programmed: PerSide,
    /// Signed change of diameter from the start of the cut to the base: outside grip grows (+), inside shrinks (−).
    pub diameter_change: OnDiameter,
    /// By how much the diameter at the tip is off unless the start diameter is moved too; signed like `diameter_change`.
    pub start_offset: OnDiameter,
}

/// What to do about the check.
#[derive(Debug, Clone)]
pub struct Advice {
    /// Pattern of the check as a whole.
    pub pattern: Pattern,
    /// What to do.
    pub action: Action,
    /// `Some` only for `Leave` (zero) and `Recut`.
    pub taper_change: Option<TaperChange>,
    /// Present taper plus change, where the present taper was given.
    pub next_taper: Option<PerSide>,
    /// Where next taper, length and clearance allow it.
    pub program: Option<ProgramChange>,
    /// One plain sentence, imperative.
    pub what_to_do: String,
    /// A few plain sentences: what was seen, why it asks for this, and what the answer does not cover.
    pub why: String,
    /// In the order to look; the readings' own warnings come first.
    pub look_at_first: Vec<String>,
    /// Safety cautions, always present.
    pub cautions: Vec<String>,
    /// Index of a jaw that disagrees with the others.
    pub odd_jaw: Option<usize>,
    /// The estimate behind the change, where one was made.
    pub posterior: Option<Posterior>,
}

/// In place of what to do, where that is kept back.
pub(crate) const HELD: &str =
    "Decide yourself: what to change is kept back until the program is proven in this shop.";
const HELD_WHY: &str = "What a lead calls before the reading, a feeler at the open end, or the next cuts and checks \
                        then show whether it was right.";

impl Advice {
    /// With what to change kept back; what says nothing of a change stays as it is.
    pub(crate) fn held(self) -> Self {
        if self.taper_change.is_none() {
            return self;
        }
        Self {
            action: Action::Held,
            taper_change: None,
            next_taper: None,
            program: None,
            what_to_do: HELD.to_owned(),
            why: HELD_WHY.to_owned(),
            look_at_first: Vec::new(),
            posterior: None,
            ..self
        }
    }
}

/// Judges the check.
///
/// Only full-length, tip-only and base-only ever yield a change (zero for full-length), and only where
/// the jaws agree, the readings are certain enough and no picture contradicts the tip's direction.
/// The order of the photos does not matter, but for [`Advice::odd_jaw`], which follows it.
pub fn advise(check: &Check<'_>, rules: &Rules) -> Advice {
    advise_with(check, &History::default(), rules)
}

/// As [`advise`], with what the jaw set's earlier checks say. They narrow the amount; which way the
/// taper goes is always what this check shows, and where the earlier checks exclude that there is no
/// change. Without a taper cut in the setup the history is not used.
pub fn advise_with(check: &Check<'_>, history: &History, rules: &Rules) -> Advice {
    let jaws = jaws::sorted(check, rules.estimate());
    let verdict = verdict::reach(&jaws, &check.setup, history, rules);
    words::put(&verdict, &jaws, &check.setup, history, rules)
}
