//! What is believed before any reading, held to what the grids can compute with.

use crate::taper::limits::LARGEST_TAPER;
use crate::units::PerSide;

/// Standard deviations of a logarithm stay below this: it is a factor of twenty either way, and nobody who
/// means that has a belief.
pub(crate) const WIDEST_LOG_SD: f64 = 3.0;

/// The values of a [`Prior`], before they are checked. The rules file sets each; lengths are per side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PriorValues {
    /// Median of the marking threshold `h`, above zero.
    pub threshold_median: PerSide,
    /// Standard deviation of the natural logarithm of a check's `h`, above 0 and below 3.
    pub threshold_log_sd: f64,
    /// The part of it that a check has about its jaw set's own `h`, from one check to the next with the
    /// same compound and method; above 0 and below `threshold_log_sd`.
    pub threshold_drift_log_sd: f64,
    /// Mean size of the taper error at the first check, above zero: errors are taken to lie exponentially
    /// about zero, since a setter's first taper is a good guess.
    pub error_scale: PerSide,
    /// Errors beyond this are not considered; above `threshold_median`, at most 0.05 in.
    pub widest_error: PerSide,
    /// One standard deviation of a jaw's own taper about the set's, above zero.
    pub jaw_spread: PerSide,
}

/// What is believed before any reading: [`PriorValues`] with which an estimate is a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior(PriorValues);

/// Why values are no prior. The names are those of the rules file.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PriorError {
    /// A length that the estimate divides by, or takes the logarithm of.
    #[error("{name} must be above zero")]
    NotAboveZero {
        /// Which one.
        name: &'static str,
        /// What was given.
        value: PerSide,
    },
    /// No standard deviation of a logarithm.
    #[error("threshold_log_sd is {0}; it must be above 0 and below {WIDEST_LOG_SD}")]
    ThresholdSpread(f64),
    /// No part of the spread.
    #[error("threshold_drift_log_sd must be below threshold_log_sd, which holds it, and above 0")]
    Drift {
        /// What was given.
        drift: f64,
        /// The whole.
        spread: f64,
    },
    /// An error that no jaw has.
    #[error("widest_error is more than 0.05in per side, more than any jaw is cut to")]
    WidestError(PerSide),
    /// All errors that may be would be below what the compound shows.
    #[error("widest_error must be above threshold_median")]
    NothingToSee {
        /// The widest error.
        widest: PerSide,
        /// The median of the threshold.
        threshold: PerSide,
    },
}

impl Prior {
    /// Checks the values.
    ///
    /// # Errors
    /// Where one is out of its range, or no number.
    pub fn new(values: PriorValues) -> Result<Self, PriorError> {
        let v = &values;
        let lengths = [
            ("threshold_median", v.threshold_median),
            ("error_scale", v.error_scale),
            ("jaw_spread", v.jaw_spread),
        ];
        if let Some((name, value)) = lengths.into_iter().find(|(_, l)| *l <= PerSide::ZERO) {
            return Err(PriorError::NotAboveZero { name, value });
        }
        // What is no number fails these comparisons, too.
        let (spread, drift) = (v.threshold_log_sd, v.threshold_drift_log_sd);
        if !(spread > 0.0 && spread < WIDEST_LOG_SD) {
            return Err(PriorError::ThresholdSpread(spread));
        }
        if !(drift > 0.0 && drift < spread) {
            return Err(PriorError::Drift { drift, spread });
        }
        if v.widest_error > LARGEST_TAPER {
            return Err(PriorError::WidestError(v.widest_error));
        }
        if v.widest_error <= v.threshold_median {
            return Err(PriorError::NothingToSee {
                widest: v.widest_error,
                threshold: v.threshold_median,
            });
        }
        Ok(Self(values))
    }

    /// All of them, to change one and check again.
    pub fn values(&self) -> PriorValues {
        self.0
    }

    /// Median of the marking threshold `h`.
    pub fn threshold_median(&self) -> PerSide {
        self.0.threshold_median
    }

    /// Standard deviation of the natural logarithm of a check's `h`.
    pub fn threshold_log_sd(&self) -> f64 {
        self.0.threshold_log_sd
    }

    /// The part of it that a check has about its jaw set's own `h`.
    pub fn threshold_drift_log_sd(&self) -> f64 {
        self.0.threshold_drift_log_sd
    }

    /// Mean size of the taper error at the first check.
    pub fn error_scale(&self) -> PerSide {
        self.0.error_scale
    }

    /// Errors beyond this are not considered.
    pub fn widest_error(&self) -> PerSide {
        self.0.widest_error
    }

    /// One standard deviation of a jaw's own taper about the set's.
    pub fn jaw_spread(&self) -> PerSide {
        self.0.jaw_spread
    }

    /// The part of the threshold's spread that all checks of a jaw set share.
    pub(crate) fn set_log_sd(&self) -> f64 {
        let (all, drift) = (self.0.threshold_log_sd, self.0.threshold_drift_log_sd);
        (all * all - drift * drift).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Change = fn(&mut PriorValues);
    use crate::taper::rules::Rules;
    use crate::units::Length;

    fn refused(change: impl Fn(&mut PriorValues)) -> PriorError {
        let mut values = Rules::built_in().estimate().prior.values();
        change(&mut values);
        Prior::new(values).unwrap_err()
    }

    #[test]
    fn values_that_give_no_number_are_refused() {
        for sd in [0.0, -0.4, f64::NAN, f64::INFINITY, 3.0] {
            let error = refused(|v| v.threshold_log_sd = sd);
            assert!(matches!(error, PriorError::ThresholdSpread(_)), "{sd}");
        }
        // 0.4 is the built-in spread: nothing would be left for the set.
        for drift in [0.0, -0.1, f64::NAN, 0.4, 0.5] {
            let error = refused(|v| v.threshold_drift_log_sd = drift);
            assert!(matches!(error, PriorError::Drift { .. }), "{drift}");
        }
        let zero: [(&str, Change); 3] = [
            ("threshold_median", |v| v.threshold_median = PerSide::ZERO),
            ("error_scale", |v| v.error_scale = PerSide::ZERO),
            ("jaw_spread", |v| v.jaw_spread = PerSide::ZERO),
        ];
        for (name, set) in zero {
            let error = refused(set).to_string();
            assert_eq!(error, format!("{name} must be above zero"));
        }
    }

    #[test]
    fn the_widest_error_lies_between_what_shows_and_what_is_cut() {
        let error = refused(|v| v.widest_error = v.threshold_median);
        assert!(matches!(error, PriorError::NothingToSee { .. }), "{error}");
        let error = refused(|v| v.widest_error = PerSide::of(Length::from_tenths(501)));
        assert!(matches!(error, PriorError::WidestError(_)), "{error}");
    }
}
