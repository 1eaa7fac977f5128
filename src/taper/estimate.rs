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
mod prior;

pub use grid::Posterior;
pub(crate) use layer::{Lattice, Layer, normalised};
pub use observe::{Observation, OpenEnd};
pub(crate) use prior::WIDEST_LOG_SD;
pub use prior::{Prior, PriorError, PriorValues};

/// Combines readings, of one check or of several with different tapers, oldest first.
///
/// Where the taper cut is known, the posterior is over the needed taper; where it is known of none, over
/// the *change* that is needed (as if zero were cut now). `None` where there is no observation, where
/// the taper is known of some but not of others, or where the readings exclude one another.
///
/// One jaw whose base stands open over half of its length, with the built-in threshold `h` of 12.7 µm: by the wedge there
/// is `h/(1 − f)` = 25.4 µm too much taper, so that much is to be taken off.
///
/// ```
/// use seepline::{Observation, OpenEnd, Rules, estimate};
///
/// let half_open = Observation::new(OpenEnd::Base, 0.5, 0.02, None).expect("both in range");
/// let prior = Rules::built_in().estimate().prior;
/// let posterior = estimate(&[half_open], &prior).expect("one reading excludes nothing");
/// let change = posterior.needed_quantile(0.5).expect("a probability").micrometres();
/// // To a step of the grid; of the spread of `h`, one check leaves the median where it is.
/// assert!((change + 25.4).abs() < 1.0);
/// ```
pub fn estimate(observations: &[Observation], prior: &Prior) -> Option<Posterior> {
    let known = observations.iter().filter(|o| o.taper().is_some()).count();
    // A needed taper and a needed change have no axis in common.
    if observations.is_empty() || (known != 0 && known != observations.len()) {
        return None;
    }
    Posterior::over(observations, prior)
}

#[cfg(test)]
mod tests;
