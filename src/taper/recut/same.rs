//! What moved since the last cut, and what nobody can say.

use super::Recut;
use crate::taper::rules::RecutRules;
use crate::units::Length;

/// A fact that is missing.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Unknown {
    /// Which: "machine", "serration position", …
    pub what: &'static str,
    /// What to look up, measure or say.
    pub ask: String,
}

/// Why the set must be bored again; empty where nothing is known to ask for it.
pub(super) fn reasons(request: &Recut<'_>, rules: &RecutRules) -> Vec<String> {
    let present = request.present;
    let mut reasons = Vec::new();
    match request.cut {
        None => {
            reasons.push("No cut of this set is filed, so nothing says that it runs true.".into());
        }
        Some(cut) => {
            let moved = present.mounting.differences_from(&cut.mounting);
            // A blank is unknown, not different.
            let said = |text: &String| !text.trim().is_empty();
            let moved = moved
                .into_iter()
                .filter(|d| said(&d.before) && said(&d.now));
            reasons.extend(moved.map(|d| {
                format!(
                    "Another {}: “{}” at the last cut, “{}” now.",
                    d.what, d.before, d.now
                )
            }));
        }
    }
    if let (Some(before), Some(now)) = (request.pressure_before, present.production_pressure)
        && !now.is_same_as(before)
    {
        reasons.push(format!(
            "Another production pressure: {before} at the last cut, {now} now; another pressure asks \
             for another taper."
        ));
    }
    reasons.extend(other_work(request, rules));
    reasons.extend(condition(request, rules));
    reasons
}

/// Another diameter or taper than the one that is cut.
fn other_work(request: &Recut<'_>, rules: &RecutRules) -> Vec<String> {
    let mut reasons = Vec::new();
    let now = request.present.workpiece_diameter;
    if let (Some(before), Some(now)) = (request.jaw_set.workpiece_diameter, now)
        // Larger or smaller, per side.
        && (now - before).half().max((before - now).half()) > rules.off_centre_fine
    {
        let (before, now) = (before.fine(), now.fine());
        reasons.push(format!(
            "Another workpiece diameter: {before} until now, {now} next."
        ));
    }
    let cut = request.cut.and_then(|c| c.taper);
    if let (Some(cut), Some(next)) = (cut, request.present.next_taper)
        && cut != next
    {
        let (cut, next) = (cut.as_taper(), next.as_taper());
        reasons.push(format!("Another taper: {cut} is cut, {next} is asked for."));
    }
    reasons
}

/// Wear, drift and run-out.
fn condition(request: &Recut<'_>, rules: &RecutRules) -> Vec<String> {
    let present = request.present;
    let mut reasons = Vec::new();
    if present.worn {
        reasons.push("Wear was seen on the faces.".to_owned());
    }
    if let Some(deepest) = present.damage.iter().max().filter(|d| **d > Length::ZERO) {
        reasons.push(format!("A face is damaged, {} deep.", deepest.fine()));
    }
    if present.drifting {
        reasons.push("Parts drift out.".to_owned());
    }
    // An indicator shows the faces' nearest and farthest place, twice the offset.
    let off_centre = present.run_out.map(Length::half);
    if let Some(off) = off_centre.filter(|off| *off > rules.off_centre_fine) {
        reasons.push(format!(
            "The faces run {} off centre (half of their run-out); up to {} would do.",
            off.fine(),
            rules.off_centre_fine.fine()
        ));
    }
    reasons
}

/// The facts that must be known to say that nothing moved.
pub(super) fn unknown(request: &Recut<'_>) -> Vec<Unknown> {
    let now = &request.present.mounting;
    let before = request.cut.map(|c| &c.mounting);
    let said = |text: Option<&String>| text.is_some_and(|t| !t.trim().is_empty());
    let facts = [
        (
            "machine",
            said(before.and_then(|m| m.machine.as_ref())),
            said(now.machine.as_ref()),
        ),
        (
            "chuck",
            said(before.and_then(|m| m.chuck.as_ref())),
            said(now.chuck.as_ref()),
        ),
        (
            "master jaws",
            said(before.and_then(|m| m.master_jaws.as_ref())),
            said(now.master_jaws.as_ref()),
        ),
        (
            "serration position",
            said(before.and_then(|m| m.serration.as_ref())),
            said(now.serration.as_ref()),
        ),
        (
            "production pressure",
            request.pressure_before.is_some(),
            request.present.production_pressure.is_some(),
        ),
    ];
    facts
        .into_iter()
        .filter_map(|(what, before, now)| ask(what, before, now))
        .collect()
}

fn ask(what: &'static str, before: bool, now: bool) -> Option<Unknown> {
    let ask = match (before, now) {
        (true, true) => return None,
        (true, false) => format!("The {what} now: say it."),
        (false, true) => {
            format!("The {what} at the last cut: never noted; say it if anyone knows.")
        }
        (false, false) => format!("The {what}: said neither for now nor for the last cut."),
    };
    Some(Unknown { what, ask })
}
