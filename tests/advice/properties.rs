//! What holds for every check.

use proptest::prelude::*;
use seepline::{Action, Advice, Grip, Method, Pattern, PerSide, Reading, STATIONS, Setup};

use crate::support::readings::{
    full, judged, open_base, open_tip, other, reading, setup, unreadable, unsure,
};

fn any_pattern() -> impl Strategy<Value = Pattern> {
    prop::sample::select(vec![
        Pattern::FullLength,
        Pattern::TipOnly,
        Pattern::BaseOnly,
        Pattern::EndsOnly,
        Pattern::MiddleOnly,
        Pattern::CentreOnly,
        Pattern::EdgesOnly,
        Pattern::OneSide,
        Pattern::HeldOff,
        Pattern::Mixed,
        Pattern::Unreadable,
    ])
}

/// A reading as the pipeline makes them.
fn any_jaw() -> impl Strategy<Value = Reading> {
    (
        0..7_u8,
        0.02..0.98_f64,
        any_pattern(),
        0.0..1.0_f64,
        any::<bool>(),
        prop::bool::weighted(0.1),
        prop::bool::weighted(0.1),
    )
        .prop_map(
            |(kind, touching, pattern, confidence, sure, tip_contradicted, method_contradicted)| {
                let mut jaw = match kind {
                    0 | 1 => open_base(touching),
                    2 | 3 => open_tip(touching),
                    4 => full(),
                    5 => other(pattern),
                    _ => return unreadable(),
                };
                jaw.tip_contradicted = tip_contradicted;
                jaw.method_contradicted = method_contradicted;
                if sure { jaw } else { unsure(jaw, confidence) }
            },
        )
}

/// A reading full of numbers that are none.
fn wild_jaw() -> impl Strategy<Value = Reading> {
    let number = || prop::num::f64::ANY;
    let contact = prop::collection::vec(prop_oneof![number(), 0.0..1.0_f64], STATIONS);
    (any_pattern(), contact, number(), number(), any::<bool>()).prop_map(
        |(pattern, contact, confidence, sd, transfer)| {
            let method = if transfer {
                Method::Transfer
            } else {
                Method::Seep
            };
            let contact: [f64; STATIONS] = contact.try_into().expect("as many as stations");
            let mut jaw = unsure(reading(pattern, method, &contact), confidence.abs());
            if let Some(profile) = &mut jaw.profile {
                profile.along_sd = [sd; STATIONS];
            }
            jaw
        },
    )
}

fn any_setup() -> impl Strategy<Value = Setup> {
    (prop::option::of(0..80_u32), any::<bool>()).prop_map(|(tenths, inside)| {
        let grip = if inside { Grip::Inside } else { Grip::Outside };
        match tenths {
            Some(tenths) => setup(&format!("{}", f64::from(tenths) / 10.0), grip),
            None => Setup {
                grip,
                ..Setup::default()
            },
        }
    })
}

fn signs_hold(advice: &Advice) {
    let Some(c) = advice.taper_change else {
        assert!(matches!(
            advice.action,
            Action::FixFirst | Action::Settle | Action::Retake
        ));
        assert_eq!((advice.next_taper, advice.program), (None, None));
        return;
    };
    match advice.pattern {
        Pattern::FullLength => {
            assert_eq!((c.change, advice.action), (PerSide::ZERO, Action::Leave));
        }
        Pattern::TipOnly => assert!(c.change < PerSide::ZERO && c.high < PerSide::ZERO),
        Pattern::BaseOnly => assert!(c.change > PerSide::ZERO && c.low > PerSide::ZERO),
        other => panic!("a change for {other:?}"),
    }
    assert!(c.low <= c.high);
    assert_eq!(
        c.change.on_diameter().length(),
        c.change.length() + c.change.length()
    );
    assert!(advice.next_taper.is_none_or(|t| t >= PerSide::ZERO));
    assert!(
        advice
            .program
            .is_none_or(|p| p.diameter_change.per_side() == p.programmed
                || p.diameter_change.per_side() == -p.programmed)
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn changes_have_the_right_sign_and_never_come_from_another_pattern(
        jaws in prop::collection::vec(any_jaw(), 0..5), setup in any_setup(),
    ) {
        let advice = judged(&jaws, &setup);
        signs_hold(&advice);
        prop_assert_eq!(advice.cautions.len(), 5);
        // The method is the whole check's; the tip of a jaw that could not be read doesn't count.
        let read = |j: &Reading| j.pattern != Pattern::Unreadable;
        let stops = |j: &Reading| j.method_contradicted || (j.tip_contradicted && read(j));
        if jaws.iter().any(stops) {
            prop_assert!(advice.taper_change.is_none());
        }
    }

    #[test]
    fn the_order_of_the_photos_does_not_matter(
        (jaws, order) in prop::collection::vec(any_jaw(), 2..5).prop_flat_map(|jaws| {
            let order = Just((0..jaws.len()).collect::<Vec<_>>()).prop_shuffle();
            (Just(jaws), order)
        }),
        setup in any_setup(),
    ) {
        let a = judged(&jaws, &setup);
        let shuffled: Vec<Reading> = order.iter().map(|i| jaws[*i].clone()).collect();
        let b = judged(&shuffled, &setup);
        prop_assert_eq!((a.pattern, a.action), (b.pattern, b.action));
        prop_assert_eq!(a.taper_change.map(|c| c.change), b.taper_change.map(|c| c.change));
        prop_assert_eq!(a.odd_jaw, b.odd_jaw.map(|i| order[i]));
    }

    #[test]
    fn a_mirrored_check_asks_for_the_opposite_change(touching in 0.05..0.95_f64) {
        let change = |jaw: Reading| judged(&[jaw.clone(), jaw], &Setup::default()).taper_change;
        let off = change(open_base(touching)).expect("a change");
        let add = change(open_tip(touching)).expect("a change");
        prop_assert_eq!(off.change, -add.change);
        // Sums run in the opposite order, so the ends differ by rounding alone.
        let ends = [(off.low + add.high).micrometres(), (off.high + add.low).micrometres()];
        prop_assert!(ends.iter().all(|sum| sum.abs() < 1e-3), "{:?}", ends);
    }

    // A band narrower than the painted hairline, 3 of 64 stations, can't be told from it.
    #[test]
    fn more_open_never_asks_for_a_smaller_change(a in 0.05..0.87_f64, more in 0.0..0.08_f64) {
        let change = |touching| judged(&[open_tip(touching)], &Setup::default())
            .taper_change.expect("a change").change;
        prop_assert!(change(a) >= change(a + more));
    }

    #[test]
    fn wild_numbers_do_not_panic(
        jaws in prop::collection::vec(wild_jaw(), 0..4), setup in any_setup(),
    ) {
        signs_hold(&judged(&jaws, &setup));
    }
}
