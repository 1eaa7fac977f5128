//! One check after another: what each says of (needed taper, marking threshold), ready to be multiplied.
//!
//! A jaw set has one threshold per compound and method, but no two checks meet it exactly: the paint is
//! thicker, it dries longer. So check `k` has `ln h_k = ln h + d_k` with `d_k` normal about zero. The jaws
//! of a check share `h_k`; it is integrated out check by check, as a convolution along `ln h`.

use super::grid::{Evidence, Posterior, STEP_UM};
use super::{Observation, Prior};
use crate::units::PerSide;

/// Widest step of `ln h`. The narrowest ridge along it is an edge's own deviation, 0.07 and more where half
/// of the face touches; a sum over a normal curve of deviation `s` at steps `d` errs by
/// `2·exp(−2(πs/d)²)`, here 1e-4 (Poisson summation).
const LOG_STEP: f64 = 0.1;
/// How far the edge of contact lies from where the wedge has it, besides the reading's own deviation, one
/// standard deviation in lengths of the face: waves of the face, and compound that seeps less far into
/// the narrow part of the gap. Measured: root mean square 0.035 over 22 rendered faces of jaw sets, of
/// which 0.02 is the reading's.
const WEDGE_SD: f64 = 0.028;
/// A face that touches over this much of its length may be called full-length: the open band is then too
/// small to be told from the painted hairline and the rim of the chamfer.
const CALLED_FULL: f64 = 0.85;
/// How far the axis of `h` and the drift's kernel reach.
const REACH_SD: f64 = 3.0;

/// The cells on which layers lie: needed tapers a micrometre apart, cell edges on `origin`, and
/// thresholds evenly spaced in their logarithm.
#[derive(Debug, Clone)]
pub(crate) struct Lattice {
    origin_um: f64,
    prior: Prior,
    thresholds_um: Vec<f64>,
    log_step: f64,
}

/// Log-likelihood per cell, over the needed tapers that a check can be about.
#[derive(Debug, Clone)]
pub(crate) struct Layer {
    first_row: i64,
    columns: usize,
    logs: Vec<f64>,
}

/// A posterior and the logarithm of how likely the evidence was before it was seen.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub(crate) posterior: Posterior,
    pub(crate) log_evidence: f64,
}

impl Lattice {
    pub(crate) fn at(origin: PerSide, prior: &Prior) -> Self {
        let median = prior.threshold_median().micrometres();
        let reach = REACH_SD * prior.set_log_sd();
        let half = (reach / LOG_STEP).ceil();
        // Even steps that end on the reach; the axis has the median in its middle.
        let log_step = reach / half;
        let h = |j: usize| median * ((j as f64 - half) * log_step).exp();
        Self {
            origin_um: origin.micrometres(),
            prior: *prior,
            thresholds_um: (0..=2 * half as usize).map(h).collect(),
            log_step,
        }
    }

    fn needed_um(&self, row: i64) -> f64 {
        self.origin_um + (row as f64 + 0.5) * STEP_UM
    }

    /// What is believed of a set's threshold: log-normal, `log_sd` about `median`. One per column.
    pub(crate) fn belief(&self, median: PerSide, log_sd: f64) -> Vec<f64> {
        let z = |h: &f64| (h / median.micrometres()).ln() / log_sd;
        let logs = self.thresholds_um.iter().map(|h| -0.5 * z(h) * z(h));
        normalised(logs.collect())
    }

    /// The prior's belief about a set's threshold.
    pub(crate) fn prior_belief(&self) -> Vec<f64> {
        self.belief(self.prior.threshold_median(), self.prior.set_log_sd())
    }

    /// Errors lie exponentially about `taper`, the first that was tried.
    fn guess(&self, taper: PerSide, row: i64) -> f64 {
        let scale = self.prior.error_scale().micrometres();
        let off = (self.needed_um(row) - taper.micrometres()).abs();
        // With the density's own factor, since outcomes of one check and of several are compared by their
        // evidence.
        (STEP_UM / (2.0 * scale)).ln() - off / scale
    }
}

