use super::*;
use crate::units::{Length, PerSide};

fn um(value: f64) -> PerSide {
    PerSide::from_computed_micrometres(value).unwrap()
}

fn prior() -> Prior {
    crate::taper::rules::Rules::built_in().estimate().prior
}

fn seen(open_end: OpenEnd, open: f64) -> Observation {
    Observation::new(open_end, open, 0.02, None).unwrap()
}

#[test]
fn numbers_that_are_none_make_no_observation() {
    for (open, sd) in [
        (f64::NAN, 0.02),
        (-0.1, 0.02),
        (1.1, 0.02),
        (0.5, f64::NAN),
        (0.5, -1.0),
    ] {
        assert_eq!(
            Observation::new(OpenEnd::Tip, open, sd, None),
            None,
            "{open} {sd}"
        );
    }
}

#[test]
fn half_open_means_twice_the_threshold() {
    // |e| = h/(1 − f): with h at its median of 12.7 µm, f = 1/2 gives 25.4 µm. The prior on the error
    // pulls by less than its slope over the spread of h allows, a tenth of a thousandth.
    let p = estimate(&[seen(OpenEnd::Base, 0.5); 3], &prior()).unwrap();
    let change = p.needed_quantile(0.5).unwrap().micrometres();
    assert!((change + 25.4).abs() < 2.54, "{change}");
}

#[test]
fn an_open_base_takes_taper_off_and_an_open_tip_adds_it() {
    let at = |open_end, p: f64| {
        let posterior = estimate(&[seen(open_end, 0.3)], &prior()).unwrap();
        posterior.needed_quantile(p).unwrap()
    };
    assert!(at(OpenEnd::Base, 1.0) <= PerSide::ZERO);
    assert!(at(OpenEnd::Tip, 0.0) >= PerSide::ZERO);
    assert_eq!(at(OpenEnd::Base, 0.25), -at(OpenEnd::Tip, 0.75));
}

#[test]
fn two_tapers_settle_both_unknowns() {
    // Needed 60 µm and h 16 µm: 100 µm cut gives e = 40, f = 0.6; 84 cut gives e = 24, f = 1/3.
    let at = |taper, open| Observation::new(OpenEnd::Base, open, 0.02, Some(um(taper))).unwrap();
    let both = [[at(100.0, 0.6); 3], [at(84.0, 1.0 / 3.0); 3]].concat();
    let p = estimate(&both, &prior()).unwrap();
    let needed = p.needed_quantile(0.5).unwrap().micrometres();
    let h = p.threshold_quantile(0.5).unwrap().micrometres();
    assert!((needed - 60.0).abs() < 4.0, "{needed}");
    assert!((h - 16.0).abs() < 2.5, "{h}");
    let width = |p: &Posterior| p.needed_quantile(0.95).unwrap() - p.needed_quantile(0.05).unwrap();
    let one = estimate(&both[..3], &prior()).unwrap();
    assert!(
        width(&p) < width(&one),
        "a second taper must narrow the interval"
    );
}

#[test]
fn full_length_bounds_the_error_by_the_threshold() {
    let p = estimate(&[seen(OpenEnd::Neither, 0.0); 3], &prior()).unwrap();
    let (low, high) = (
        p.needed_quantile(0.05).unwrap(),
        p.needed_quantile(0.95).unwrap(),
    );
    assert_eq!(low, -high);
    assert!(high.thou() > 0.2 && high.thou() < 0.9, "{}", high.thou());
}

#[test]
fn readings_that_exclude_one_another_have_no_posterior() {
    assert_eq!(
        estimate(
            &[seen(OpenEnd::Base, 0.5), seen(OpenEnd::Tip, 0.5)],
            &prior()
        ),
        None
    );
    assert_eq!(estimate(&[], &prior()), None);
    let known = Observation::new(OpenEnd::Base, 0.5, 0.02, Some(PerSide::ZERO)).unwrap();
    assert_eq!(estimate(&[seen(OpenEnd::Base, 0.5), known], &prior()), None);
}

#[test]
fn absurd_tapers_cost_no_more_and_do_not_panic() {
    let taper = |mm: &str| Some(PerSide::of(mm.parse::<Length>().unwrap()));
    let at = |t| Observation::new(OpenEnd::Neither, 0.0, 0.0, t).unwrap();
    let p = estimate(&[at(taper("100000mm")), at(taper("0mm"))], &prior());
    assert!(p.is_none_or(|p| p.needed_quantile(0.5).is_some()));
}
