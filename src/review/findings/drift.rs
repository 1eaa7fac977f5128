//! Whether the change that a jaw set asks for drifts while the taper stays the same: jaws wear, or the
//! pressure changed.
//!
//! The test is Mann and Kendall's, of ranks (Mann, Econometrica 13:245–259, 1945; Kendall, Rank
//! Correlation Methods, 1975): one wild check cannot make a trend, changes that are rounded and held to
//! a largest step are only ties, and a sudden step counts like a slow drift. Where many sets are tested
//! some would show a trend by chance, so the probabilities are held against the procedure of Benjamini
//! and Hochberg (J. R. Stat. Soc. B 57:289–300, 1995).

use super::Seen;
use crate::taper::advice::Action;
use crate::units::PerSide;

/// Fewer checks say little, and the normal approximation of the test's statistic is good from ten on
/// (Kendall, 1975).
const LEAST_CHECKS: usize = 10;
/// The latest ones; the test's cost grows with the square.
const MOST_CHECKS: usize = 400;
/// Of the drifts that are named, at most so large a share is there by chance (assumption: a lead would
/// rather look at one set too many in twenty than miss one).
const FALSE_SHARE: f64 = 0.05;

/// A drift of one jaw set at one taper.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drift {
    pub(crate) set: usize,
    pub(crate) taper: PerSide,
    /// Median of the changes that the first third of the checks asks for.
    pub(crate) before: PerSide,
    /// The same of the last third.
    pub(crate) after: PerSide,
    /// Of a trend as strong or stronger, both ways, where there is none.
    pub(crate) probability: f64,
    /// Oldest first.
    pub(crate) checks: Vec<usize>,
}

/// Of those that were tested, the ones to be named, least likely by chance first. A drift smaller than the step in which
/// the shop cuts would change no advice, so it is none.
pub(super) fn keep(tested: &mut Vec<Drift>, increment: PerSide) {
    tested.sort_by(|a, b| a.probability.total_cmp(&b.probability));
    let probabilities: Vec<f64> = tested.iter().map(|d| d.probability).collect();
    // Before the small ones are taken out: the procedure counts every test that was made.
    tested.truncate(discoveries(&probabilities, FALSE_SHARE));
    tested.retain(|d| (d.after - d.before).abs() >= increment);
}

/// The latest checks that say a change, back to the one before which another taper was cut.
fn latest_cut(dated: &[Seen]) -> Vec<&Seen> {
    let says = |seen: &&Seen| {
        let acted = matches!(seen.action, Action::Leave | Action::Recut);
        acted && seen.change.is_some() && seen.taper.is_some()
    };
    // From the latest backwards, so that an earlier cut at the same taper, before another one, stays out.
    let latest = || dated.iter().rev().filter(says);
    let taper = latest().next().and_then(|seen| seen.taper);
    let same = latest().take_while(|seen| seen.taper == taper);
    let mut latest: Vec<&Seen> = same.take(MOST_CHECKS).collect();
    latest.reverse();
    latest
}

/// Of a set's checks with a date, oldest first. Only its latest cut: what an older one did is past.
pub(super) fn tested(set: usize, dated: &[Seen]) -> Option<Drift> {
    let of = latest_cut(dated);
    if of.len() < LEAST_CHECKS {
        return None;
    }
    let changes: Vec<PerSide> = of.iter().filter_map(|seen| seen.change).collect();
    // Thirds, not the two ends: one wild check must not make the size of a drift either.
    let third = changes.len() / 3;
    Some(Drift {
        set,
        taper: of.last().and_then(|seen| seen.taper)?,
        before: median(&changes[..third])?,
        after: median(&changes[changes.len() - third..])?,
        probability: mann_kendall(&changes)?.probability,
        checks: of.iter().map(|seen| seen.at).collect(),
    })
}

/// The lower of the two in the middle, where there are two.
fn median(values: &[PerSide]) -> Option<PerSide> {
    let mut sorted = values.to_vec();
    sorted.sort();
    sorted.get(sorted.len().checked_sub(1)? / 2).copied()
}

/// Mann and Kendall's test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct MannKendall {
    /// Pairs that rise less pairs that fall.
    pub(super) s: i64,
    pub(super) variance: f64,
    /// Normal deviate of `s`, one nearer to zero for continuity.
    pub(super) z: f64,
    /// Two-sided.
    pub(super) probability: f64,
}

