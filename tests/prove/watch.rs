//! Run lengths against published ones, and the watch against its own run lengths.

use seepline::prove::{Verdict, Watch, mean_run_length};

use crate::support::draws::Draws;

/// What a Poisson count less `k` adds, with its probability, up to `limit` and beyond.
fn poisson(mean: f64, k: i64, limit: usize) -> Vec<(i64, f64)> {
    let mut probability = (-mean).exp();
    let mut steps = Vec::new();
    for count in 0..=(limit as i64 + k) {
        steps.push((count - k, probability));
        probability *= mean / (count + 1) as f64;
    }
    steps
}

/// Lucas, Technometrics 27:129, 1985, as worked in Lawson's `IAcsSPCR` 1.2.1 (`arl`): h 6, k 2.
#[test]
fn counts_run_as_long_as_lucas_says() {
    for (mean, published) in [(1.88, 37.2), (1.88 + 0.9627 * 1.88_f64.sqrt(), 5.49)] {
        let found = mean_run_length(&poisson(mean, 2, 6), 6);
        // Printed to two decimals at most.
        assert!((found - published).abs() < 0.06, "{mean}: {found}");
    }
}

/// A normal deviate around `mean`, less `k`, in steps of 1/`fine`.
fn normal(mean: f64, k: f64, limit: usize, fine: f64) -> Vec<(i64, f64)> {
    let reach = limit as i64;
    let below = |at: f64| normal_below(at + k - mean);
    (-reach..=reach)
        .map(|step| {
            let (low, high) = ((step as f64 - 0.5) / fine, (step as f64 + 0.5) / fine);
            // Whatever falls deeper ends at zero as well.
            let from = if step == -reach { 0.0 } else { below(low) };
            (step, below(high) - from)
        })
        .collect()
}

/// The normal distribution's share below, by Abramowitz and Stegun 26.2.17, to 7.5e-8.
fn normal_below(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let series = [
        0.319_381_53,
        -0.356_563_782,
        1.781_477_937,
        -1.821_255_978,
        1.330_274_429,
    ];
    let sum = series.iter().rev().fold(0.0, |sum, b| (sum + b) * t);
    let above = sum * (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt();
    if z < 0.0 { above } else { 1.0 - above }
}

/// One-sided, k ½: Brook and Evans, Biometrika 59:539, 1972, section 4.3 (h 3); of h 4 Lucas and Crosier,
/// Technometrics 24:199, 1982, table 1, whose chart has two sides, so that in control each alone runs twice as long.
#[test]
fn normal_deviates_run_as_long_as_the_tables_say() {
    let tables = [
        (3.0, 0.0, 117.59),
        (3.0, 1.5, 3.75),
        (4.0, 0.0, 2.0 * 168.0),
        (4.0, 1.0, 8.38),
        (4.0, 2.0, 3.34),
        (4.0, 3.0, 2.19),
    ];
    let fine = 40.0;
    for (h, mean, published) in tables {
        // Half a step less: a cell's middle stands for it.
        let limit = (h * fine) as usize;
        let found = mean_run_length(&normal(mean, 0.5, limit, fine), limit);
        // Steps of 1/40 lengthen or shorten a run of hundreds by up to 2 %; a k or h one step off by far more.
        let off = (found / published - 1.0).abs();
        assert!(off < 0.02, "h {h}, {mean}: {found} for {published}");
    }
}

#[test]
fn the_watch_runs_as_long_as_it_says() {
    let mut draws = Draws::new(6);
    for not_right in [0.05, 0.20, 0.5] {
        let runs = 1000;
        let total: usize = (0..runs)
            .map(|_| {
                let answers = std::iter::repeat_with(|| {
                    if draws.uniform() < not_right {
                        Verdict::WrongWay
                    } else {
                        Verdict::Right
                    }
                });
                // Long enough for nearly every run.
                let watch = Watch::over(answers.take(6000));
                watch.signalled_after.map_or(6000, |n| n as usize)
            })
            .sum();
        let (found, said) = (
            total as f64 / f64::from(runs),
            Watch::mean_run_length(not_right),
        );
        println!("{not_right} not right: {found:.0} answers, {said:.0} said");
        // A run length scatters about as much as it is long: three standard errors are 10 %.
        assert!(
            (found / said - 1.0).abs() < 0.10,
            "{not_right}: {found} for {said}"
        );
    }
    // What its constants rest on.
    assert!((Watch::mean_run_length(0.05) - 498.0).abs() < 1.0);
    assert!((Watch::mean_run_length(0.20) - 21.6).abs() < 0.1);
}

#[test]
fn three_in_a_row_that_are_not_right_signal_and_refusals_do_not_count() {
    use Verdict::{ForNothing, Missed, Right, Unanswered, WrongWay};
    let signalled = |verdicts: &[Verdict]| Watch::over(verdicts.iter().copied()).signalled_after;
    assert_eq!(signalled(&[WrongWay, ForNothing, Missed]), Some(3));
    assert_eq!(
        signalled(&[WrongWay, Unanswered, ForNothing, Unanswered]),
        None
    );
    assert_eq!(signalled(&[Right; 500]), None);
    // Once it has signalled it is not taken back by what comes after.
    let mut then_well = vec![WrongWay; 3];
    then_well.extend([Right; 100]);
    assert_eq!(signalled(&then_well), Some(3));
}
