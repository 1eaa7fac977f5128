//! The rules of a check, case by case. Unless a test says otherwise, the rule is common practice.

use seepline::{Action, Grip, Method, Pattern, PerSide, Reading, STATIONS, Setup};

use crate::support::readings::{
    full, judged, open_base, open_tip, other, plain, reading, setup, thou, unreadable, unsure,
};

#[test]
fn an_open_base_on_all_jaws_takes_taper_off() {
    let a = judged(
        &[
            open_base(32.0 / 64.0),
            open_base(34.0 / 64.0),
            open_base(31.0 / 64.0),
        ],
        &setup("3", Grip::Outside),
    );
    assert_eq!((a.pattern, a.action), (Pattern::TipOnly, Action::Recut));
    let change = a.taper_change.expect("a change");
    // |e| = h/(1 − f) with h = 0.5 thou and half of the length open.
    assert_eq!(change.change, thou("-1"));
    assert!(change.low < change.change && change.change < change.high);
    assert!(
        change.high < PerSide::ZERO,
        "the interval must not reach the other sign"
    );
    assert_eq!(a.next_taper, Some(thou("2")));
    assert!(
        a.why.contains("47 to 52 % of the length from the base"),
        "{}",
        a.why
    );
    assert_eq!(a.odd_jaw, None);
}

#[test]
fn an_open_tip_on_all_jaws_adds_taper_for_outside_and_inside_grip() {
    for grip in [Grip::Outside, Grip::Inside] {
        let a = judged(
            &[open_tip(0.5), open_tip(0.5), open_tip(0.5)],
            &setup("3", grip),
        );
        assert_eq!((a.pattern, a.action), (Pattern::BaseOnly, Action::Recut));
        assert_eq!(a.taper_change.expect("a change").change, thou("1"));
        assert_eq!(a.next_taper, Some(thou("4")));
    }
}

#[test]
fn transfer_readings_say_the_same_as_seep_readings() {
    let contact: [f64; STATIONS] = std::array::from_fn(|i| if i < 32 { 1.0 } else { 0.0 });
    let jaw = reading(Pattern::TipOnly, Method::Transfer, &contact);
    let a = plain(&[jaw.clone(), jaw.clone(), jaw]);
    assert_eq!(a.taper_change.expect("a change").change, thou("-1"));
}

#[test]
fn full_length_leaves_the_taper_and_says_within_what() {
    let a = judged(&[full(), full(), full()], &setup("3", Grip::Outside));
    assert_eq!((a.pattern, a.action), (Pattern::FullLength, Action::Leave));
    let change = a.taper_change.expect("a change of zero");
    assert_eq!(change.change, PerSide::ZERO);
    assert_eq!(change.low, -change.high);
    assert!(change.high > PerSide::ZERO && change.high < thou("1"));
    assert_eq!(a.next_taper, Some(thou("3")));
}

#[test]
fn a_plain_pattern_never_rounds_to_no_change() {
    let a = plain(&[open_base(0.95), open_base(0.95), open_base(0.95)]);
    assert_eq!(a.taper_change.expect("a change").change, thou("-0.5"));
}

#[test]
fn no_step_is_larger_than_the_largest() {
    let a = plain(&[open_tip(0.1), open_tip(0.1), open_tip(0.1)]);
    let change = a.taper_change.expect("a change");
    assert_eq!(change.change, thou("2"));
    assert!(a.why.contains("held to the largest step"), "{}", a.why);
}

#[test]
fn without_the_present_taper_there_is_no_next_one() {
    let a = plain(&[open_base(0.5)]);
    assert_eq!((a.next_taper, a.program), (None, None));
    assert!(a.taper_change.is_some());
    assert!(a.why.contains("one jaw only"), "{}", a.why);
}

#[test]
fn a_jaw_with_another_pattern_stops_the_change_and_is_named() {
    for odd in [
        open_tip(0.5),
        other(Pattern::OneSide),
        other(Pattern::HeldOff),
    ] {
        let a = plain(&[open_base(0.5), odd, open_base(0.5)]);
        assert_eq!((a.action, a.odd_jaw), (Action::FixFirst, Some(1)));
        assert_eq!(a.taper_change, None);
        assert!(a.why.contains("Jaw 2 differs"), "{}", a.why);
        assert!(
            a.look_at_first[0].starts_with("Jaw 2:"),
            "{:?}",
            a.look_at_first
        );
    }
}

