//! Lengths, the two ways of stating a taper, kept apart by type, pressures and forces.
//!
//! There is no arithmetic between [`PerSide`] and [`OnDiameter`] and no conversion from a bare number;
//! the only crossings are [`PerSide::on_diameter`] and [`OnDiameter::per_side`].

pub(crate) mod amount;
pub(crate) mod cells;
mod force;
mod parse;
mod pressure;
mod quantity;
mod taper;
mod text;

pub use force::{Force, ForceError};
pub use parse::LengthError;
pub use pressure::{Pressure, PressureError};
pub use taper::{OnDiameter, PerSide};

/// Picometres in one inch; exact (1 in = 25.4 mm, the international inch of 1959).
const INCH_PM: i64 = 25_400_000_000;
/// Picometres in a thousandth of an inch.
const THOU_PM: i64 = INCH_PM / 1000;
/// Picometres in a millimetre.
const MM_PM: i64 = 1_000_000_000;
/// Picometres in a micrometre.
const UM_PM: i64 = 1_000_000;
/// Largest length held, 100 m: far beyond any lathe, and far inside the range of the integer, so that
/// sums and doublings of lengths stay exact.
const LARGEST_PM: i64 = 100_000 * MM_PM;

/// A length; whole picometres inside, so that thousandths of an inch and micrometres are exact.
/// At most 100 m either way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Length {
    pm: i64,
}

impl Length {
    /// No length.
    pub const ZERO: Self = Self { pm: 0 };

    /// From whole micrometres.
    pub const fn from_micrometres(um: i32) -> Self {
        Self {
            pm: um as i64 * UM_PM,
        }
    }

    /// From ten-thousandths of an inch, the finest step on a shop drawing: 5 is 0.0005 in.
    pub const fn from_tenths(tenths: i32) -> Self {
        Self {
            pm: tenths as i64 * (THOU_PM / 10),
        }
    }

    /// From a computed number of micrometres, rounded to the picometre; `None` where it is not a
    /// number or beyond 100 m.
    pub fn from_computed_micrometres(um: f64) -> Option<Self> {
        let pm = (um * UM_PM as f64).round();
        (pm.abs() <= LARGEST_PM as f64).then_some(Self { pm: pm as i64 })
    }

    /// In inches.
    pub fn inches(self) -> f64 {
        self.pm as f64 / INCH_PM as f64
    }

    /// In thousandths of an inch.
    pub fn thou(self) -> f64 {
        self.pm as f64 / THOU_PM as f64
    }

    /// In millimetres.
    pub fn millimetres(self) -> f64 {
        self.pm as f64 / MM_PM as f64
    }

    /// In micrometres.
    pub fn micrometres(self) -> f64 {
        self.pm as f64 / UM_PM as f64
    }

    /// In metres.
    pub(crate) fn metres(self) -> f64 {
        self.millimetres() / 1e3
    }

    /// Half of it, an odd picometre dropped.
    pub(crate) const fn half(self) -> Self {
        Self { pm: self.pm / 2 }
    }

    /// Length ÷ length is a bare number; `None` where the divisor is zero.
    pub fn ratio(self, divisor: Self) -> Option<f64> {
        (divisor.pm != 0).then(|| self.pm as f64 / divisor.pm as f64)
    }

    /// `self × numerator / denominator`, rounded to the picometre; `None` where the denominator is
    /// zero or the result beyond 100 m.
    pub(crate) fn scaled(self, numerator: Self, denominator: Self) -> Option<Self> {
        let product = i128::from(self.pm) * i128::from(numerator.pm);
        let divisor = i128::from(denominator.pm);
        let half = divisor.abs() / 2;
        let rounded = (product + if product < 0 { -half } else { half }).checked_div(divisor)?;
        i64::try_from(rounded).ok().and_then(Self::within_range)
    }

    /// The nearest whole multiple of `step`, halves away from zero; unchanged where `step` is not
    /// above zero.
    pub(crate) fn rounded_to(self, step: Self) -> Self {
        if step.pm <= 0 {
            return self;
        }
        let half = step.pm / 2;
        let shifted = if self.pm < 0 {
            self.pm - half
        } else {
            self.pm + half
        };
        Self {
            pm: shifted / step.pm * step.pm,
        }
        .clamped()
    }

    fn within_range(pm: i64) -> Option<Self> {
        (-LARGEST_PM..=LARGEST_PM)
            .contains(&pm)
            .then_some(Self { pm })
    }

    fn clamped(self) -> Self {
        Self {
            pm: self.pm.clamp(-LARGEST_PM, LARGEST_PM),
        }
    }
}

impl std::ops::Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self { pm: -self.pm }
    }
}

/// Sums hold at 100 m rather than overflow.
impl std::ops::Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            pm: self.pm + other.pm,
        }
        .clamped()
    }
}

impl std::ops::Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

/// `1.250 in (31.75 mm)`.
impl std::fmt::Display for Length {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.3} in ({:.2} mm)", self.inches(), self.millimetres())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousandths_and_micrometres_are_exact() {
        assert_eq!(Length::from_tenths(10), Length { pm: 25_400_000 });
        assert_eq!(Length::from_tenths(10), "25.4um".parse().unwrap());
        assert_eq!(Length::from_micrometres(80), "0.08mm".parse().unwrap());
    }

    #[test]
    fn a_computed_length_must_be_a_number_in_range() {
        assert_eq!(Length::from_computed_micrometres(f64::NAN), None);
        assert_eq!(Length::from_computed_micrometres(f64::INFINITY), None);
        assert_eq!(Length::from_computed_micrometres(-1e300), None);
        assert_eq!(
            Length::from_computed_micrometres(-25.4),
            Some(Length::from_tenths(-10))
        );
    }

    #[test]
    fn rounds_halves_away_from_zero() {
        let step = Length::from_tenths(5);
        let rounded = |text: &str| text.parse::<Length>().unwrap().rounded_to(step);
        assert_eq!(rounded("0.75thou"), Length::from_tenths(10));
        assert_eq!(rounded("-0.75thou"), Length::from_tenths(-10));
        assert_eq!(rounded("0.74thou"), Length::from_tenths(5));
        assert_eq!(rounded("-0.2thou"), Length::ZERO);
    }

    #[test]
    fn dividing_by_no_length_is_no_number() {
        assert_eq!(Length::from_tenths(1).ratio(Length::ZERO), None);
        assert_eq!(
            Length::from_tenths(1).scaled(Length::from_tenths(1), Length::ZERO),
            None
        );
    }
}
