//! Agreement against published tables and against statsmodels, scikit-learn, SciPy and the package
//! `krippendorff` (`make_agreement.py`).

use seepline::agreement::{
    CrossTable, Metric, NoFigure, Resampling, Share, Weights, cohen, fleiss, krippendorff,
    percentile,
};
use serde::Deserialize;

use super::fixture;

fn table(rows: &[[u64; 3]]) -> CrossTable {
    let rows: Vec<Vec<u64>> = rows.iter().map(|r| r.to_vec()).collect();
    CrossTable::from_rows(&rows).expect("a square table")
}

fn printed(value: f64, digits: usize) -> String {
    format!("{value:.digits$}")
}

/// Cohen, Psychol. Bull. 70:213, 1968, Table 1 (200 cases); recomputed with statsmodels.
#[test]
fn cohens_own_table_of_1968() {
    let counts = table(&[[88, 14, 18], [10, 40, 10], [2, 6, 12]]);
    let plain = cohen(&counts, &Weights::nominal(3)).expect("kappa");
    assert_eq!(printed(plain.value, 4), "0.4915");
    let weights = [[0.0, 1.0, 3.0], [1.0, 0.0, 6.0], [3.0, 6.0, 0.0]];
    let rows: Vec<Vec<f64>> = weights.iter().map(|r| r.to_vec()).collect();
    let weights = Weights::of_table(&rows).expect("weights");
    let weighted = cohen(&counts, &weights).expect("kappa");
    assert_eq!(printed(weighted.value, 4), "0.3478");
}

/// A SAS printout in statsmodels' tests (`test_inter_rater.py`, `table10`): plain, and with linear weights.
#[test]
fn kappa_with_its_standard_error_and_interval() {
    let counts = table(&[[0, 4, 1], [0, 8, 0], [0, 1, 5]]);
    for (weights, expected) in [
        (
            Weights::nominal(3),
            ["0.4842", "0.1380", "0.2137", "0.7547"],
        ),
        (Weights::linear(3), ["0.4701", "0.1457", "0.1845", "0.7558"]),
    ] {
        let kappa = cohen(&counts, &weights).expect("kappa");
        let [low, high] = kappa.interval().expect("an interval");
        let found = [kappa.value, kappa.standard_error, low, high].map(|v| printed(v, 4));
        assert_eq!(found, expected);
    }
}

/// Fleiss, Psychol. Bull. 76:378, 1971: 30 patients, six psychiatrists, five diagnoses, in statsmodels'
/// tests (`diagnoses`).
const DIAGNOSES: [&str; 30] = [
    "444444", "222555", "233335", "555555", "222444", "113333", "333355", "113334", "114444",
    "555555", "144444", "124444", "222333", "144444", "224445", "333335", "111455", "111112",
    "224444", "133555", "555555", "244444", "224555", "114444", "144445", "222224", "111155",
    "224444", "133333", "555555",
];

fn digits(row: &str) -> impl Iterator<Item = Option<usize>> + '_ {
    row.chars().map(|c| c.to_digit(10).map(|d| d as usize - 1))
}

fn votes(row: &str) -> Vec<u64> {
    let mut votes = vec![0; 5];
    digits(row).flatten().for_each(|d| votes[d] += 1);
    votes
}

#[test]
fn fleiss_own_table_of_1971() {
    let counts: Vec<Vec<u64>> = DIAGNOSES.iter().map(|r| votes(r)).collect();
    // kappam.fleiss of the R package irr, as statsmodels' tests carry it.
    assert_eq!(printed(fleiss(&counts).expect("kappa"), 7), "0.4302445");
}

/// Ten subjects, 14 raters, five categories: `table1` in statsmodels' tests.
#[test]
fn fleiss_of_ten_by_five() {
    let counts = [
        [0, 0, 0, 0, 14],
        [0, 2, 6, 4, 2],
        [0, 0, 3, 5, 6],
        [0, 3, 9, 2, 0],
        [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0],
        [3, 2, 6, 3, 0],
        [2, 5, 3, 2, 2],
        [6, 5, 2, 1, 0],
        [0, 2, 2, 3, 7],
    ];
    let counts: Vec<Vec<u64>> = counts.iter().map(|r| r.to_vec()).collect();
    assert_eq!(printed(fleiss(&counts).expect("kappa"), 3), "0.210");
}

/// Small tables in statsmodels' tests (`test_fleis_randolph`).
#[test]
fn fleiss_of_small_tables() {
    let of = |rows: &[&[u64]]| fleiss(&rows.iter().map(|r| r.to_vec()).collect::<Vec<_>>());
    assert_eq!(
        printed(of(&[&[7, 1], &[3, 5]]).expect("kappa"), 6),
        "0.161905"
    );
    assert_eq!(
        printed(of(&[&[6, 1, 0], &[0, 7, 0]]).expect("kappa"), 6),
        "0.708333"
    );
    assert_eq!(of(&[&[7, 0], &[0, 7]]), Ok(1.0));
    // Not defined: all calls are of one category.
    assert_eq!(of(&[&[7, 0], &[7, 0]]), Err(NoFigure::OneCategory));
}

/// Krippendorff, “Computing Krippendorff's alpha-reliability”, 2011, section C: twelve units, four
/// observers, gaps.
const UNITS: [&str; 12] = [
    "11.1", "2232", "3333", "3333", "2222", "1234", "4444", "1121", "2222", ".555", "..11", "..3.",
];

