//! The plan in words: the sum, what was assumed, what is in the way, what to do.

use super::plan::{BorePlan, bored_before};
use super::{Recut, RecutAction};
use crate::taper::advice::Grip;
use crate::taper::rules::RecutRules;
use crate::units::{Length, PerSide};

/// `0.0050 in (0.127 mm)`.
pub(super) fn fine(length: Length) -> String {
    format!("{:.4} in ({:.3} mm)", length.inches(), length.millimetres())
}

pub(super) fn arithmetic(plan: &BorePlan, grip: Grip) -> Vec<String> {
    let (sign, way) = match grip {
        Grip::Outside => ("−", "smaller"),
        Grip::Inside => ("+", "larger"),
    };
    let mut lines = vec![format!(
        "Stock per side: {} = {}.",
        terms(plan),
        fine(plan.stock)
    )];
    lines.push(format!(
        "Clamping diameter, {way} than the workpiece: {} {sign} 2 × {} = {}.",
        fine(plan.bore_diameter),
        fine(plan.stock),
        fine(plan.clamp_diameter)
    ));
    lines.push(format!(
        "The jaw that stands nearest loses up to {} per side.",
        fine(plan.deepest)
    ));
    if let (Some(before), Some(after)) = (plan.stock_before, plan.stock_after) {
        let times = plan.times_left.unwrap_or_default();
        lines.push(format!(
            "Left for next time: {} − {} = {} per side, enough for {times} more like this.",
            fine(before),
            fine(plan.deepest),
            fine(after)
        ));
    }
    if let Some(after) = plan.stroke_after {
        lines.push(format!(
            "Stroke left per jaw: {} − {} = {}.",
            fine(after + plan.jaws_move),
            fine(plan.jaws_move),
            fine(after)
        ));
    }
    lines
}

fn terms(plan: &BorePlan) -> String {
    let sum = &plan.sum;
    let terms = [
        ("off centre", sum.off_centre),
        ("damage", sum.damage),
        ("more taper at the tip", sum.taper),
        ("flanks of another curve", sum.curve),
        ("least cut", sum.clean_up),
    ];
    let terms = terms.into_iter().filter(|(_, l)| *l > Length::ZERO);
    let terms: Vec<String> = terms
        .map(|(what, l)| format!("{what} {}", fine(l)))
        .collect();
    terms.join(" + ")
}

pub(super) fn assumed(plan: &BorePlan, request: &Recut<'_>) -> Vec<String> {
    let present = request.present;
    let mut assumed = Vec::new();
    if present.run_out.is_none() {
        assumed.push(format!(
            "The set sits up to {} off centre; measure the run-out of the faces to take less.",
            fine(plan.sum.off_centre)
        ));
    }
    assumed.push(format!(
        "A least cut of {} everywhere, and {} off the back face.",
        fine(plan.sum.clean_up),
        fine(plan.back_face)
    ));
    if bored_before(request).is_none() {
        assumed.push("The jaws were bored to the workpiece's diameter last time.".to_owned());
    } else if !plan.curve_is_known {
        assumed.push(
            "The flanks clean up with the middle: another diameter is bored than last time, but the \
             face's width is not known, or is more than the diameter. Look at the flanks after the cut."
                .to_owned(),
        );
    }
    if request.cut.and_then(|c| c.taper).is_none() && present.next_taper.is_some() {
        assumed.push(
            "The faces have the new taper already, since the old one is not known.".to_owned(),
        );
    }
    assumed
}

pub(super) fn warnings(plan: &BorePlan, request: &Recut<'_>, rules: &RecutRules) -> Vec<String> {
    let found = [stock(plan), stroke(plan, rules)];
    let mut warnings: Vec<String> = found.into_iter().flatten().collect();
    if request.present.worn && request.present.damage.is_empty() {
        warnings.push(
            "The wear's depth was not given, so the stock holds nothing for it: measure the deepest \
             place of each face and give it, or the jaws may not clean up."
                .to_owned(),
        );
    }
    warnings
}

fn stock(plan: &BorePlan) -> Option<String> {
    match (plan.stock_before, plan.stock_after) {
        (Some(before), Some(after)) if after < Length::ZERO => Some(format!(
            "The jaws will not clean up: {} is left and {} is needed. Measure the run-out and the \
             damage, or make new jaws.",
            fine(before.max(Length::ZERO)),
            fine(plan.deepest)
        )),
        (Some(_), Some(_)) if plan.times_left == Some(0) => Some(
            "This is the last boring that the stock allows; have new jaws ready for the next."
                .to_owned(),
        ),
        (None, _) => Some(
            "How much stock is left is not known: make sure that the cut does not reach the bolts \
             or run the face off the jaw."
                .to_owned(),
        ),
        _ => None,
    }
}

