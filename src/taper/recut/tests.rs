use super::*;
use crate::taper::advice::Grip;
use crate::taper::records::Id;

fn length(text: &str) -> Length {
    text.parse().unwrap()
}

fn moved_nowhere() -> Mounting {
    Mounting {
        machine: Some("north lathe".into()),
        chuck: Some("8 in".into()),
        master_jaws: Some("1-A 2-B 3-C".into()),
        serration: Some("3 from the outside".into()),
    }
}

fn set(grip: Grip) -> JawSet {
    JawSet {
        id: Id::derived(&["heron"]),
        name: "heron".into(),
        grip,
        material: None,
        jaw_height: None,
        face_length: None,
        face_width: None,
        bored_diameter: None,
        workpiece: None,
        workpiece_diameter: Some(length("2in")),
        mounting: moved_nowhere(),
        boring_pressure: "100psi".parse().ok(),
        production_pressure: "300psi".parse().ok(),
        bolt_torque: None,
        bored_on: None,
        stock: None,
        notes: None,
        photos: Vec::new(),
        changed: jiff::civil::date(2026, 3, 4).at(8, 0, 0, 0),
    }
}

fn cut(set: &JawSet) -> Cut {
    Cut {
        id: Id::derived(&["heron", "cut"]),
        jaw_set: set.id,
        made: set.changed,
        diameter: Some(length("2in")),
        depth: None,
        taper: Some(PerSide::of(length("3thou"))),
        boring_pressure: set.boring_pressure,
        skimmed: None,
        stock_left: Some(length("0.1in")),
        mounting: moved_nowhere(),
        notes: None,
        changed: set.changed,
    }
}

fn same() -> Present {
    Present {
        mounting: moved_nowhere(),
        production_pressure: "300psi".parse().ok(),
        ..Present::default()
    }
}

fn judged(set: &JawSet, present: &Present) -> RecutAdvice {
    let cut = cut(set);
    let request = Recut {
        jaw_set: set,
        cut: Some(&cut),
        pressure_before: set.production_pressure,
        present,
    };
    recut(&request, Rules::built_in())
}

// Common practice: jaws that were not moved, at the same pressure, are checked, not bored.
#[test]
fn what_did_not_move_is_checked_instead() {
    let advice = judged(&set(Grip::Outside), &same());
    assert_eq!(advice.action, RecutAction::CheckInstead);
    assert_eq!(advice.plan, None);
    assert!(!advice.cautions.is_empty());
}

#[test]
fn anything_moved_worn_or_drifting_is_bored_again() {
    type Edit = fn(&mut Present);
    let moved = |edit: Edit| {
        let mut present = same();
        edit(&mut present);
        judged(&set(Grip::Outside), &present)
    };
    let edits: [(Edit, &str); 11] = [
        (
            |p| p.workpiece_diameter = Some(length("1.99in")),
            "workpiece diameter",
        ),
        (
            |p| p.next_taper = Some(PerSide::of(length("2thou"))),
            "Another taper",
        ),
        (
            |p| p.mounting.machine = Some("south lathe".into()),
            "machine",
        ),
        (|p| p.mounting.chuck = Some("10 in".into()), "chuck"),
        (
            |p| p.mounting.master_jaws = Some("1-B 2-C 3-A".into()),
            "master jaws",
        ),
        (
            |p| p.mounting.serration = Some("4 from the outside".into()),
            "serration position",
        ),
        (
            |p| p.production_pressure = "250psi".parse().ok(),
            "production pressure",
        ),
        (|p| p.worn = true, "Wear"),
        (|p| p.drifting = true, "drift"),
        (
            |p| p.damage = vec![Length::ZERO, Length::from_tenths(30)],
            "damaged",
        ),
        (|p| p.run_out = Some(Length::from_tenths(40)), "off centre"),
    ];
    for (edit, word) in edits {
        let advice = moved(edit);
        assert_eq!(advice.action, RecutAction::BoreAgain, "{word}");
        assert!(
            advice.reasons.iter().any(|r| r.contains(word)),
            "{:?}",
            advice.reasons
        );
        assert!(advice.plan.is_some(), "{word}");
    }
}

#[test]
fn unknown_is_not_the_same_and_is_asked_for() {
    let mut present = same();
    present.mounting.serration = None;
    let mut before = set(Grip::Outside);
    before.production_pressure = None;
    let advice = judged(&before, &present);
    assert_eq!(advice.action, RecutAction::FindOut);
    let asked: Vec<_> = advice.unknown.iter().map(|u| u.what).collect();
    assert_eq!(asked, ["serration position", "production pressure"]);
    assert!(advice.unknown[0].ask.contains("now"));
    assert!(advice.unknown[1].ask.contains("at the last cut"));
    assert!(
        advice.plan.is_some(),
        "for the case that it can't be found out"
    );
    present.mounting.serration = Some("  ".into());
    assert_eq!(judged(&before, &present).action, RecutAction::FindOut);
}

#[test]
fn a_set_without_a_cut_is_bored() {
    let (set, present) = (set(Grip::Outside), same());
    let request = Recut {
        jaw_set: &set,
        cut: None,
        pressure_before: None,
        present: &present,
    };
    assert_eq!(
        recut(&request, Rules::built_in()).action,
        RecutAction::BoreAgain
    );
}

#[test]
fn the_same_pressure_in_another_unit_is_the_same() {
    let mut present = same();
    present.production_pressure = "20.7bar".parse().ok();
    assert_eq!(
        judged(&set(Grip::Outside), &present).action,
        RecutAction::CheckInstead
    );
}