/// `Var S = [n(n−1)(2n+5) − Σ t(t−1)(2t+5)] / 18` with `t` the sizes of the ties (Kendall, 1975, ch. 4).
/// `None` where all are the same or there are fewer than two.
pub(super) fn mann_kendall<T: Ord>(values: &[T]) -> Option<MannKendall> {
    let rises = |(i, a): (usize, &T)| -> i64 {
        let later = values[i + 1..].iter();
        later.map(|b| b.cmp(a) as i64).sum()
    };
    let s: i64 = values.iter().enumerate().map(rises).sum();
    let mut sorted: Vec<&T> = values.iter().collect();
    sorted.sort();
    let spread = |n: usize| {
        let n = n as f64;
        n * (n - 1.0) * (2.0 * n + 5.0)
    };
    let ties: f64 = sorted
        .chunk_by(|a, b| a == b)
        .map(|t| spread(t.len()))
        .sum();
    let variance = (spread(values.len()) - ties) / 18.0;
    if variance <= 0.0 {
        return None;
    }
    // One nearer to zero, since `s` goes in steps and the normal distribution does not.
    let z = (s - s.signum()) as f64 / variance.sqrt();
    Some(MannKendall {
        s,
        variance,
        z,
        probability: beyond(z),
    })
}

/// Probability that a normal deviate is farther from zero than `z`, either way: Abramowitz & Stegun,
/// Handbook of Mathematical Functions, 26.2.11 (series) below 2, 26.2.14 (continued fraction) above.
fn beyond(z: f64) -> f64 {
    let x = z.abs();
    let density = (-x * x / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    if x < 2.0 {
        // At x = 2 the 40th term is below 1e-20.
        let mut term = x;
        let mut sum = x;
        for n in 1..40 {
            term *= x * x / f64::from(2 * n + 1);
            sum += term;
        }
        return 1.0 - 2.0 * density * sum;
    }
    // At x = 2, 200 levels are right to the last digits.
    let tail = (1..200).rev().fold(x, |below, n| x + f64::from(n) / below);
    2.0 * density / tail
}

/// How many of the sorted probabilities, from the smallest, Benjamini and Hochberg's procedure lets
/// stand: the largest k with `p(k) ≤ k/m · share`.
fn discoveries(sorted: &[f64], share: f64) -> usize {
    let m = sorted.len() as f64;
    let stands = |(i, p): (usize, &f64)| *p <= (i + 1) as f64 / m * share;
    let last = (0..sorted.len()).rfind(|i| stands((*i, &sorted[*i])));
    last.map_or(0, |i| i + 1)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use serde_json::Value;

    use super::*;

    /// Made by `tests/review_pages/make_fixtures.py` with the versions that it names.
    fn fixture() -> Value {
        let text = include_str!("../../../tests/review_pages/fixtures/trend.json");
        serde_json::from_str(text).expect("a fixture")
    }

    #[test]
    fn mann_kendall_is_that_of_pymannkendall() {
        let fixture = fixture();
        let cases = fixture["mann_kendall"].as_array().unwrap();
        assert!(cases.len() >= 10);
        for case in cases {
            let values: Vec<i64> = serde_json::from_value(case["values"].clone()).unwrap();
            let ours = mann_kendall(&values).unwrap();
            assert_eq!(ours.s, case["s"].as_f64().unwrap() as i64);
            let close = |ours: f64, key: &str| {
                let theirs = case[key].as_f64().unwrap();
                // Where p is 1 to the last digit or so, 1 − Φ is rounded in theirs as well.
                assert_relative_eq!(ours, theirs, max_relative = 1e-9, epsilon = 1e-15);
            };
            close(ours.variance, "variance");
            close(ours.z, "z");
            close(ours.probability, "p");
        }
    }

    #[test]
    fn tails_are_those_of_scipy() {
        for pair in fixture()["tails"].as_array().unwrap() {
            let (z, p) = (pair[0].as_f64().unwrap(), pair[1].as_f64().unwrap());
            assert_relative_eq!(beyond(z), p, max_relative = 1e-12);
        }
    }

    #[test]
    fn discoveries_are_those_of_scipy() {
        for case in fixture()["discoveries"].as_array().unwrap() {
            let sorted: Vec<f64> = serde_json::from_value(case["sorted"].clone()).unwrap();
            let count = case["count"].as_u64().unwrap() as usize;
            assert_eq!(discoveries(&sorted, FALSE_SHARE), count);
        }
    }

    #[test]
    fn what_never_changes_has_no_trend() {
        assert_eq!(mann_kendall(&[3, 3, 3, 3]), None);
        assert_eq!(mann_kendall::<i64>(&[]), None);
        assert_eq!(discoveries(&[], FALSE_SHARE), 0);
    }
}
