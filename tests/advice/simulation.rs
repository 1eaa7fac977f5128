//! Checks drawn at random from the wedge model: how far off is the change, and does the interval hold?

use seepline::{Reading, Rules, Setup};

use crate::support::draws::Draws;
use crate::support::readings::{judged, open_base, open_tip};

/// Micrometres in a thousandth of an inch.
const THOU_UM: f64 = 25.4;
/// One standard deviation of a jaw's own taper, and of a reading's open fraction.
const JAW_SD_UM: f64 = 2.5;
const READING_SD: f64 = 0.02;

/// Three jaws of one check with taper error `e_um` and threshold `h_um`; `None` where a jaw's band would
/// be too small to be called open at one end (contact of 85 % of the length and more).
fn three_jaws(draws: &mut Draws, e_um: f64, h_um: f64) -> Option<Vec<Reading>> {
    (0..3)
        .map(|_| {
            let own = e_um + JAW_SD_UM * draws.normal();
            let touching = h_um / own.abs();
            let seen = (touching + READING_SD * draws.normal()).clamp(0.01, 0.99);
            let jaw = if own > 0.0 {
                open_base(seen)
            } else {
                open_tip(seen)
            };
            (touching < 0.85 && own.signum() == e_um.signum()).then_some(jaw)
        })
        .collect()
}

/// Median error of the change in thousandths of an inch, after rounding and after the largest step; share
/// of intervals that hold the truth; share of checks that were answered.
struct Outcome {
    median_error: f64,
    coverage: f64,
    answered: f64,
}

fn simulate(checks: usize, draw: impl Fn(&mut Draws) -> (f64, f64)) -> Outcome {
    let (mut draws, mut errors, mut covered, mut asked) = (Draws::new(7), Vec::new(), 0, 0);
    while asked < checks {
        let (e_um, h_um) = draw(&mut draws);
        let Some(jaws) = three_jaws(&mut draws, e_um, h_um) else {
            continue;
        };
        asked += 1;
        let Some(c) = judged(&jaws, &Setup::default()).taper_change else {
            continue;
        };
        errors.push((c.change.thou() + e_um / THOU_UM).abs());
        covered += usize::from((c.low.micrometres()..=c.high.micrometres()).contains(&-e_um));
    }
    errors.sort_by(f64::total_cmp);
    let answered = errors.len();
    Outcome {
        median_error: errors[answered / 2],
        coverage: covered as f64 / answered as f64,
        answered: answered as f64 / checks as f64,
    }
}

fn either_way(draws: &mut Draws, size: f64) -> f64 {
    if draws.uniform() < 0.5 { size } else { -size }
}

fn threshold_from_prior(draws: &mut Draws) -> f64 {
    let prior = Rules::built_in().estimate().prior;
    prior.threshold_median().micrometres() * (prior.threshold_log_sd() * draws.normal()).exp()
}

#[test]
fn drawn_from_the_prior_the_interval_holds_and_the_change_is_near() {
    let scale_um = Rules::built_in()
        .estimate()
        .prior
        .error_scale()
        .micrometres();
    let o = simulate(400, |draws| {
        let size = -scale_um * (1.0 - draws.uniform()).ln();
        (either_way(draws, size), threshold_from_prior(draws))
    });
    assert!(o.median_error <= 0.4, "{}", o.median_error);
    assert!(o.coverage >= 0.85, "{}", o.coverage);
    assert!(o.answered >= 0.9, "{}", o.answered);
}

/// Errors spread evenly, unlike the prior's: 0.7 to 2 thou, where the largest step does not hold.
#[test]
fn drawn_evenly_the_interval_still_holds() {
    let o = simulate(400, |draws| {
        let size = draws.between(0.7, 2.0) * THOU_UM;
        (either_way(draws, size), threshold_from_prior(draws))
    });
    assert!(o.median_error <= 0.4, "{}", o.median_error);
    assert!(o.coverage >= 0.85, "{}", o.coverage);
}

/// A compound whose threshold under clamp lies between 10 and 16.5 µm.
#[test]
fn an_ordinary_compound_gives_a_near_change() {
    let o = simulate(400, |draws| {
        let size = draws.between(0.7, 2.0) * THOU_UM;
        (either_way(draws, size), draws.between(10.0, 16.5))
    });
    assert!(o.median_error <= 0.25, "{}", o.median_error);
    assert!(o.coverage >= 0.95, "{}", o.coverage);
}