#[test]
fn a_jaw_with_another_amount_stops_the_change_and_is_named() {
    // e = 0.5/0.33 = 1.5 thou, and 0.5/0.18 = 2.7: badly seated by 1.2 thou.
    let a = plain(&[open_base(0.33), open_base(0.33), open_base(0.18)]);
    assert_eq!((a.action, a.odd_jaw), (Action::FixFirst, Some(2)));
    assert_eq!((a.taper_change, a.pattern), (None, Pattern::TipOnly));
    // A full-length jaw beside jaws that are off by 2 thou does not fit either.
    let a = plain(&[full(), open_base(0.25), open_base(0.25)]);
    assert_eq!((a.action, a.odd_jaw), (Action::FixFirst, Some(0)));
}

#[test]
fn of_two_jaws_that_disagree_neither_is_named() {
    let a = plain(&[open_base(0.5), open_tip(0.5)]);
    assert_eq!(
        (a.action, a.odd_jaw, a.taper_change),
        (Action::FixFirst, None, None)
    );
    assert_eq!(a.pattern, Pattern::Mixed);
    assert!(
        a.why.starts_with("Jaw 1: tip-only; jaw 2: base-only."),
        "{}",
        a.why
    );
}

#[test]
fn small_differences_between_jaws_are_no_disagreement() {
    let a = plain(&[open_base(0.80), open_base(0.75), full()]);
    assert_eq!((a.pattern, a.action), (Pattern::TipOnly, Action::Recut));
    let a = plain(&[full(), open_base(0.80), full()]);
    assert_eq!((a.pattern, a.action), (Pattern::FullLength, Action::Leave));
    assert!(
        a.why.contains("Jaw 1: full-length; jaw 2: tip-only"),
        "{}",
        a.why
    );
    assert!(
        a.why
            .contains("20 % of the length from the base where it is open"),
        "{}",
        a.why
    );
    // Half of the length open on one jaw alone is no small difference.
    let a = plain(&[full(), open_base(0.5), full()]);
    assert_eq!((a.action, a.odd_jaw), (Action::FixFirst, Some(1)));
}

#[test]
fn one_unreadable_jaw_of_three_is_asked_for_again_beside_the_change() {
    let a = plain(&[open_base(0.5), open_base(0.5), unreadable()]);
    assert_eq!(a.action, Action::Recut);
    assert!(a.why.contains("Jaw 3 was not judged"), "{}", a.why);
}

#[test]
fn with_fewer_than_half_judged_there_is_no_change() {
    let a = plain(&[open_base(0.5), unreadable(), unreadable()]);
    assert_eq!((a.action, a.taper_change), (Action::Retake, None));
    assert!(a.why.contains("Jaws 2, 3 were not judged"), "{}", a.why);
    let a = plain(&[unreadable()]);
    assert_eq!((a.action, a.pattern), (Action::Retake, Pattern::Unreadable));
    let a = plain(&[]);
    assert_eq!((a.action, a.pattern), (Action::Retake, Pattern::Unreadable));
}

#[test]
fn an_uncertain_reading_of_the_taper_is_taken_again() {
    for reading in [open_base(0.5), open_tip(0.5), full()] {
        let a = plain(&[unsure(reading.clone(), 0.79)]);
        assert_eq!((a.action, a.taper_change), (Action::Retake, None));
        assert_eq!(a.pattern, reading.pattern);
    }
}

#[test]
fn an_uncertain_jaw_supports_or_contradicts_but_never_asks_for_a_change() {
    let sure = open_base(0.5);
    let doubtful = unsure(open_base(0.5), 0.6);
    let a = plain(&[sure.clone(), doubtful.clone(), doubtful.clone()]);
    assert_eq!(a.action, Action::Recut);
    assert!(
        a.why.contains("Jaws 2, 3 were read with little certainty"),
        "{}",
        a.why
    );
    let a = plain(&[doubtful.clone(), doubtful.clone(), doubtful]);
    assert_eq!((a.action, a.taper_change), (Action::Retake, None));
}

