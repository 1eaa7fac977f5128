//! Which state follows from which checks, and what is said of it.

use seepline::prove::{
    Judged, Plan, Progress, Proof, ProveOut, Under, Verdict, new_here, not_tried, strata,
};
use seepline::report::ProofNote;
use seepline::{Id, Length, PerSide};

use super::support::{all_right, at, ended, judged, prove_out};

fn of(record: &ProveOut, judged: &[Judged]) -> Proof {
    Proof::of(std::slice::from_ref(record), judged.to_vec()).unwrap()
}

fn said(proof: &Proof) -> String {
    ProofNote::of(proof, None).line
}

fn twelve(held: bool) -> ProveOut {
    prove_out(Plan::of_checks(12, held).unwrap())
}

#[test]
fn the_line_says_how_far_it_is() {
    let record = twelve(false);
    assert_eq!(
        said(&of(&record, &all_right(5))),
        "Not proven in this shop: 5 of 12 checks so far, 5 right, 0 the wrong way."
    );
    let fulfilled = of(&record, &all_right(12));
    assert_eq!(fulfilled.progress, Progress::Fulfilled);
    assert!(said(&fulfilled).contains("a lead has to end the prove-out"));
    let proven = of(&ended(&record, &all_right(12)), &all_right(12));
    // 1 − 0.05^(1/12) = 0.22092: a bound is rounded up.
    assert_eq!(
        said(&proven),
        "Proven in this shop on 12 checks, 12 right, 0 the wrong way: of its answers at most 22.1 % go it (95 % \
         confidence). Since 2026-05-12: 0 checks, 0 right, 0 the wrong way."
    );
    assert!(Proof::of(&[], all_right(3)).is_none());
}

#[test]
fn one_wrong_way_ends_it_at_once_and_whenever_it_comes_to_light() {
    let record = twelve(true);
    let mut checks = all_right(5);
    checks.push(judged(6, Verdict::WrongWay));
    let wrong = of(&record, &checks);
    assert_eq!(wrong.progress, Progress::WentWrong(checks[5].check));
    assert!(wrong.holds() && said(&wrong).starts_with("Not proven in this shop: check "));
    // More checks do not outvote it.
    checks.extend((7..60).map(|n| judged(n, Verdict::Right)));
    assert!(!of(&ended(&record, &checks), &checks).is_proven());
    // A check that it was proven on, and that later cuts showed to be wrong.
    let mut later = all_right(12);
    let proven = ended(&record, &later);
    later[3].verdict = Verdict::WrongWay;
    assert!(matches!(
        of(&proven, &later).progress,
        Progress::WentWrong(_)
    ));
}

#[test]
fn what_was_not_answered_or_not_right_is_told_apart() {
    let record = twelve(false);
    let verdicts = [
        Verdict::Unanswered,
        Verdict::ForNothing,
        Verdict::Missed,
        Verdict::OtherPattern,
        Verdict::Right,
    ];
    let checks: Vec<Judged> = (1..).zip(verdicts).map(|(n, v)| judged(n, v)).collect();
    let proof = of(&record, &checks);
    let counts = proof.counts;
    assert_eq!((counts.judged, counts.answered, counts.right), (5, 4, 1));
    assert_eq!(
        (counts.for_nothing, counts.missed, counts.wrong_way),
        (1, 1, 0)
    );
    assert_eq!(proof.to_go(), 8);
    assert_eq!(proof.more_for(0.05), Some(55));
    assert!(said(&proof).contains("4 of 12 checks so far, 1 right"));
}

#[test]
fn ended_early_it_is_not_proven() {
    let record = twelve(true);
    let early = of(&ended(&record, &all_right(7)), &all_right(7));
    assert_eq!(early.progress, Progress::EndedEarly);
    assert!(early.holds());
    assert!(said(&early).contains("ended after 7 of 12 checks"));
}

#[test]
fn after_the_end_it_keeps_watching() {
    let record = twelve(true);
    let proven = ended(&record, &all_right(12));
    let mut checks = all_right(20);
    // Not answered before the end.
    checks.push(Judged {
        at: at(5),
        ..judged(99, Verdict::Unanswered)
    });
    let well = of(&proven, &checks);
    assert_eq!((well.counts.judged, well.since.judged), (13, 8));
    checks.pop();
    assert_eq!((well.counts.answered, well.since.answered), (12, 8));
    assert!(well.is_proven() && !well.holds());
    checks.extend((21..24).map(|n| judged(n, Verdict::ForNothing)));
    let drifted = of(&proven, &checks);
    assert!(
        said(&drifted).contains(
            "11 checks, 8 right, 0 the wrong way. Answers and outcomes have drifted apart"
        )
    );
    // It is for a lead to begin anew: nothing is taken back by itself.
    assert!(drifted.is_proven());
}

