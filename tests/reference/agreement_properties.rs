//! What must hold of any calls.

use proptest::prelude::*;
use seepline::Pattern;
use seepline::agreement::{
    Agreement, Call, Calls, CrossTable, Estimate, Metric, NoFigure, Reader, Resampling, RestsOn,
    Right, Share, Weights, agreement, cohen, fleiss, krippendorff, percentile,
};

const FEW: [Pattern; 4] = [
    Pattern::FullLength,
    Pattern::TipOnly,
    Pattern::BaseOnly,
    Pattern::OneSide,
];

fn call(reader: usize, item: usize, repeat: u32, pattern: Pattern) -> Call {
    let reader = match reader {
        0 => Reader::Program,
        n => Reader::Person(format!("P{n}")),
    };
    let item = format!("{item:02}.jpg");
    Call {
        reader,
        item,
        repeat,
        pattern,
        change: None,
    }
}

/// Any calls of four readers, of nine photos, in two rounds; doubles included.
fn any_calls() -> impl Strategy<Value = Vec<Call>> {
    let one = (0..4_usize, 0..9_usize, 1..3_u32, 0..4_usize);
    let as_call = |(reader, item, repeat, p)| call(reader, item, repeat, FEW[p]);
    prop::collection::vec(one.prop_map(as_call), 0..60)
}

/// Of the photos with even numbers.
fn right() -> impl Iterator<Item = (String, Right)> {
    (0..9).step_by(2).map(|i| {
        let right = Right {
            pattern: FEW[i % 4],
            change: None,
            basis: RestsOn::Table,
        };
        (format!("{i:02}.jpg"), right)
    })
}

fn figures(calls: Vec<Call>) -> Agreement {
    agreement(
        &Calls::new(calls)
            .0
            .with_right(right())
            .with_the_program_standing_in(),
    )
}

fn sound(estimate: &Result<Estimate, NoFigure>) {
    if let Ok(e) = estimate {
        assert!(e.value.is_finite() && e.value <= 1.0 + 1e-12, "{e:?}");
        if let Ok(i) = e.interval {
            assert!(
                i.low.is_finite() && i.high.is_finite() && i.low <= i.high,
                "{i:?}"
            );
        }
    }
}

fn sound_share(share: &Share) {
    assert!(share.count <= share.of && share.of > 0);
    assert!(
        share.low <= share.value() && share.value() <= share.high,
        "{share:?}"
    );
}

