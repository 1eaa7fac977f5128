//! Values of the trade from outside the project, each with its source.

use seepline::{Action, Grip, Length, Pattern, PerSide, Rules, Setup};

use crate::support::readings::{full, judged, open_base, open_tip, setup, thou};

fn inches(text: &str) -> Length {
    format!("{text}in").parse().expect("a number of inches")
}

/// Recomputed: with start clearance c, ΔX = 2t(L + c)/L; for L = 2.000, c = 0.100, t = 0.0030 in that is
/// 0.0063 in on the diameter; at the tip the diameter is off by 2t·c/L = 0.0003 in.
#[test]
fn the_clearance_formula() {
    let leave = [full(), full(), full()];
    let program = judged(&leave, &setup("3", Grip::Outside))
        .program
        .expect("a program");
    assert_eq!(program.diameter_change.length(), inches("0.0063"));
    assert_eq!(program.programmed.length(), inches("0.00315"));
    assert_eq!(program.start_offset.length(), inches("0.0003"));
}

/// Recomputed: forgetting the clearance puts only 0.00286 in per side on the face. The correction must
/// make up for exactly that, so what the face gets of the programmed taper is the 0.0030 in asked for.
#[test]
fn forgetting_the_clearance_leaves_part_of_the_taper_off_the_face() {
    let on_face = |programmed: f64| programmed * 2.000 / 2.100;
    assert_eq!(format!("{:.5}", on_face(0.0030)), "0.00286");
    let program = judged(&[full(), full()], &setup("3", Grip::Outside))
        .program
        .expect("a program");
    assert!((on_face(program.programmed.length().inches()) - 0.0030).abs() < 1e-12);
}

/// Common practice: a cut that starts 0.05 in off the face does not put the whole taper on the face.
#[test]
fn a_cut_that_starts_off_the_face_is_programmed_longer() {
    let said = Setup {
        clearance: Some(inches("0.05")),
        ..setup("3", Grip::Outside)
    };
    let program = judged(&[full(), full()], &said).program.expect("a program");
    assert!(program.programmed > thou("3"));
    let at_the_tip = Setup {
        clearance: None,
        ..said
    };
    let program = judged(&[full(), full()], &at_the_tip)
        .program
        .expect("a program");
    assert_eq!(program.programmed, thou("3"));
    assert_eq!(program.start_offset.length(), Length::ZERO);
    assert!(
        program.in_words().contains("from the tip itself"),
        "{}",
        program.in_words()
    );
}

/// Common practice: moving from tip to base, the bore grows for outside grip and the turned diameter
/// shrinks for inside grip, since more material stays at the tip for both.
#[test]
fn the_diameter_grows_outside_and_shrinks_inside() {
    let change = |grip| {
        let program = judged(&[full(), full()], &setup("3", grip))
            .program
            .expect("a program");
        (program.diameter_change.thou(), program.start_offset.thou())
    };
    assert_eq!(format!("{:.4?}", change(Grip::Outside)), "(6.3000, 0.3000)");
    assert_eq!(
        format!("{:.4?}", change(Grip::Inside)),
        "(-6.3000, -0.3000)"
    );
}

/// Seen in trade pages: a taper of t per side is 2t on the diameter.
#[test]
fn on_the_diameter_is_exactly_twice_per_side() {
    let taper = PerSide::of(inches("0.003"));
    assert_eq!(taper.on_diameter().length(), inches("0.006"));
}

/// Common practice: compound concentrated at the base, over half of the length, means about 0.001 in too
/// much taper; good contact only at the base means about 0.001 in too little. "About" is read as within
/// half a thousandth.
#[test]
fn half_open_is_about_a_thousandth() {
    let change = |jaw: seepline::Reading| {
        let jaws = [jaw.clone(), jaw.clone(), jaw];
        judged(&jaws, &Setup::default())
            .taper_change
            .expect("a change")
            .change
            .thou()
    };
    assert!((change(open_base(0.5)) + 1.0).abs() <= 0.5);
    assert!((change(open_tip(0.5)) - 1.0).abs() <= 0.5);
}

/// Common practice: compound hardly anywhere between, with a painted seam, means gripping along the
/// whole length.
#[test]
fn no_compound_between_means_full_length() {
    let a = judged(&[full(), full(), full()], &Setup::default());
    assert_eq!((a.pattern, a.action), (Pattern::FullLength, Action::Leave));
}

/// Common practice: 0.001 in of error shows plainly, so the smallest gap that shows is below that.
#[test]
fn the_marking_threshold_lies_below_a_thousandth() {
    let prior = Rules::built_in().estimate().prior;
    let upper = prior.threshold_median().thou() * (1.645 * prior.threshold_log_sd()).exp();
    assert!(upper < 1.0, "95 % of thresholds lie below {upper} thou");
}