#[test]
fn attempts_and_versions_are_said() {
    let first = ended(&twelve(false), &all_right(3));
    let second = ProveOut {
        id: Id::derived(&["second"]),
        begun: at(200_000),
        program: "0.1.0".into(),
        ..twelve(false)
    };
    let proof = Proof::of(&[second, first], Vec::new()).unwrap();
    let line = said(&proof);
    assert!(line.contains("0 of 12 checks so far"), "{line}");
    assert!(line.contains("Begun with version 0.1.0; this is"), "{line}");
    assert!(line.contains("Prove-out number 2 of this shop"), "{line}");
}

fn with(number: usize, compound: &str, material: &str) -> Judged {
    Judged {
        under: Under {
            compound: Some(compound.into()),
            material: Some(material.into()),
            ..Under::default()
        },
        ..judged(number, Verdict::Right)
    }
}

#[test]
fn what_was_not_tried_is_named_and_what_is_new_is_said() {
    let checks = [with(1, "blue", "aluminium"), with(2, " Blue ", "aluminium")];
    let found = strata(&checks);
    let of = |what: &str| found.iter().filter(|s| s.what == what).collect::<Vec<_>>();
    assert_eq!(of("compound").len(), 1);
    assert_eq!(
        (
            of("compound")[0].value.as_str(),
            of("compound")[0].counts.answered
        ),
        ("blue", 2)
    );
    assert!(of("machine").is_empty());
    // Of a check with photos of two phones each counts.
    let mut by_two = with(3, "blue", "aluminium");
    by_two.under.phones = vec!["Sandpiper P4".into(), "Turnstone 2".into()];
    let phones = strata(std::slice::from_ref(&by_two));
    let phones = phones.iter().filter(|s| s.what == "phone");
    assert_eq!(
        phones.map(|s| s.value.as_str()).collect::<Vec<_>>(),
        ["Sandpiper P4", "Turnstone 2"]
    );
    assert_eq!(
        new_here(&by_two.under, &checks),
        ["phone Sandpiper P4", "phone Turnstone 2"]
    );
    let steel = with(3, "blue", "steel").under;
    assert_eq!(
        not_tried(&[steel.clone(), checks[0].under.clone()], &checks),
        ["material steel"]
    );
    assert_eq!(new_here(&steel, &checks), ["material steel"]);
    // A check that was not answered tried nothing.
    let unanswered = Judged {
        verdict: Verdict::Unanswered,
        ..with(4, "red", "steel")
    };
    assert_eq!(new_here(&steel, &[unanswered]).len(), 3);
    let proven = ended(&prove_out(Plan::of_checks(2, false).unwrap()), &checks);
    let note = ProofNote::of(
        &Proof::of(&[proven], checks.to_vec()).unwrap(),
        Some(&steel),
    );
    assert!(
        note.line.ends_with("New here: material steel."),
        "{}",
        note.line
    );
}

#[test]
fn the_amount_is_told_with_its_interval_where_there_are_enough() {
    let off = |tenths: i32| Some(PerSide::of(Length::from_tenths(tenths)));
    let checks = |number: usize| {
        let of = |n: usize| Judged {
            amount_off: off(n as i32 - 4),
            ..judged(n, Verdict::Right)
        };
        (1..=number).map(of).collect::<Vec<_>>()
    };
    let record = twelve(false);
    assert_eq!(of(&record, &all_right(5)).amount_off(), None);
    // 2 · ½⁵ = 6.25 % lies outside of five values, 2 · ½⁶ = 3.1 % outside of six.
    let (number, middle, ends) = of(&record, &checks(5)).amount_off().unwrap();
    assert_eq!((number, Some(middle), ends), (5, off(-1), None));
    let (_, _, ends) = of(&record, &checks(6)).amount_off().unwrap();
    assert_eq!(ends, off(-3).zip(off(2)).map(|(a, b)| [a, b]));
}
