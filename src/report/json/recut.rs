//! Boring a remounted set again, as JSON.

use serde::Serialize;

use super::{SCHEMA, bytes};
use crate::taper::recut::{BorePlan, RecutAction, RecutAdvice, Unknown};
use crate::units::Length;
use crate::units::amount::Amount;
use crate::units::amount::BothWays;

#[derive(Serialize)]
struct Root<'a> {
    schema: u32,
    version: &'static str,
    action: RecutAction,
    reasons: &'a [String],
    unknown: &'a [Unknown],
    plan: Option<Plan>,
    arithmetic: &'a [String],
    assumed: &'a [String],
    warnings: &'a [String],
    what_to_do: &'a [String],
    cautions: &'a [String],
}

/// Diameters are on the diameter, everything else per side or per jaw.
#[derive(Serialize)]
struct Plan {
    clamp_diameter: Size,
    bore_diameter: Size,
    taper: Option<BothWays>,
    stock_per_side: Size,
    off_centre: Size,
    damage: Size,
    taper_rise: Size,
    curve: Size,
    clean_up: Size,
    deepest_per_side: Size,
    back_face: Size,
    stock_before_per_side: Option<Size>,
    stock_after_per_side: Option<Size>,
    times_left: Option<u32>,
    jaws_move: Size,
    stroke_after: Option<Size>,
}

#[derive(Serialize)]
struct Size {
    thou: f64,
    um: f64,
}

/// The advice on a remounted set as one JSON object, with a newline after it.
///
/// # Errors
/// Never for values that [`crate::recut()`] gives; `serde_json` cannot promise it.
pub fn recut_to_json(advice: &RecutAdvice) -> serde_json::Result<Vec<u8>> {
    bytes(&Root {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        action: advice.action,
        reasons: &advice.reasons,
        unknown: &advice.unknown,
        plan: advice.plan.as_ref().map(plan),
        arithmetic: &advice.arithmetic,
        assumed: &advice.assumed,
        warnings: &advice.warnings,
        what_to_do: &advice.what_to_do,
        cautions: &advice.cautions,
    })
}

fn plan(plan: &BorePlan) -> Plan {
    Plan {
        clamp_diameter: size(plan.clamp_diameter),
        bore_diameter: size(plan.bore_diameter),
        taper: plan.taper.map(BothWays::from),
        stock_per_side: size(plan.stock),
        off_centre: size(plan.sum.off_centre),
        damage: size(plan.sum.damage),
        taper_rise: size(plan.sum.taper),
        curve: size(plan.sum.curve),
        clean_up: size(plan.sum.clean_up),
        deepest_per_side: size(plan.deepest),
        back_face: size(plan.back_face),
        stock_before_per_side: plan.stock_before.map(size),
        stock_after_per_side: plan.stock_after.map(size),
        times_left: plan.times_left,
        jaws_move: size(plan.jaws_move),
        stroke_after: plan.stroke_after.map(size),
    }
}

fn size(length: Length) -> Size {
    let Amount { thou, um } = length.into();
    Size { thou, um }
}