#[test]
fn krippendorffs_own_example() {
    let units: Vec<Vec<Option<usize>>> = UNITS.iter().map(|r| digits(r).collect()).collect();
    let alpha = |metric| printed(krippendorff(&units, 5, metric).expect("alpha"), 3);
    assert_eq!(alpha(Metric::Nominal), "0.743");
    assert_eq!(alpha(Metric::Ordinal), "0.815");
}

/// Without gaps nominal alpha is Fleiss' kappa corrected for small samples: `α = κ + (1 − κ)/(N n)` with N
/// items and n readers (follows from both definitions).
#[test]
fn alpha_without_gaps_is_fleiss_corrected_for_small_samples() {
    let units: Vec<Vec<Option<usize>>> = DIAGNOSES.iter().map(|r| digits(r).collect()).collect();
    let counts: Vec<Vec<u64>> = DIAGNOSES.iter().map(|r| votes(r)).collect();
    let kappa = fleiss(&counts).expect("kappa");
    let alpha = krippendorff(&units, 5, Metric::Nominal).expect("alpha");
    assert!(
        (alpha - (kappa + (1.0 - kappa) / 180.0)).abs() < 1e-12,
        "{alpha}"
    );
}

/// Newcombe, Stat. Med. 17:857, 1998, Table I, method 3.
#[test]
fn newcombes_table_of_score_intervals() {
    for (count, of, low, high) in [
        (81, 263, "0.2553", "0.3662"),
        (15, 148, "0.0624", "0.1605"),
        (0, 20, "0.0000", "0.1611"),
        (1, 29, "0.0061", "0.1718"),
    ] {
        let share = Share::new(count, of).expect("a share");
        assert_eq!(
            (printed(share.low, 4), printed(share.high, 4)),
            (low.into(), high.into())
        );
    }
}

#[derive(Deserialize)]
struct Values {
    cohen: Vec<CohenCase>,
    fleiss: Vec<FleissCase>,
    alpha: Vec<AlphaCase>,
    wilson: Vec<WilsonCase>,
    drawn: Vec<DrawnCase>,
}

#[derive(Deserialize)]
struct CohenCase {
    table: Vec<Vec<u64>>,
    weights: String,
    given: Option<Vec<Vec<f64>>>,
    kappa: f64,
    standard_error: f64,
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
struct FleissCase {
    counts: Vec<Vec<u64>>,
    kappa: f64,
}

#[derive(Deserialize)]
struct AlphaCase {
    items: Vec<Vec<Option<usize>>>,
    categories: usize,
    nominal: f64,
    ordinal: f64,
}

#[derive(Deserialize)]
struct WilsonCase {
    count: u64,
    of: u64,
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
struct DrawnCase {
    a: Vec<usize>,
    b: Vec<usize>,
    categories: usize,
    low: f64,
    high: f64,
    sd_of_an_end: f64,
}

fn values() -> Values {
    fixture(include_str!("fixtures/agreement.json"))
}

/// Both sides compute in double precision by the same formula in another order.
#[track_caller]
fn same(ours: f64, theirs: f64) {
    assert!((ours - theirs).abs() < 1e-10, "{ours} {theirs}");
}

#[test]
fn cohen_is_that_of_statsmodels() {
    let cases = values().cohen;
    assert_eq!(cases.len(), 24);
    for case in cases {
        let k = case.table.len();
        let weights = match case.weights.as_str() {
            "nominal" => Weights::nominal(k),
            "linear" => Weights::linear(k),
            "quadratic" => Weights::quadratic(k),
            _ => Weights::of_table(&case.given.expect("weights")).expect("weights"),
        };
        let counts = CrossTable::from_rows(&case.table).expect("a square table");
        let kappa = cohen(&counts, &weights).expect("kappa");
        let [low, high] = kappa.interval().expect("an interval");
        same(kappa.value, case.kappa);
        same(kappa.standard_error, case.standard_error);
        same(low, case.low.max(-1.0));
        same(high, case.high.min(1.0));
    }
}

#[test]
fn fleiss_is_that_of_statsmodels() {
    for case in values().fleiss {
        same(fleiss(&case.counts).expect("kappa"), case.kappa);
    }
}

#[test]
fn alpha_is_that_of_the_package_krippendorff() {
    for case in values().alpha {
        let alpha = |metric| krippendorff(&case.items, case.categories, metric).expect("alpha");
        same(alpha(Metric::Nominal), case.nominal);
        same(alpha(Metric::Ordinal), case.ordinal);
    }
}

#[test]
fn score_intervals_are_those_of_statsmodels() {
    for case in values().wilson {
        let share = Share::new(case.count, case.of).expect("a share");
        same(share.low, case.low);
        same(share.high, case.high);
    }
}

/// SciPy's percentile interval over 20 000 draws. An end of ours, over 2000, moves by the deviation that
/// `make_agreement.py` measured, SciPy's by a third of it; four deviations of both are allowed. Leaving the
/// pairs apart when drawing would widen neither end but move both to chance, by ten deviations and more.
#[test]
fn drawn_intervals_are_those_of_scipy() {
    for case in values().drawn {
        let figure = |drawn: &[usize]| {
            let mut counts = CrossTable::new(case.categories);
            for i in drawn {
                assert!(counts.add(case.a[*i], case.b[*i]));
            }
            cohen(&counts, &Weights::nominal(case.categories))
                .ok()
                .map(|k| k.value)
        };
        let found = percentile(case.a.len(), Resampling::default(), figure).expect("an interval");
        let allowed = 4.0 * case.sd_of_an_end * 1.1_f64.sqrt();
        for (ours, theirs) in found.into_iter().zip([case.low, case.high]) {
            assert!(
                (ours - theirs).abs() < allowed,
                "{ours} {theirs} ± {allowed}"
            );
        }
    }
}