impl Layer {
    /// Of one check; its observations carry the taper cut. Errors beyond the prior's widest are out.
    pub(crate) fn of(check: &[Observation], lattice: &Lattice) -> Option<Self> {
        let taper_um = check.first()?.taper()?.micrometres();
        let reach = lattice.prior.widest_error().micrometres();
        let row = |um: f64| ((um - lattice.origin_um) / STEP_UM).floor() as i64;
        let (first, last) = (row(taper_um - reach), row(taper_um + reach));
        let of =
            |o: &Observation| Evidence::of(o, &lattice.prior).off_the_wedge(WEDGE_SD, CALLED_FULL);
        let evidence: Vec<Evidence> = check.iter().map(of).collect();
        let kernel = kernel(lattice);
        // Wider than the lattice by the kernel, so that the drift does not lose weight at its ends.
        let wide = wide_thresholds(lattice, kernel.len() / 2);
        let mut logs = Vec::new();
        for needed_um in (first..=last).map(|r| lattice.needed_um(r)) {
            let seen = |h: &f64| {
                evidence
                    .iter()
                    .map(|e| e.log_likelihood(needed_um, *h))
                    .sum()
            };
            let row: Vec<f64> = wide.iter().map(seen).collect();
            logs.extend(blurred(&row, &kernel));
        }
        Some(Self {
            first_row: first,
            columns: lattice.thresholds_um.len(),
            logs,
        })
    }

    fn rows(&self) -> impl Iterator<Item = (i64, &[f64])> + Clone {
        (self.first_row..).zip(self.logs.chunks(self.columns))
    }

    /// Both; only needed tapers that either allows remain.
    pub(crate) fn and(&self, other: &Self) -> Self {
        // Taken by row number, as layers of other tapers begin elsewhere.
        let theirs = other.rows().map(|(row, _)| row);
        let (low, high) = theirs.fold((i64::MAX, i64::MIN), |(a, b), r| (a.min(r), b.max(r)));
        let mut shared = Self {
            first_row: self.first_row.max(low),
            columns: self.columns,
            logs: Vec::new(),
        };
        for (row, cells) in self.rows().filter(|(row, _)| (low..=high).contains(row)) {
            let from = (row - other.first_row) as usize * other.columns;
            let with = other.logs[from..].iter();
            shared
                .logs
                .extend(cells.iter().zip(with).map(|(a, b)| a + b));
        }
        shared
    }

    /// What remains where the threshold was another one, believed as `belief` says: the same in every
    /// column.
    pub(crate) fn of_another_threshold(&self, belief: &[f64]) -> Self {
        let of_row = |cells: &[f64]| log_sum(cells.iter().zip(belief).map(|(a, b)| a + b));
        let spread = |(_, cells): (i64, &[f64])| vec![of_row(cells); self.columns];
        Self {
            first_row: self.first_row,
            columns: self.columns,
            logs: self.rows().flat_map(spread).collect(),
        }
    }

    /// What a set that needed some other taper, first guessed at `taper`, says of the threshold. One per
    /// column.
    pub(crate) fn of_the_threshold(&self, taper: PerSide, lattice: &Lattice) -> Vec<f64> {
        let column = |j: usize| {
            log_sum(
                self.rows()
                    .map(|(row, cells)| cells[j] + lattice.guess(taper, row)),
            )
        };
        (0..self.columns).map(column).collect()
    }

