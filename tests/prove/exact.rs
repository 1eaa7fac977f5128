//! Exact bounds against SciPy's and statsmodels' (`make_fixtures.py`).

use seepline::prove::{Counts, bounds, median_interval};
use serde::Deserialize;

#[derive(Deserialize)]
struct Fixtures {
    shares: Vec<Share>,
    medians: Vec<Median>,
}

#[derive(Deserialize)]
struct Share {
    count: u32,
    of: u32,
    confidence: f64,
    low: f64,
    high: f64,
    one_sided: f64,
}

#[derive(Deserialize)]
struct Median {
    of: usize,
    ends: Option<(usize, usize)>,
}

fn fixtures() -> Fixtures {
    serde_json::from_str(include_str!("fixtures/exact.json")).unwrap()
}

/// Both sides are computed in 64 bits; a tail one draw off would differ by more than 1e-5 in every case here.
const CLOSE: f64 = 1e-9;

#[test]
fn bounds_are_those_of_clopper_and_pearson() {
    for case in fixtures().shares {
        let found = bounds(case.count.into(), case.of.into(), case.confidence);
        let what = (case.count, case.of, case.confidence);
        assert!((found.low - case.low).abs() < CLOSE, "{what:?}: {found:?}");
        assert!(
            (found.high - case.high).abs() < CLOSE,
            "{what:?}: {found:?}"
        );
        let counts = Counts {
            answered: case.of,
            wrong_way: case.count,
            ..Counts::default()
        };
        let at_most = counts.wrong_way_at_most(case.confidence);
        assert!(
            (at_most - case.one_sided).abs() < CLOSE,
            "{what:?}: {at_most}"
        );
    }
}

#[test]
fn a_median_lies_between_order_statistics() {
    for case in fixtures().medians {
        assert_eq!(median_interval(case.of, 0.95), case.ends, "{}", case.of);
    }
    assert_eq!(median_interval(0, 0.95), None);
}

#[test]
fn of_nothing_nothing_is_known() {
    let none = bounds(0, 0, 0.95);
    assert_eq!((none.low, none.high), (0.0, 1.0));
    assert!((Counts::default().wrong_way_at_most(0.95) - 1.0).abs() < CLOSE);
    // More than the whole is the whole.
    assert_eq!(bounds(3, 2, 0.95), bounds(2, 2, 0.95));
}