#[test]
fn a_jaw_that_plainly_says_otherwise_is_a_matter_of_seat_however_uncertain_it_is() {
    for confidence in [0.79, 0.6, 0.4, 0.05] {
        for others in [full(), open_base(0.5)] {
            let odd = unsure(open_tip(0.5), confidence);
            let a = plain(&[others.clone(), odd, others]);
            assert_eq!((a.action, a.taper_change), (Action::FixFirst, None));
            assert_eq!(a.odd_jaw, Some(1), "{}", a.why);
            assert!(a.why.contains("take its photo again"), "{}", a.why);
        }
    }
}

#[test]
fn a_contradicted_tip_stops_every_change() {
    for mut jaw in [open_base(0.5), full(), other(Pattern::OneSide)] {
        jaw.tip_contradicted = true;
        jaw.warnings
            .push("the picture contradicts the tip".to_owned());
        let a = plain(&[open_base(0.5), jaw, open_base(0.5)]);
        assert_eq!((a.action, a.taper_change), (Action::Settle, None));
        assert_eq!(a.what_to_do, "Settle which end is the tip of jaw 2.");
        assert_eq!(a.look_at_first[0], "Jaw 2: the picture contradicts the tip");
        assert!(
            a.look_at_first.iter().any(|l| l.contains("--tip")),
            "{:?}",
            a.look_at_first
        );
    }
}

#[test]
fn a_tip_that_nobody_said_is_asked_for_and_nothing_is_said_to_contradict() {
    let asked = |photos: &[Reading]| {
        let a = plain(photos);
        assert_eq!((a.action, a.taper_change), (Action::Settle, None));
        assert!(!format!("{} {}", a.what_to_do, a.why).contains("contradict"));
        // A word settles it, so no photo need be taken again.
        assert!(!a.why.contains("again"), "{}", a.why);
        a.what_to_do
    };
    let mut unsaid = open_base(0.5);
    (unsaid.tip_contradicted, unsaid.tip_unsaid) = (true, true);
    // The doubt itself lowers it (`inspect`).
    unsaid.confidence = 0.6;
    let said = open_base(0.5);
    assert_eq!(
        asked(&[unsaid.clone(), unsaid.clone()]),
        "Say which end is the tip of jaws 1 and 2."
    );
    // An uncertain jaw bears nothing out.
    let a = plain(&[unsure(said, 0.6), unsaid.clone()]);
    assert_eq!(a.what_to_do, "Say which end is the tip of jaw 2.");
    assert_eq!(
        asked(&[unsaid.clone()]),
        "Say which end is the tip of the jaw."
    );
    // Where one was said and is contradicted, that is the graver matter.
    let mut contradicted = unsaid.clone();
    contradicted.tip_unsaid = false;
    let a = plain(&[unsaid.clone(), contradicted, unsaid]);
    assert_eq!(
        a.what_to_do,
        "Settle which end is the tip of jaws 1, 2 and 3."
    );
}

/// A jaw with an open base whose end nobody said, and that the picture does not settle.
fn of_unsaid_end(mut jaw: Reading) -> Reading {
    (jaw.tip_contradicted, jaw.tip_unsaid) = (true, true);
    jaw.warnings
        .push("nobody said where the tip points".to_owned());
    jaw
}

/// The jaws are bored together: where one is settled, the others need no word if they show the same.
#[test]
fn an_end_that_a_settled_jaw_bears_out_is_not_asked_for() {
    for (jaw, change) in [(open_base(0.5), "-1"), (open_tip(0.5), "1")] {
        let others = of_unsaid_end(jaw.clone());
        let a = plain(&[others.clone(), jaw.clone(), others.clone()]);
        assert_eq!(a.action, Action::Recut);
        assert_eq!(a.taper_change.expect("a change").change, thou(change));
        // The doubt is told all the same.
        assert!(
            a.look_at_first[0].contains("nobody said"),
            "{:?}",
            a.look_at_first
        );
        // One that was said and is contradicted is nobody's to bear out.
        let mut contradicted = others.clone();
        contradicted.tip_unsaid = false;
        assert_eq!(
            plain(&[contradicted, jaw.clone(), others.clone()]).action,
            Action::Settle
        );
        // None is settled.
        assert_eq!(
            plain(&[others.clone(), others.clone(), others]).action,
            Action::Settle
        );
    }
}

