//! Values known beforehand.

use seepline::{
    CompliancePoint, Conditions, Knowledge, Prior, PriorValues, Rules, compliance, random_effects,
    steps,
};
use serde::Deserialize;

use crate::support::filing::{checked, um, wren};
use crate::support::readings::{full, open_base, open_tip};

/// The closed form of two checks with an open end: `(needed − T₁)(1 − f₁) = ±h` and
/// `(needed − T₂)(1 − f₂) = ±h`, solved by hand.
fn solved(tapers: [f64; 2], touching: [f64; 2], signs: [f64; 2]) -> f64 {
    // (n − T₁)c₁/s₁ = (n − T₂)c₂/s₂
    let [a, b] = [touching[0] / signs[0], touching[1] / signs[1]];
    (tapers[0] * a - tapers[1] * b) / (a - b)
}

/// Rules under which the readings alone decide: nearly no drift, a broad prior.
fn broad() -> seepline::EstimateRules {
    let mut rules = *Rules::built_in().estimate();
    rules.prior = Prior::new(PriorValues {
        threshold_log_sd: 1.0,
        threshold_drift_log_sd: 0.01,
        error_scale: um(500.0),
        jaw_spread: um(0.2),
        ..rules.prior.values()
    })
    .expect("all in range");
    rules
}

#[test]
fn two_checks_solve_both_unknowns() {
    // By hand: T₁ = 100, T₂ = 80, touching 0.4 and 0.6667 of the length from the tip: 0.4(100 − n) =
    // 0.6667(80 − n) gives n = 50 and h = 20. From both sides: T₁ = 100, T₂ = 30, touching 0.25 and
    // 0.75: 0.25(100 − n) = 0.75(n − 30) gives n = 47.5 and h = 13.125.
    assert!((solved([100.0, 80.0], [0.4, 2.0 / 3.0], [1.0, 1.0]) - 50.0).abs() < 1e-9);
    assert!((solved([100.0, 30.0], [0.25, 0.75], [1.0, -1.0]) - 47.5).abs() < 1e-9);
    for (second, at, touching, needed, h) in [
        (true, 80.0, [0.4, 2.0 / 3.0], 50.0, 20.0),
        (false, 30.0, [0.25, 0.75], 47.5, 13.125),
    ] {
        let mut timeline = wren();
        let now = Conditions::default();
        let first = vec![open_base(touching[0]); 9];
        let other = if second {
            open_base(touching[1])
        } else {
            open_tip(touching[1])
        };
        checked(&mut timeline, um(100.0), &first, &now);
        checked(&mut timeline, um(at), &vec![other; 9], &now);
        let steps = steps(&timeline, &Knowledge::default(), &broad());
        let e = steps[1].estimate.as_ref().expect("an estimate");
        let found = e.needed.median.micrometres();
        // The edge is known to 0.02/√9 of the length, which moves the solution by about a micrometre,
        // and the grid has steps of one.
        assert!((found - needed).abs() < 2.0, "{found} for {needed}");
        let found = e.threshold.median.micrometres();
        assert!((found / h - 1.0).abs() < 0.08, "{found} for {h}");
    }
}

/// A full-length check at another taper bounds the error there by the threshold.
#[test]
fn a_full_length_check_bounds_the_needed_taper() {
    let mut timeline = wren();
    let now = Conditions::default();
    checked(
        &mut timeline,
        um(100.0),
        &[open_base(0.4), open_base(0.4), open_base(0.4)],
        &now,
    );
    checked(&mut timeline, um(70.0), &[full(), full(), full()], &now);
    let steps = steps(
        &timeline,
        &Knowledge::default(),
        Rules::built_in().estimate(),
    );
    let at = |i: usize| &steps[i].estimate.as_ref().expect("an estimate").needed;
    let width = |i: usize| at(i).high - at(i).low;
    assert!(width(1) < width(0));
    assert!(at(1).low > um(45.0) && at(1).high < um(95.0), "{:?}", at(1));
}

/// Made by statsmodels with `make_fixtures.py` beside this file.
#[derive(Deserialize)]
struct Case {
    values: Vec<f64>,
    variances: Vec<f64>,
    between_variance: f64,
    mean: f64,
    mean_variance: f64,
}

#[test]
fn random_effects_are_those_of_statsmodels() {
    let cases: Vec<Case> =
        serde_json::from_str(include_str!("fixtures/random_effects.json")).expect("cases");
    assert!(cases.len() >= 6);
    for case in cases {
        let pairs: Vec<_> = case.values.into_iter().zip(case.variances).collect();
        let p = random_effects(&pairs).expect("a pooled mean");
        for (ours, theirs) in [
            (p.between_variance, case.between_variance),
            (p.mean, case.mean),
            (p.mean_variance, case.mean_variance),
        ] {
            assert!(
                (ours - theirs).abs() < 1e-9 * (1.0 + theirs.abs()),
                "{ours} {theirs}"
            );
        }
    }
}

/// As above: weighted least squares through the origin, with the weights taken for known and the scale of
/// the residuals.
#[derive(Deserialize)]
struct Slope {
    step_psi: Vec<u32>,
    needed_um: Vec<f64>,
    sd_um: Vec<f64>,
    um_per_psi: f64,
    sd_known: f64,
    scale: f64,
}

/// Pascals in one psi (NIST SP 811, appendix B.8).
const PSI_PA: f64 = 6_894.757_293_168;

#[test]
fn compliance_is_the_weighted_slope_of_statsmodels() {
    let cases: Vec<Slope> =
        serde_json::from_str(include_str!("fixtures/slopes.json")).expect("cases");
    assert!(cases.len() >= 4);
    for case in cases {
        let point = |i: usize| CompliancePoint {
            pressure: format!("{}psi", case.step_psi[i] + 50)
                .parse()
                .expect("a pressure"),
            boring_pressure: "50psi".parse().expect("a pressure"),
            needed: um(case.needed_um[i]),
            sd: um(case.sd_um[i]),
        };
        let points: Vec<_> = (0..case.step_psi.len()).map(point).collect();
        let c = compliance(&points, &[]).expect("a compliance");
        let slope = c.um_per_pascal() * PSI_PA;
        assert!((slope / case.um_per_psi - 1.0).abs() < 1e-6, "{slope}");
        // Scatter beyond the points' own deviations counts, scatter below it does not, and a tenth of
        // the slope is the least.
        let sd = (case.sd_known * case.scale.max(1.0).sqrt()).max(0.1 * case.um_per_psi.abs());
        let found = c.sd_um_per_pascal() * PSI_PA;
        assert!((found / sd - 1.0).abs() < 1e-6, "{found} {sd}");
    }
}