/// Every number there is, finite and in its range.
fn all_sound(found: &Agreement) {
    let pairs = found.pairs.iter().filter_map(|p| p.compared.as_ref().ok());
    let again = found
        .readers
        .iter()
        .filter_map(|r| r.repeatability.as_ref().ok());
    let right = found
        .readers
        .iter()
        .filter_map(|r| r.against_right.as_ref().ok());
    for r in right.clone() {
        let shares = [&r.wrong_way, &r.misses, &r.false_alarms, &r.refused];
        shares.into_iter().flatten().for_each(sound_share);
    }
    let compared = again.map(|a| &a.compared).chain(right.map(|r| &r.compared));
    for compared in pairs.chain(compared) {
        sound_share(&compared.agreement);
        sound(&compared.kappa);
        sound(&compared.weighted_kappa);
    }
    for group in &found.groups {
        [&group.fleiss, &group.alpha, &group.alpha_direction]
            .into_iter()
            .for_each(sound);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn every_number_is_one_whatever_was_called(calls in any_calls()) {
        all_sound(&figures(calls));
    }

    #[test]
    fn the_order_of_the_rows_changes_nothing(calls in any_calls()) {
        // Of doubles the first stands, so only calls without them may change places.
        let (_, doubles) = Calls::new(calls.clone());
        let single: Vec<Call> = calls.into_iter().filter(|c| {
            !doubles.iter().any(|d| (&d.reader, &d.item, d.repeat) == (&c.reader, &c.item, c.repeat))
        }).collect();
        let mut turned = single.clone();
        turned.reverse();
        prop_assert_eq!(figures(single), figures(turned));
    }

    #[test]
    fn a_double_call_changes_nothing(calls in any_calls()) {
        let twice = [calls.clone(), calls.clone()].concat();
        prop_assert_eq!(Calls::new(twice).0, Calls::new(calls).0);
    }

    #[test]
    fn swapping_the_readers_or_the_categories_changes_no_kappa(
        counts in prop::collection::vec(prop::collection::vec(0_u64..20, 4), 4),
    ) {
        let plain = |rows: &[Vec<u64>]| {
            cohen(&CrossTable::from_rows(rows).unwrap(), &Weights::nominal(4))
        };
        let turned: Vec<Vec<u64>> = (0..4).map(|c| counts.iter().map(|r| r[c]).collect()).collect();
        let order = [2, 0, 3, 1];
        let named = order.map(|r| order.map(|c| counts[r][c]).to_vec());
        for other in [plain(&turned), plain(&named)] {
            match (plain(&counts), other) {
                (Ok(a), Ok(b)) => {
                    prop_assert!((a.value - b.value).abs() < 1e-12);
                    prop_assert!((a.standard_error - b.standard_error).abs() < 1e-9);
                }
                (a, b) => prop_assert_eq!(a.err(), b.err()),
            }
        }
    }

    #[test]
    fn permuting_readers_and_items_changes_no_alpha(
        rows in prop::collection::vec(prop::collection::vec(prop::option::of(0_usize..4), 3), 1..9),
    ) {
        let turned: Vec<Vec<Option<usize>>> =
            rows.iter().rev().map(|r| r.iter().rev().copied().collect()).collect();
        for metric in [Metric::Nominal, Metric::Ordinal] {
            match (krippendorff(&rows, 4, metric), krippendorff(&turned, 4, metric)) {
                (Ok(a), Ok(b)) => prop_assert!((a - b).abs() < 1e-12 && a.is_finite()),
                (a, b) => prop_assert_eq!(a.err(), b.err()),
            }
        }
        // The order of categories counts for ordinal alpha, their names do not for nominal alpha.
        let named: Vec<Vec<Option<usize>>> =
            rows.iter().map(|r| r.iter().map(|c| c.map(|c| [2, 0, 3, 1][c])).collect()).collect();
        let nominal = |rows: &[Vec<Option<usize>>]| krippendorff(rows, 4, Metric::Nominal);
        if let (Ok(a), Ok(b)) = (nominal(&rows), nominal(&named)) {
            prop_assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn readers_who_always_agree_have_one(seen in prop::collection::vec(0_usize..4, 2..12)) {
        let calls = seen.iter().enumerate().flat_map(|(item, p)| {
            (1..4).map(move |reader| call(reader, item, 1, FEW[*p]))
        });
        let found = agreement(&Calls::new(calls).0);
        let one = |e: &Result<Estimate, NoFigure>| match e {
            Ok(e) => (e.value - 1.0).abs() < 1e-12,
            Err(reason) => *reason == NoFigure::OneCategory,
        };
        for pair in &found.pairs {
            let compared = pair.compared.as_ref().expect("pairs");
            prop_assert_eq!(compared.agreement.count, compared.agreement.of);
            prop_assert!(one(&compared.kappa) && one(&compared.weighted_kappa));
        }
        prop_assert!(one(&found.groups[0].fleiss) && one(&found.groups[0].alpha));
    }
}

#[test]
fn what_cannot_be_told_has_a_reason() {
    let kappa = |rows: &[Vec<u64>]| {
        cohen(
            &CrossTable::from_rows(rows).expect("square"),
            &Weights::nominal(rows.len()),
        )
    };
    assert_eq!(
        kappa(&[vec![0, 0], vec![0, 0]]).err(),
        Some(NoFigure::NoPairs)
    );
    assert_eq!(
        kappa(&[vec![0, 1], vec![0, 0]]).err(),
        Some(NoFigure::OneItem)
    );
    assert_eq!(
        kappa(&[vec![9, 0], vec![0, 0]]).err(),
        Some(NoFigure::OneCategory)
    );
    assert_eq!(kappa(&[vec![9]]).err(), Some(NoFigure::OneCategory));
    let perfect = kappa(&[vec![9, 0], vec![0, 9]]).expect("kappa");
    assert_eq!(perfect.interval(), Err(NoFigure::NoSpread));

    assert_eq!(fleiss(&[]), Err(NoFigure::NoCalls));
    assert_eq!(fleiss(&[vec![2, 1]]), Err(NoFigure::OneItem));
    assert_eq!(fleiss(&[vec![1, 0], vec![0, 1]]), Err(NoFigure::OneReader));
    assert_eq!(
        fleiss(&[vec![2, 0], vec![0, 3]]),
        Err(NoFigure::UnequalReaders)
    );
    assert_eq!(fleiss(&[vec![0, 0], vec![0, 0]]), Err(NoFigure::NoCalls));

    let alpha = |rows: &[Vec<Option<usize>>]| krippendorff(rows, 3, Metric::Nominal);
    assert_eq!(alpha(&[]), Err(NoFigure::NoCalls));
    assert_eq!(alpha(&[vec![None, None]]), Err(NoFigure::NoCalls));
    assert_eq!(
        alpha(&[vec![Some(1), None], vec![Some(0), None]]),
        Err(NoFigure::OneReader)
    );
    assert_eq!(
        alpha(&[vec![Some(1), None], vec![None, Some(1)]]),
        Err(NoFigure::AllGaps)
    );
    assert_eq!(alpha(&[vec![Some(1), Some(2)]]), Err(NoFigure::OneItem));
    assert_eq!(
        alpha(&[vec![Some(1); 2], vec![Some(1); 2]]),
        Err(NoFigure::OneCategory)
    );
    assert_eq!(
        alpha(&[vec![Some(7); 2], vec![Some(1); 2]]),
        Err(NoFigure::UnknownCategory)
    );

    assert_eq!(Share::new(0, 0).err(), Some(NoFigure::NoCalls));
    assert_eq!(Share::new(2, 1).err(), Some(NoFigure::NotAShare));
    let drawn = |items, figure| percentile(items, Resampling::default(), |_| figure);
    assert_eq!(drawn(0, Some(1.0)), Err(NoFigure::NoCalls));
    assert_eq!(drawn(1, Some(1.0)), Err(NoFigure::OneItem));
    assert_eq!(drawn(9, None), Err(NoFigure::Unstable));
    assert_eq!(drawn(9, Some(f64::NAN)), Err(NoFigure::Unstable));
    assert_eq!(drawn(9, Some(0.5)), Err(NoFigure::NoSpread));
}

#[test]
fn nobody_or_a_single_reader_is_answered() {
    let nothing = agreement(&Calls::default());
    assert!(nothing.readers.is_empty() && nothing.pairs.is_empty() && nothing.groups.is_empty());
    let alone = agreement(&Calls::new([call(1, 0, 1, Pattern::TipOnly)]).0);
    assert_eq!(alone.readers[0].against_right, Err(NoFigure::NothingRight));
    assert_eq!(alone.readers[0].repeatability, Err(NoFigure::NoRepeats));
    assert!(alone.pairs.is_empty() && alone.groups.is_empty());
}
