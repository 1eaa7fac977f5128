//! What was right: outcome, ruling, program, in this order.

use seepline::{
    Basis, Call, CalledChange, Conditions, Id, Mounting, Pattern, PerSide, Person, Rules, Timeline,
    Truth, truth,
};

use crate::support::filing::{checked, um, wren};
use crate::support::readings::{full, open_base, open_tip, other};

fn now() -> Conditions {
    Conditions::default()
}

fn id(timeline: &Timeline, cut: usize) -> Id {
    timeline.cuts[cut].checks[0].id
}

fn right(timeline: &Timeline, cut: usize, ruling: Option<&Call>) -> Option<Truth> {
    truth(
        id(timeline, cut),
        timeline,
        ruling,
        Rules::built_in().estimate(),
    )
}

fn ruling(pattern: Pattern, change: CalledChange) -> Call {
    let at = jiff::civil::date(2026, 3, 5).at(9, 0, 0, 0);
    Call::new(pattern, change, Person::parse("JK").unwrap(), at).unwrap()
}

/// The wedge of the manual (“How the change is found”), solved by hand: needed 50 µm, threshold 12.7 µm (0.0005 in, the prior's median).
/// Contact ends at h/|error|: at 100 µm at 0.254 of the length from the tip, at 65 µm at 0.847; at 55 µm the
/// error of 5 µm is below the threshold all along.
fn finished() -> Timeline {
    let mut timeline = wren();
    checked(&mut timeline, um(100.0), &vec![open_base(0.254); 3], &now());
    checked(&mut timeline, um(65.0), &vec![open_base(0.847); 3], &now());
    checked(&mut timeline, um(55.0), &vec![full(); 3], &now());
    timeline
}

#[test]
fn later_cuts_prove_what_an_early_check_should_have_asked_for() {
    let timeline = finished();
    let found = right(&timeline, 0, None).unwrap();
    assert_eq!(
        (found.pattern, found.by),
        (Pattern::TipOnly, Basis::Outcome)
    );
    let change = found.change.unwrap();
    // 50 − 100 µm, by the wedge above.
    assert!(
        (change.low..=change.high).contains(&um(-50.0)),
        "{change:?}"
    );
    assert!(change.high < PerSide::ZERO);
    assert!(
        (change.median - um(-50.0)).micrometres().abs() < 8.0,
        "{change:?}"
    );
}

#[test]
fn the_outcome_stands_before_a_ruling_and_a_ruling_before_the_program() {
    let edges = ruling(Pattern::EdgesOnly, CalledChange::NoChange);
    let mut timeline = finished();
    assert_eq!(
        right(&timeline, 0, Some(&edges)).unwrap().by,
        Basis::Outcome
    );
    // Never finished: nothing is proved.
    timeline.cuts.truncate(1);
    let ruled = right(&timeline, 0, Some(&edges)).unwrap();
    let expected = Truth {
        pattern: Pattern::EdgesOnly,
        change: None,
        by: Basis::Ruling,
    };
    assert_eq!(ruled, expected);
    let read = right(&timeline, 0, None).unwrap();
    assert_eq!((read.pattern, read.by), (Pattern::TipOnly, Basis::Program));
    assert_eq!(
        read.change.map(|c| c.median),
        timeline.cuts[0].checks[0].advice.change
    );
}

/// What is judged by later cuts must not judge itself.
#[test]
fn the_checks_own_reading_does_not_bear_on_the_outcome() {
    let of = |touching: f64| {
        let mut timeline = wren();
        checked(
            &mut timeline,
            um(100.0),
            &vec![open_base(touching); 3],
            &now(),
        );
        checked(&mut timeline, um(55.0), &vec![full(); 3], &now());
        right(&timeline, 0, None).unwrap()
    };
    let (a, b) = (of(0.254), of(0.35));
    assert_eq!((a, a.by), (b, Basis::Outcome));
}

#[test]
fn what_later_cuts_cannot_tell_is_not_called_proved() {
    // The last check says that the error is below the threshold, and this one is within it.
    let timeline = finished();
    assert_eq!(right(&timeline, 1, None).unwrap().by, Basis::Program);
    // Nothing came after the last one.
    assert_eq!(right(&timeline, 2, None).unwrap().by, Basis::Program);
    // The set was moved in between, so that it needs another taper.
    let mut moved = wren();
    let on = |machine: &str| Conditions {
        mounting: Mounting {
            machine: Some(machine.into()),
            ..Mounting::default()
        },
        ..now()
    };
    checked(
        &mut moved,
        um(100.0),
        &vec![open_base(0.254); 3],
        &on("north"),
    );
    checked(&mut moved, um(55.0), &vec![full(); 3], &on("south"));
    assert_eq!(right(&moved, 0, None).unwrap().by, Basis::Program);
    // A contradiction: one of the two was misread, and it is not known which.
    let mut against = wren();
    checked(&mut against, um(100.0), &vec![open_tip(0.3); 3], &now());
    checked(&mut against, um(55.0), &vec![full(); 3], &now());
    assert_eq!(right(&against, 0, None).unwrap().by, Basis::Program);
}

#[test]
fn a_matter_of_seat_is_not_proved_by_cuts() {
    let mut timeline = wren();
    checked(
        &mut timeline,
        um(100.0),
        &vec![other(Pattern::EdgesOnly); 3],
        &now(),
    );
    checked(&mut timeline, um(55.0), &vec![full(); 3], &now());
    let found = right(&timeline, 0, None).unwrap();
    assert_eq!(
        (found.pattern, found.change, found.by),
        (Pattern::EdgesOnly, None, Basis::Program)
    );
}

#[test]
fn the_same_taper_that_gripped_later_was_right() {
    let mut timeline = wren();
    checked(&mut timeline, um(55.0), &vec![full(); 3], &now());
    checked(&mut timeline, um(55.0), &vec![full(); 3], &now());
    let found = right(&timeline, 0, None).unwrap();
    assert_eq!(
        (found.pattern, found.by),
        (Pattern::FullLength, Basis::Outcome)
    );
    assert_eq!(found.change_called(), CalledChange::Leave);
}

#[test]
fn of_photos_to_be_taken_again_nobody_knows() {
    let mut timeline = wren();
    let unsure = crate::support::readings::unsure(open_base(0.3), 0.6);
    checked(&mut timeline, um(100.0), &vec![unsure; 3], &now());
    assert_eq!(right(&timeline, 0, None), None);
    let ruling = ruling(Pattern::TipOnly, CalledChange::Change(um(-50.0)));
    assert_eq!(
        right(&timeline, 0, Some(&ruling)).unwrap().by,
        Basis::Ruling
    );
    assert_eq!(
        truth(
            Id::derived(&["no"]),
            &timeline,
            None,
            Rules::built_in().estimate()
        ),
        None
    );
}