fn stroke(plan: &BorePlan, rules: &RecutRules) -> Option<String> {
    if plan.jaws_move < Length::ZERO {
        return Some(format!(
            "Each jaw must stand {} farther open than when it clamped last; where the stroke does not \
             allow that, move all jaws alike on their serrations, measure, and plan again.",
            fine(-plan.jaws_move)
        ));
    }
    let Some(after) = plan.stroke_after else {
        return (plan.jaws_move > rules.stroke_reserve).then(|| {
            format!(
                "Each jaw must move {} farther in the direction that clamps than when it clamped last; how much stroke is left was \
                 not said, so make sure of it first.",
                fine(plan.jaws_move)
            )
        });
    };
    let (is, then) = if after < Length::ZERO {
        ("not enough", "the jaws would bottom before they clamp")
    } else if after < rules.stroke_reserve {
        (
            "nearly used",
            "the jaws may bottom on work at its limit of size",
        )
    } else {
        return None;
    };
    Some(format!(
        "The stroke is {is}: {} would be left per jaw and {} should be; {then}. Move all jaws alike by \
         one or more serrations, measure, and plan again.",
        fine(after.max(Length::ZERO)),
        fine(rules.stroke_reserve)
    ))
}

pub(super) fn what_to_do(
    action: RecutAction,
    request: &Recut<'_>,
    plan: Option<&BorePlan>,
) -> Vec<String> {
    let check = "Clamp a round, parallel test piece at production pressure, make a contact check, and \
                 photograph every jaw.";
    match action {
        RecutAction::CheckInstead => vec![
            seat(request),
            check.to_owned(),
            "Bore only if the check asks for it.".to_owned(),
        ],
        RecutAction::FindOut => {
            let find = "Answer what is asked under “Not known”. Nothing is known to have moved, but jaws \
                        that may have moved are not to be trusted.";
            let else_bore = "Where it can't be found out, bore again as below.".to_owned();
            let mut steps = vec![find.to_owned()];
            steps.extend(plan.map(|_| else_bore));
            steps.extend(bore(request, plan));
            steps
        }
        RecutAction::BoreAgain => {
            let mut steps = bore(request, plan);
            steps.push(check.to_owned());
            steps
        }
    }
}

/// Where cutting would waste the jaws or leave them unable to clamp.
fn stop(plan: &BorePlan) -> Option<String> {
    let short = |left: Option<Length>| left.is_some_and(|l| l < Length::ZERO);
    (short(plan.stock_after) || short(plan.stroke_after)).then(|| {
        "Do not cut yet: the stock or the stroke is not enough for what follows; see the warnings."
            .to_owned()
    })
}

fn seat(request: &Recut<'_>) -> String {
    let torque = match request.jaw_set.bolt_torque.as_deref().map(str::trim) {
        Some(torque) if !torque.is_empty() => format!("to {torque}, as the shop states it"),
        _ => "as the chuck's maker says".to_owned(),
    };
    format!(
        "Clean the serrations and seats, mount each jaw on its own master jaw, and torque the bolts {torque}."
    )
}

fn bore(request: &Recut<'_>, plan: Option<&BorePlan>) -> Vec<String> {
    let Some(plan) = plan else {
        return Vec::new();
    };
    let pressure = request.jaw_set.boring_pressure.map_or_else(
        || "the boring pressure".to_owned(),
        |p| format!("the boring pressure, {p},"),
    );
    let moved = plan.jaws_move + plan.jaws_move;
    let way = match (request.jaw_set.grip, moved < Length::ZERO) {
        (Grip::Outside, false) | (Grip::Inside, true) => "smaller",
        _ => "larger",
    };
    let (cut, onto) = match request.jaw_set.grip {
        Grip::Outside => ("Bore", "bored"),
        Grip::Inside => ("Turn", "turned"),
    };
    let taper = plan.taper.map_or_else(
        || {
            "the taper that the set needs; none is filed, so find it with a feeler gauge first"
                .to_owned()
        },
        PerSide::as_taper,
    );
    let mut steps: Vec<String> = stop(plan).into_iter().collect();
    steps.extend([
        seat(request),
        format!(
            "Clamp at {pressure} on a ring or plug so that the middles of the faces stand on a diameter \
             of {}. On a seat that is not {onto} again, the ring or plug is {} {way} on the diameter than \
             the last one.",
            fine(plan.clamp_diameter),
            fine(moved.max(-moved))
        ),
        format!(
            "In the same setting, skim the back face by {}.",
            fine(plan.back_face)
        ),
        format!(
            "{cut} to {} at the base, with a taper of {taper}, until every face is clean.",
            fine(plan.bore_diameter)
        ),
    ]);
    steps
}