// Plain geometry: half of 0.006 in total run-out is 0.003 in off centre; with 0.004 in damage and a least
// cut of 0.002 in that is 0.009 in per side, 0.018 in on the diameter of 2 in.
#[test]
fn the_clamping_diameter_is_smaller_outside_and_larger_inside() {
    let mut present = same();
    present.run_out = Some(Length::from_tenths(60));
    present.damage = vec![Length::from_tenths(40), Length::from_tenths(10)];
    let plan = |grip| judged(&set(grip), &present).plan.unwrap();
    assert_eq!(plan(Grip::Outside).clamp_diameter, length("1.982in"));
    assert_eq!(plan(Grip::Inside).clamp_diameter, length("2.018in"));
    let plan = plan(Grip::Outside);
    assert_eq!(
        (plan.bore_diameter, plan.stock),
        (length("2in"), length("9thou"))
    );
    // The nearest jaw stands in by the 0.003 in that the set is off centre.
    assert_eq!(plan.deepest, length("12thou"));
    assert_eq!(plan.stock_after, Some(length("88thou")));
    assert_eq!(plan.times_left, Some(7));
    assert_eq!(plan.jaws_move, length("9thou"));
}

#[test]
fn more_taper_needs_more_stock_and_less_taper_a_deeper_cut_at_the_tip() {
    let with = |thou: &str| {
        let mut present = same();
        present.worn = true;
        present.next_taper = Some(PerSide::of(length(thou)));
        judged(&set(Grip::Outside), &present).plan.unwrap()
    };
    let (less, kept, more) = (with("2thou"), with("3thou"), with("4thou"));
    assert_eq!(more.stock - kept.stock, length("1thou"));
    assert_eq!(more.deepest - kept.deepest, length("1thou"));
    assert_eq!(less.stock, kept.stock);
    assert_eq!(less.deepest - kept.deepest, length("1thou"));
}

/// Chord rule: over a half-width of 0.5 in the arc of radius 1 in stands back by 1 − √0.75 = 0.133975 in,
/// that of radius 1.25 in by 1.25 − √1.3125 = 0.104356 in.
#[test]
fn a_tighter_bore_needs_more_at_the_flanks() {
    let mut present = same();
    present.drifting = true;
    let plan = |grip, work: &str, old: &str| {
        let mut set = set(grip);
        set.face_width = Some(length("1in"));
        set.workpiece_diameter = Some(length(work));
        let mut cut = cut(&set);
        cut.diameter = Some(length(old));
        let request = Recut {
            jaw_set: &set,
            cut: Some(&cut),
            pressure_before: set.production_pressure,
            present: &present,
        };
        recut(&request, Rules::built_in()).plan.unwrap()
    };
    let tighter = plan(Grip::Outside, "2in", "2.5in");
    assert!((tighter.sum.curve.inches() - 0.029_619).abs() < 1e-6);
    let wider = plan(Grip::Outside, "2.5in", "2in");
    assert_eq!(wider.sum.curve, Length::ZERO);
    assert!((wider.deepest - wider.stock - wider.sum.off_centre).inches() > 0.029);
    assert!(wider.jaws_move < Length::ZERO);
    let inside = plan(Grip::Inside, "2.5in", "2in");
    assert!((inside.sum.curve.inches() - 0.029_619).abs() < 1e-6);
}

#[test]
fn stock_and_stroke_that_run_out_are_warned_of() {
    let warned = |stock: &str, stroke: &str| {
        let mut present = same();
        present.drifting = true;
        present.stock = Some(length(stock));
        present.stroke_left = Some(length(stroke));
        judged(&set(Grip::Outside), &present).warnings.join(" ")
    };
    // 0.007 in per side and 0.012 in at the nearest jaw.
    assert!(warned("11thou", "0.2in").contains("will not clean up"));
    assert!(warned("12thou", "0.2in").contains("last boring"));
    assert_eq!(warned("50thou", "0.2in"), "");
    assert!(warned("50thou", "46thou").contains("nearly used"));
    assert_eq!(warned("50thou", "47thou"), "");
    assert!(warned("50thou", "6thou").contains("not enough"));
    let mut far = same();
    far.workpiece_diameter = Some(length("1.8in"));
    let warnings = judged(&set(Grip::Outside), &far).warnings.join(" ");
    assert!(warnings.contains("make sure of it first"), "{warnings}");
}

#[test]
fn without_a_diameter_it_is_asked_for() {
    let mut set = set(Grip::Outside);
    set.workpiece_diameter = None;
    let mut present = same();
    present.worn = true;
    let advice = judged(&set, &present);
    assert_eq!(
        (advice.action, &advice.plan),
        (RecutAction::BoreAgain, &None)
    );
    assert_eq!(advice.unknown[0].what, "workpiece diameter");
    present.workpiece_diameter = Some(length("5thou"));
    assert_eq!(judged(&set, &present).plan, None);
}

#[test]
fn every_state_of_the_taper_is_told_both_ways() {
    let mut present = same();
    present.worn = true;
    let steps = judged(&set(Grip::Outside), &present).what_to_do.join(" ");
    assert!(
        steps.contains("3.0 thou per side (6.0 thou on the diameter; 0.076 / 0.152 mm)"),
        "{steps}"
    );
    assert!(steps.contains("Bore to 2.0000 in"), "{steps}");
    assert!(!steps.contains("Do not cut yet"), "{steps}");
    for (stock, stroke) in [("1thou", "1in"), ("1in", "1thou")] {
        present.stock = Some(length(stock));
        present.stroke_left = Some(length(stroke));
        let advice = judged(&set(Grip::Outside), &present);
        assert!(
            advice.what_to_do[0].contains("Do not cut yet"),
            "{stock} {stroke}"
        );
    }
}