    /// The same with every needed taper larger by `by_um`, uncertain by `sd_um`.
    pub(crate) fn shifted(&self, by_um: f64, sd_um: f64) -> Self {
        let half = (REACH_SD * sd_um / STEP_UM).ceil();
        // A move that is certain is a kernel of one cell; the floor keeps it from 0/0.
        let weight = |k: i64| -0.5 * (k as f64 * STEP_UM / sd_um.max(STEP_UM / 10.0)).powi(2);
        let kernel = normalised((-(half as i64)..=half as i64).map(weight).collect());
        let rows = self.logs.len() / self.columns.max(1);
        let half = half as usize;
        let cell = |row: usize, j: usize| {
            let terms = kernel.iter().enumerate().filter_map(|(k, w)| {
                let from = row.checked_sub(k)?;
                (from < rows).then(|| self.logs[from * self.columns + j] + w)
            });
            log_sum(terms)
        };
        let wide = 0..rows + 2 * half;
        let cells = wide.flat_map(|row| (0..self.columns).map(move |j| (row, j)));
        Self {
            first_row: self.first_row + (by_um / STEP_UM).round() as i64 - half as i64,
            columns: self.columns,
            logs: cells.map(|(row, j)| cell(row, j)).collect(),
        }
    }

    /// With the first taper that was tried and what is believed of the threshold. `None` where nothing
    /// is possible.
    pub(crate) fn outcome(
        &self,
        first_taper: PerSide,
        belief: &[f64],
        lattice: &Lattice,
    ) -> Option<Outcome> {
        let mut logs = Vec::with_capacity(self.logs.len());
        for (row, cells) in self.rows() {
            let guess = lattice.guess(first_taper, row);
            logs.extend(cells.iter().zip(belief).map(|(c, b)| c + b + guess));
        }
        let log_evidence = log_sum(logs.iter().copied());
        let first_needed_um = lattice.needed_um(self.first_row);
        let posterior = Posterior::of_cells(first_needed_um, &lattice.thresholds_um, &logs)?;
        Some(Outcome {
            posterior,
            log_evidence,
        })
    }
}

/// The drift of a check's threshold about its set's, per step of `ln h`; sums to 1.
fn kernel(lattice: &Lattice) -> Vec<f64> {
    let sd = lattice.prior.threshold_drift_log_sd();
    let half = (REACH_SD * sd / lattice.log_step).ceil() as i64;
    let log_weight = |k: i64| -0.5 * (k as f64 * lattice.log_step / sd).powi(2);
    let logs = normalised((-half..=half).map(log_weight).collect());
    logs.into_iter().map(f64::exp).collect()
}

/// The lattice's thresholds and `extra` more at either end.
fn wide_thresholds(lattice: &Lattice, extra: usize) -> Vec<f64> {
    let first = lattice.thresholds_um[0];
    let count = lattice.thresholds_um.len() + 2 * extra;
    let h = |j: usize| first * ((j as f64 - extra as f64) * lattice.log_step).exp();
    (0..count).map(h).collect()
}

/// A row of log-likelihoods over wide thresholds, averaged over the drift.
fn blurred(row: &[f64], kernel: &[f64]) -> Vec<f64> {
    let most = row.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let columns = row.len() + 1 - kernel.len();
    // No threshold allows this taper; less `most` it would be NaN.
    if most == f64::NEG_INFINITY {
        return vec![f64::NEG_INFINITY; columns];
    }
    let likelihoods: Vec<f64> = row.iter().map(|l| (l - most).exp()).collect();
    let average = |window: &[f64]| window.iter().zip(kernel).map(|(l, w)| l * w).sum::<f64>();
    likelihoods
        .windows(kernel.len())
        .map(|w| average(w).ln() + most)
        .collect()
}

/// Logarithm of the sum of exponentials.
pub(crate) fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + logs.map(|l| (l - most).exp()).sum::<f64>().ln()
}

/// Logarithms whose exponentials sum to 1.
pub(crate) fn normalised(mut logs: Vec<f64>) -> Vec<f64> {
    let sum = log_sum(logs.iter().copied());
    if sum.is_finite() {
        for log in &mut logs {
            *log -= sum;
        }
    }
    logs
}
