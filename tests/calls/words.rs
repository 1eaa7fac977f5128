//! Where a call and an answer differ, in words a machinist can act on.

use seepline::{
    Answer, Call, CalledChange, Interval, Length, Method, Pattern, PerSide, Person, Rules, compare,
    differences, places, reason,
};

use crate::support::readings::{open_base, unreadable};

fn call(pattern: Pattern, change: &str) -> Call {
    let change: CalledChange = change.parse().unwrap();
    let at = jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0);
    Call::new(pattern, change, Person::parse("AB").unwrap(), at).unwrap()
}

/// Asks for this change in tenths of a thousandth, known to half a thousandth either way.
fn answer(pattern: Pattern, tenths: Option<i32>) -> Answer {
    let at = |n: i32| PerSide::of(Length::from_tenths(n));
    Answer {
        pattern,
        change: tenths.map(|n| Interval {
            low: at(n - 5),
            median: at(n),
            high: at(n + 5),
        }),
    }
}

fn told(call: &Call, answer: &Answer) -> String {
    let comparison = compare(call, answer);
    differences(call, answer, &comparison, Method::Seep).join(" ")
}

#[test]
fn each_way_of_differing_has_its_words() {
    let less = answer(Pattern::TipOnly, Some(-20));
    let leave = answer(Pattern::FullLength, Some(0));
    let edges = answer(Pattern::EdgesOnly, None);
    // What each pattern shows and asks for: the README's table.
    for (call, answer, parts) in [
        (call(Pattern::TipOnly, "-2thou"), less, vec!["Nowhere"]),
        (
            call(Pattern::TipOnly, "+2thou"),
            less,
            vec!["The wrong way", "does not agree with itself"],
        ),
        (
            call(Pattern::BaseOnly, "+1thou"),
            less,
            vec![
                "The wrong way",
                "clean at the base, compound at the tip",
                "clean at the tip, compound at the base",
            ],
        ),
        (
            call(Pattern::TipOnly, "-4thou"),
            less,
            vec!["exactly twice", "on the diameter"],
        ),
        (
            call(Pattern::TipOnly, "-1thou"),
            less,
            vec!["exactly half", "less than the answer"],
        ),
        (
            call(Pattern::TipOnly, "-3thou"),
            less,
            vec!["1.0 thou per side", "more than the answer", "outside"],
        ),
        (
            call(Pattern::TipOnly, "-2.5thou"),
            less,
            vec!["within its interval"],
        ),
        (
            call(Pattern::TipOnly, "none"),
            less,
            vec!["No change is called where the answer takes taper off"],
        ),
        (
            call(Pattern::TipOnly, "-1thou"),
            leave,
            vec!["cut for nothing", "whole length already"],
        ),
        (
            call(Pattern::TipOnly, "-1thou"),
            edges,
            vec!["cut for nothing", "edges-only is no matter of taper"],
        ),
        (
            call(Pattern::FullLength, "0"),
            edges,
            vec!["something has to be mended first"],
        ),
        (
            call(Pattern::EdgesOnly, "none"),
            leave,
            vec!["may be left as they are"],
        ),
        (
            call(Pattern::OneSide, "none"),
            edges,
            vec![
                "compound along the other",
                "compound along the middle of the width",
            ],
        ),
    ] {
        let told = told(&call, &answer);
        for part in parts {
            assert!(told.contains(part), "{part}: {told}");
        }
    }
}

/// Jaws that disagree or a history that contradicts hold a change up whatever the pattern says.
#[test]
fn a_change_that_waits_is_not_asked_for() {
    let waits = answer(Pattern::TipOnly, None);
    let told = told(&call(Pattern::TipOnly, "-1thou"), &waits);
    assert!(
        told.contains("Something else comes first") && !told.contains("no matter of taper"),
        "{told}"
    );
    let why = reason(&waits, Method::Seep, &Rules::default());
    assert!(!why.contains("Take taper off"), "{why}");
}

#[test]
fn in_a_transfer_check_the_signs_are_the_other_way_round() {
    let (call, answer) = (
        call(Pattern::TipOnly, "-1thou"),
        answer(Pattern::EndsOnly, None),
    );
    let comparison = compare(&call, &answer);
    let told = differences(&call, &answer, &comparison, Method::Transfer).join(" ");
    assert!(
        told.contains("compound at the tip, clean metal at the base"),
        "{told}"
    );
}

#[test]
fn the_places_are_those_of_the_bands() {
    let mut reading = open_base(0.54);
    reading.bands = vec![seepline::Band {
        from: 0.54,
        to: 1.0,
    }];
    assert_eq!(
        places(&reading),
        "clean from the tip to 54 %, compound from there to the base"
    );
    assert_eq!(places(&unreadable()), "too little can be judged");
}
