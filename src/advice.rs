//! Check → advice: the readings of all jaws together, and what to change.

use crate::estimate::Posterior;
use crate::pattern::Pattern;
use crate::reading::Reading;
use crate::rules::Rules;
use crate::units::{Length, OnDiameter, PerSide};

/// Which way the jaws grip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, clap::ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub enum Grip {
    /// The jaws close on the workpiece's outer diameter.
    #[default]
    Outside,
    /// The jaws open against its inner diameter.
    Inside,
}

/// What to do. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Leave the taper as it is.
    Leave,
    /// Cut again with another taper.
    Recut,
    /// Mend something else first.
    FixFirst,
    /// Take the photo again.
    Retake,
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

/// The readings of all jaws after one clamping, in the order the photos were given.
#[derive(Debug, Clone)]
pub struct Check<'a> {
    /// One per photo.
    pub readings: Vec<&'a Reading>,
    /// What the user said.
    pub setup: Setup,
}

/// A change of the taper with its interval. Positive adds taper: more material at the tip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TaperChange {
    /// Rounded to the shop's increment and held to the largest step.
    pub change: PerSide,
    /// Lower end of the 90 % interval.
    pub low: PerSide,
    /// Upper end of the 90 % interval.
    pub high: PerSide,
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
    /// One or two plain sentences.
    pub why: String,
    /// In the order to look.
    pub look_at_first: Vec<String>,
    /// Safety cautions, always present.
    pub cautions: Vec<String>,
    /// Index of a jaw that disagrees with the others.
    pub odd_jaw: Option<usize>,
    /// The estimate behind the change, where one was made.
    pub posterior: Option<Posterior>,
}

/// Judges the check.
pub fn advise(check: &Check<'_>, rules: &Rules) -> Advice {
    let _ = (check, rules);
    todo!()
}
