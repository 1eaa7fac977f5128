//! Readings → posterior over the needed taper and the marking threshold.
//!
//! Under clamp the gap opens like a wedge from the end that touches, `gap(s) = |e|·s` with `e` the taper
//! error (taper cut − taper needed, per side over the face's length) and `s` the fraction of length from
//! that end. Compound shows where the gap exceeds the marking threshold `h`, which holds both what the
//! clamp force closes and what the compound needs to get in. So contact ends at `s = h/|e|`, and a reading
//! whose open fraction is `f` says `|e| = h/(1 − f)`. One check alone cannot tell `h` from `e`: the prior
//! on `h` settles that, and checks at other tapers narrow it.

mod grid;
mod layer;
mod observe;

use crate::units::PerSide;

pub use grid::Posterior;
pub(crate) use layer::{Lattice, Layer, normalised};
pub use observe::{Observation, OpenEnd};

/// What is believed before any reading. The rules file sets each; lengths are per side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// Median of the marking threshold `h`.
    pub threshold_median: PerSide,
    /// Standard deviation of the natural logarithm of a check's `h`, above 0.
    pub threshold_log_sd: f64,
    /// The part of it that a check has about its jaw set's own `h`, from one check to the next with the
    /// same compound and method; above 0 and below `threshold_log_sd`.
    pub threshold_drift_log_sd: f64,
    /// Mean size of the taper error at the first check: errors are taken to lie exponentially about
    /// zero, since a setter's first taper is a good guess.
    pub error_scale: PerSide,
    /// Errors beyond this are not considered.
    pub widest_error: PerSide,
    /// One standard deviation of a jaw's own taper about the set's.
    pub jaw_spread: PerSide,
}

impl Prior {
    /// The part of `threshold_log_sd` that all checks of a jaw set share.
    pub(crate) fn set_log_sd(&self) -> f64 {
        let (all, drift) = (self.threshold_log_sd, self.threshold_drift_log_sd);
        (all * all - drift * drift).sqrt()
    }
}

/// Combines readings, of one check or of several with different tapers, oldest first.
///
/// Where the taper cut is known, the posterior is over the needed taper; where it is known of none, over
/// the *change* that is needed (as if zero were cut now). `None` where there is no observation, where
/// the taper is known of some but not of others, or where the readings exclude one another.
pub fn estimate(observations: &[Observation], prior: &Prior) -> Option<Posterior> {
    let known = observations.iter().filter(|o| o.taper().is_some()).count();
    if observations.is_empty() || (known != 0 && known != observations.len()) {
        return None;
    }
    Posterior::over(observations, prior)
}

#[cfg(test)]
mod tests;
