//! A set is mounted again: check instead of boring, or bore again and how.
//!
//! Jaws that sit where they were bored, on the same master jaws and clamped alike, still run true; anything
//! moved does not. What is unknown is not the same: it is asked for.
//!
//! Same means are machine, chuck, master jaws, serration position as at the last cut, production pressure within 1 % of the one
//! that the cut was checked at (a gauge is read no better; assumption), and the work's diameter within the off-centre limit per
//! side. Boring pressure does not enter: it is the cut's own, and matters when the next cut is made. What was never noted is
//! asked for. The sum is in `recut/plan`, the allowances in the rules' `[recut]`.

mod plan;
mod same;
mod words;

use crate::taper::records::{Cut, JawSet, Mounting, Timeline};
use crate::taper::rules::Rules;
use crate::units::{Length, PerSide, Pressure};

pub use plan::{BorePlan, StockSum};
pub use same::Unknown;

/// What is so now, at the machine. Everything may be unknown.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Present {
    /// Where the set is mounted now.
    pub mounting: Mounting,
    /// Chuck pressure that production will run at.
    pub production_pressure: Option<Pressure>,
    /// Wear was seen on a face.
    pub worn: bool,
    /// Parts drift out of tolerance or off centre.
    pub drifting: bool,
    /// Total indicated run-out of the faces or of a gripped master, as mounted.
    pub run_out: Option<Length>,
    /// Deepest wear or damage of each jaw's face.
    pub damage: Vec<Length>,
    /// Run-out of the back face, along the spindle axis.
    pub back_face_run_out: Option<Length>,
    /// Of the next workpiece; the set's own where not given.
    pub workpiece_diameter: Option<Length>,
    /// The taper to bore next; the last cut's where not given.
    pub next_taper: Option<PerSide>,
    /// Per side, what may still be bored away; the last cut's, else the set's, where not given.
    pub stock: Option<Length>,
    /// How far each jaw can still move in the direction that clamps, from where it clamped last.
    pub stroke_left: Option<Length>,
}

/// A set that is mounted again.
#[derive(Debug, Clone, Copy)]
pub struct Recut<'a> {
    /// The set.
    pub jaw_set: &'a JawSet,
    /// Its last cut.
    pub cut: Option<&'a Cut>,
    /// Production pressure that the last cut was made for and checked at.
    pub pressure_before: Option<Pressure>,
    /// As it is now.
    pub present: &'a Present,
}

/// What to do with it. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecutAction {
    /// Nothing moved: make a contact check.
    CheckInstead,
    /// Something moved or is worn.
    BoreAgain,
    /// Nothing is known to have moved, but not everything is known.
    FindOut,
}

/// What to do, why and how.
#[derive(Debug, Clone, PartialEq)]
pub struct RecutAdvice {
    /// What to do.
    pub action: RecutAction,
    /// Why, a sentence each.
    pub reasons: Vec<String>,
    /// What was not said, and what to look up or measure.
    pub unknown: Vec<Unknown>,
    /// How to bore; `None` for [`RecutAction::CheckInstead`] and where no diameter is known.
    pub plan: Option<BorePlan>,
    /// Each step of the sum, in words.
    pub arithmetic: Vec<String>,
    /// What had to be assumed.
    pub assumed: Vec<String>,
    /// What is in the way: not enough stock or stroke.
    pub warnings: Vec<String>,
    /// In order.
    pub what_to_do: Vec<String>,
    /// Safety cautions, always present.
    pub cautions: Vec<String>,
}

impl Present {
    /// What is not given is as the set says.
    pub(crate) fn or_as(mut self, set: &JawSet) -> Self {
        let (now, noted) = (&mut self.mounting, &set.mounting);
        for (now, noted) in [
            (&mut now.machine, &noted.machine),
            (&mut now.chuck, &noted.chuck),
            (&mut now.master_jaws, &noted.master_jaws),
            (&mut now.serration, &noted.serration),
        ] {
            *now = now.take().or_else(|| noted.clone());
        }
        self.production_pressure = self.production_pressure.or(set.production_pressure);
        self
    }
}

impl<'a> Recut<'a> {
    /// Of a filed set: its last cut, and the pressure that this cut was last checked at, else the set's.
    pub fn of(timeline: &'a Timeline, present: &'a Present) -> Self {
        let last = timeline.cuts.last();
        // Of this cut alone: earlier ones were checked with another face.
        let checked = last.and_then(|c| c.checks.iter().rev().find_map(|check| check.pressure));
        Self {
            jaw_set: &timeline.jaw_set,
            cut: last.map(|c| &c.cut),
            pressure_before: checked.or(timeline.jaw_set.production_pressure),
            present,
        }
    }
}

/// Decides whether the set must be bored again, and plans it.
pub fn recut(request: &Recut<'_>, rules: &Rules) -> RecutAdvice {
    let reasons = same::reasons(request, rules.recut());
    let unknown = same::unknown(request);
    let action = match (reasons.is_empty(), unknown.is_empty()) {
        // One thing that moved is enough, whatever else is unknown.
        (false, _) => RecutAction::BoreAgain,
        (true, false) => RecutAction::FindOut,
        (true, true) => RecutAction::CheckInstead,
    };
    let mut advice = RecutAdvice {
        action,
        reasons,
        unknown,
        plan: None,
        arithmetic: Vec::new(),
        assumed: Vec::new(),
        warnings: Vec::new(),
        what_to_do: Vec::new(),
        cautions: rules.cautions().to_vec(),
    };
    if action == RecutAction::CheckInstead {
        advice.reasons.push(
            "Machine, chuck, master jaws, serration position and pressure are those of the last cut."
                .to_owned(),
        );
    } else {
        // Also where something must be found out: if it can't be, this is what to do.
        put_plan(&mut advice, request, rules);
    }
    advice.what_to_do = words::what_to_do(action, request, advice.plan.as_ref());
    advice
}

fn put_plan(advice: &mut RecutAdvice, request: &Recut<'_>, rules: &Rules) {
    match plan::plan(request, rules.recut()) {
        Ok(plan) => {
            advice.arithmetic = words::arithmetic(&plan, request.jaw_set.grip);
            advice.assumed = words::assumed(&plan, request);
            advice.warnings = words::warnings(&plan, request, rules.recut());
            advice.plan = Some(plan);
        }
        Err(unknown) => advice.unknown.push(unknown),
    }
}

#[cfg(test)]
mod tests;