/// Whichever end is the tip, these jaws do not sit alike.
#[test]
fn an_end_that_nothing_hangs_on_is_not_asked_for() {
    let in_doubt = of_unsaid_end(open_tip(0.5));
    for others in [full(), other(Pattern::OneSide)] {
        let a = plain(&[in_doubt.clone(), others.clone(), others]);
        assert_eq!((a.action, a.taper_change), (Action::FixFirst, None));
        assert!(!a.what_to_do.contains("which end"), "{}", a.what_to_do);
    }
    // Another amount by so much is another seat, either way round; which jaw it is hangs on the ends.
    let [far, near] = [0.25, 0.9].map(|touching| of_unsaid_end(open_tip(touching)));
    let a = plain(&[far, near.clone(), near]);
    assert_eq!((a.action, a.odd_jaw), (Action::FixFirst, None), "{}", a.why);
    // Here it does: turned round, it would say what the other says.
    let a = plain(&[in_doubt, open_base(0.5)]);
    assert_eq!(a.action, Action::Settle, "{}", a.why);
}

#[test]
fn a_contradicted_method_stops_every_change_and_is_settled_before_the_tip() {
    for mut jaw in [open_base(0.5), full(), other(Pattern::OneSide)] {
        jaw.method_contradicted = true;
        jaw.tip_contradicted = true;
        jaw.warnings.push("no painted seam is seen".to_owned());
        let a = plain(&[open_base(0.5), jaw, open_base(0.5)]);
        assert_eq!((a.action, a.taper_change), (Action::Settle, None));
        assert_eq!(a.look_at_first[0], "Jaw 2: no painted seam is seen");
        assert!(
            a.look_at_first.iter().any(|l| l.contains("--method")),
            "{:?}",
            a.look_at_first
        );
    }
}

#[test]
fn a_needed_taper_below_zero_is_a_thing_to_check_not_to_cut() {
    for taper in ["0", "0.25"] {
        let a = judged(
            &[open_base(0.5), open_base(0.5)],
            &setup(taper, Grip::Outside),
        );
        assert_eq!(
            (a.action, a.taper_change),
            (Action::FixFirst, None),
            "{taper}"
        );
        assert_eq!((a.next_taper, a.program), (None, None));
        assert!(
            a.look_at_first.iter().any(|l| l.contains("--taper")),
            "{:?}",
            a.look_at_first
        );
    }
}

#[test]
fn no_more_taper_is_taken_off_than_there_is() {
    // The estimate is about −1.0: rounding alone must not ask for less than none.
    let a = judged(
        &[open_base(0.5), open_base(0.5)],
        &setup("0.9", Grip::Outside),
    );
    assert_eq!(a.taper_change.expect("a change").change, thou("-0.9"));
    assert_eq!(a.next_taper, Some(PerSide::ZERO));
}

#[test]
fn seat_and_shape_give_their_own_advice_and_no_change() {
    let patterns = [
        Pattern::EndsOnly,
        Pattern::MiddleOnly,
        Pattern::CentreOnly,
        Pattern::EdgesOnly,
    ];
    for pattern in patterns
        .into_iter()
        .chain([Pattern::OneSide, Pattern::HeldOff, Pattern::Mixed])
    {
        let a = judged(
            &[other(pattern), other(pattern)],
            &setup("3", Grip::Outside),
        );
        assert_eq!((a.pattern, a.action), (pattern, Action::FixFirst));
        assert_eq!(
            (a.taper_change, a.next_taper, a.program),
            (None, None, None)
        );
        assert!(!a.what_to_do.is_empty() && !a.look_at_first.is_empty());
    }
}

#[test]
fn the_cautions_are_always_there() {
    for jaws in [
        vec![],
        vec![full()],
        vec![unreadable()],
        vec![other(Pattern::Mixed)],
    ] {
        let a = plain(&jaws);
        assert_eq!(a.cautions.len(), 5);
        assert!(a.cautions[0].contains("spindle"));
    }
}

#[test]
fn a_streak_or_a_drip_does_not_move_the_edge() {
    let clean = open_base(0.5);
    let mut streaked = clean.clone();
    if let Some(profile) = &mut streaked.profile {
        profile.along[8] = Some(0.2);
        profile.along[50] = Some(0.9);
        profile.along[20] = None;
    }
    let change = |jaw| plain(&[jaw]).taper_change.expect("a change").change;
    assert_eq!(change(streaked), change(clean));
}

#[test]
fn clearance_alone_is_no_program() {
    let no_length = Setup {
        length: None,
        ..setup("3", Grip::Outside)
    };
    assert_eq!(judged(&[open_base(0.5)], &no_length).program, None);
}
