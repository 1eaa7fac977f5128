//! The posterior on a grid.

use super::{Observation, OpenEnd, Prior};
use crate::units::PerSide;

/// Finest step of the needed taper; a jaw's own spread is more than twice that.
pub(super) const STEP_UM: f64 = 1.0;
/// Most steps of the needed taper, so that absurd tapers cost no more time.
const MOST_STEPS: f64 = 2000.0;
/// Steps of the marking threshold, evenly spaced in its logarithm over ± three standard deviations.
const THRESHOLD_STEPS: usize = 49;
const THRESHOLD_REACH_SD: f64 = 3.0;

/// Probability over (needed taper, marking threshold), on a grid. Built by [`super::estimate`].
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    first_needed_um: f64,
    step_um: f64,
    thresholds_um: Vec<f64>,
    /// Rows of `thresholds_um.len()`, one per needed taper; sums to 1.
    weights: Vec<f64>,
}

impl Posterior {
    pub(super) fn over(observations: &[Observation], prior: &Prior) -> Option<Self> {
        let mut grid = Self::axes(observations, prior)?;
        let believed = grid
            .thresholds_um
            .iter()
            .map(|h| log_prior_of_threshold(*h, prior));
        let believed: Vec<f64> = believed.collect();
        let evidence: Vec<Evidence> = observations
            .iter()
            .map(|o| Evidence::of(o, prior))
            .collect();
        let first = observations.first()?.taper_um();
        let mut logs = Vec::with_capacity(grid.weights.len());
        for needed_um in (0..grid.rows()).map(|i| grid.needed_um(i)) {
            // About the first taper, not about each: later ones are already answers to what was seen.
            let guess = -(needed_um - first).abs() / prior.error_scale().micrometres();
            for (h_um, log) in grid.thresholds_um.iter().zip(&believed) {
                let seen: f64 = evidence
                    .iter()
                    .map(|e| e.log_likelihood(needed_um, *h_um))
                    .sum();
                logs.push(guess + log + seen);
            }
        }
        grid.weights = weights(&logs)?;
        Some(grid)
    }

    /// Cell edges fall on the first taper, so that a reading of one sign stays on its side of zero.
    fn axes(observations: &[Observation], prior: &Prior) -> Option<Self> {
        let first = observations.first()?.taper_um();
        let tapers = observations.iter().map(Observation::taper_um);
        let (low, high) = tapers.fold((first, first), |(a, b), t| (a.min(t), b.max(t)));
        let reach = prior.widest_error().micrometres();
        let step_um = STEP_UM.max((high - low + 2.0 * reach) / MOST_STEPS);
        let below = ((first - low + reach) / step_um).ceil();
        let rows = below + ((high - first + reach) / step_um).ceil();
        let median = prior.threshold_median().micrometres();
        let z =
            |j: usize| (j as f64 / (THRESHOLD_STEPS - 1) as f64 - 0.5) * 2.0 * THRESHOLD_REACH_SD;
        let h = |j: usize| median * (z(j) * prior.threshold_log_sd()).exp();
        Some(Self {
            first_needed_um: first - below * step_um + step_um / 2.0,
            step_um,
            thresholds_um: (0..THRESHOLD_STEPS).map(h).collect(),
            weights: vec![0.0; rows as usize * THRESHOLD_STEPS],
        })
    }

    /// From log weights, row by row, that need not be normalised. `None` where all are impossible.
    pub(super) fn of_cells(
        first_needed_um: f64,
        thresholds_um: &[f64],
        logs: &[f64],
    ) -> Option<Self> {
        Some(Self {
            first_needed_um,
            step_um: STEP_UM,
            thresholds_um: thresholds_um.to_vec(),
            weights: weights(logs)?,
        })
    }

    fn rows(&self) -> usize {
        self.weights.len() / self.thresholds_um.len()
    }

    fn needed_um(&self, row: usize) -> f64 {
        self.first_needed_um + row as f64 * self.step_um
    }

    /// The needed taper that lies above the truth with probability `p`; where no taper was known, the
    /// needed change. `None` unless `p` is between 0 and 1.
    pub fn needed_quantile(&self, p: f64) -> Option<PerSide> {
        let row_sum = |row: &[f64]| row.iter().sum::<f64>();
        let sums = self.weights.chunks(self.thresholds_um.len()).map(row_sum);
        let (row, within) = quantile(sums, p)?;
        let um = self.needed_um(row) + (within - 0.5) * self.step_um;
        PerSide::from_computed_micrometres(um)
    }

    /// Mean and standard deviation of the natural logarithm of the marking threshold in micrometres.
    pub(crate) fn log_threshold(&self) -> (f64, f64) {
        let cells = || self.weights.iter().zip(self.thresholds_um.iter().cycle());
        let mean: f64 = cells().map(|(w, h)| w * h.ln()).sum();
        let variance: f64 = cells().map(|(w, h)| w * (h.ln() - mean).powi(2)).sum();
        (mean, variance.sqrt())
    }

