//! Intervals by drawing the photos again.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

use super::NoFigure;

/// Share beyond each end of a 95 % interval.
const TAIL: f64 = 0.025;

/// How the photos are drawn again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Resampling {
    /// How often.
    pub times: usize,
    /// Of the generator, so that the same calls always give the same interval.
    pub seed: u64,
}

impl Default for Resampling {
    /// 2000 times, as Efron and Tibshirani have it for percentiles (An Introduction to the Bootstrap,
    /// 1993, ch. 13 and 19, from memory: a thousand or more).
    fn default() -> Self {
        Self {
            times: 2000,
            seed: 1,
        }
    }
}

/// The 95 % percentile interval of `figure` over whole items drawn with replacement, so that all calls of
/// one photo stay together (Efron and Tibshirani 1993, ch. 13). `figure` gets the drawn items' indices and
/// gives `None` where it does not exist. Ends are read off linearly between the ordered figures.
///
/// # Errors
/// [`NoFigure::NoCalls`] and [`NoFigure::OneItem`] of too few; [`NoFigure::Unstable`] where the figure is
/// missing in more draws than lie beyond one end, which could then be anywhere; [`NoFigure::NoSpread`]
/// where all draws give the same.
pub fn percentile(
    items: usize,
    plan: Resampling,
    mut figure: impl FnMut(&[usize]) -> Option<f64>,
) -> Result<[f64; 2], NoFigure> {
    match items {
        0 => return Err(NoFigure::NoCalls),
        1 => return Err(NoFigure::OneItem),
        _ => {}
    }
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(plan.seed);
    let mut drawn = vec![0; items];
    let mut figures = Vec::with_capacity(plan.times);
    for _ in 0..plan.times {
        drawn.fill_with(|| rng.random_range(0..items));
        figures.extend(figure(&drawn).filter(|f| f.is_finite()));
    }
    let missing = plan.times - figures.len();
    if figures.is_empty() || missing as f64 > TAIL * plan.times as f64 {
        return Err(NoFigure::Unstable);
    }
    figures.sort_by(f64::total_cmp);
    let ends = [quantile(&figures, TAIL), quantile(&figures, 1.0 - TAIL)];
    if (ends[1] - ends[0]).abs() < f64::EPSILON {
        return Err(NoFigure::NoSpread);
    }
    Ok(ends)
}

/// Linear between order statistics: definition 7 of Hyndman and Fan, Am. Stat. 50:361, 1996.
fn quantile(ordered: &[f64], at: f64) -> f64 {
    let place = at * (ordered.len() - 1) as f64;
    let (below, above) = (place.floor() as usize, place.ceil() as usize);
    let within = place - place.floor();
    ordered[below] + (ordered[above] - ordered[below]) * within
}