    /// The marking threshold that lies above the truth with probability `p`. `None` unless `p` is
    /// between 0 and 1.
    pub fn threshold_quantile(&self, p: f64) -> Option<PerSide> {
        let columns = self.thresholds_um.len();
        let column_sum = |j: usize| self.weights.iter().skip(j).step_by(columns).sum::<f64>();
        let (column, within) = quantile((0..columns).map(column_sum), p)?;
        // The axis is even in the logarithm, so a part of a cell is a power.
        let ratio = self.thresholds_um[1] / self.thresholds_um[0];
        let um = self.thresholds_um[column] * ratio.powf(within - 0.5);
        PerSide::from_computed_micrometres(um)
    }
}

/// The cell in which the running sum reaches `p`, and how far inside it, 0 to 1.
fn quantile(weights: impl Iterator<Item = f64>, p: f64) -> Option<(usize, f64)> {
    // No number is refused here, too.
    if !(0.0..=1.0).contains(&p) {
        return None;
    }
    let mut below = 0.0;
    let mut last = None;
    // Empty cells passed over, or p = 0 would be the grid's end instead of the posterior's.
    for (i, w) in weights.enumerate().filter(|(_, w)| *w > 0.0) {
        if below + w >= p {
            return Some((i, ((p - below) / w).clamp(0.0, 1.0)));
        }
        below += w;
        last = Some((i, 1.0));
    }
    last
}

/// Weights that sum to 1. `None` where all are impossible.
fn weights(logs: &[f64]) -> Option<Vec<f64>> {
    // Taken off before the exponential, which would else be zero for every cell.
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !most.is_finite() {
        return None;
    }
    let raw: Vec<f64> = logs.iter().map(|l| (l - most).exp()).collect();
    let sum: f64 = raw.iter().sum();
    Some(raw.into_iter().map(|w| w / sum).collect())
}

/// The axis of `h` is even in its logarithm, so the log-normal needs no `1/h`.
fn log_prior_of_threshold(h_um: f64, prior: &Prior) -> f64 {
    let z = (h_um / prior.threshold_median().micrometres()).ln() / prior.threshold_log_sd();
    -0.5 * z * z
}

/// One reading, made ready for the grid.
pub(super) struct Evidence {
    open_end: OpenEnd,
    taper_um: f64,
    /// Share of the length that touches.
    touching: f64,
    edge_sd: f64,
    spread_um: f64,
}

impl Evidence {
    /// The edge of contact is uncertain by the reading's own deviation, and by a jaw's own taper about
    /// the set's, which moves the edge `s = h/|e|` by `s·spread/|e|`. The latter is taken at the prior's
    /// median of `h` for every cell of the grid: were it to change from cell to cell, jaws that happen to
    /// read alike would pass for proof of a large error, which stakes more on `spread` than it can bear.
    pub(super) fn of(o: &Observation, prior: &Prior) -> Self {
        let touching = 1.0 - o.open_fraction();
        let size_um = prior.threshold_median().micrometres() / touching;
        let spread_um = prior.jaw_spread().micrometres();
        Self {
            open_end: o.open_end(),
            taper_um: o.taper_um(),
            touching,
            edge_sd: o.sd().hypot(touching * spread_um / size_um),
            spread_um,
        }
    }

    /// The same, less certain by how far faces are from the wedge; a face that was called full-length
    /// bounds the error only by what is called so.
    pub(super) fn off_the_wedge(self, sd: f64, called_full: f64) -> Self {
        let full = self.open_end == OpenEnd::Neither;
        Self {
            edge_sd: self.edge_sd.hypot(sd),
            touching: self.touching.min(if full { called_full } else { 1.0 }),
            ..self
        }
    }

    /// Given the set's needed taper and the threshold.
    pub(super) fn log_likelihood(&self, needed_um: f64, h_um: f64) -> f64 {
        let error_um = self.taper_um - needed_um;
        let size = error_um.abs();
        match self.open_end {
            OpenEnd::Neither => below(size, h_um / self.touching, self.spread_um).ln(),
            // A base that stands open has too much taper, a tip too little: that is the sign, and no noise
            // turns it.
            OpenEnd::Base if error_um <= 0.0 => f64::NEG_INFINITY,
            OpenEnd::Tip if error_um >= 0.0 => f64::NEG_INFINITY,
            OpenEnd::Base | OpenEnd::Tip => {
                // Contact can't be longer than the face.
                let z = (self.touching - (h_um / size).min(1.0)) / self.edge_sd;
                -0.5 * z * z
            }
        }
    }
}

/// Probability that `size`, uncertain by `sd`, is below `bound`: the logistic curve that follows the
/// normal integral within 0.01 (factor 1.702).
fn below(size: f64, bound: f64, sd: f64) -> f64 {
    1.0 / (1.0 + (1.702 * (size - bound) / sd).exp())
}
