//! The chuck's hydraulic or air pressure.

use std::str::FromStr;

use super::quantity::{self, Fault};
use crate::text::outside::echo;

/// Millipascals in one pound-force per square inch: 6894.757 293 168 Pa (NIST SP 811, appendix B.8),
/// rounded; the rounding is 0.03 mPa.
const PSI_MPA: i64 = 6_894_757;
/// Millipascals in a bar.
const BAR_MPA: i64 = 100_000_000;
/// Millipascals in a kilopascal.
const KPA_MPA: i64 = 1_000_000;
/// Millipascals in a megapascal.
const MEGA_MPA: i64 = 1_000_000_000;
/// 1000 bar, beyond any chuck's cylinder (assumption).
const LARGEST_MPA: i64 = 1000 * BAR_MPA;
/// A chuck's gauge is set and read to about one part in this many of what it shows (assumption; class 1.0 of EN 837-1
/// allows 1 % of the span, from memory).
const GAUGE_PARTS: i64 = 100;

/// A gauge pressure, zero to 1000 bar; whole millipascals inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pressure {
    millipascals: i64,
}

/// Why a text is no pressure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PressureError {
    /// A bare number.
    #[error("“{0}” has no unit; write for example 300psi, 20bar or 2MPa")]
    NoUnit(String),
    /// A unit that is not one of the four.
    #[error("“{0}” has no unit of pressure known here; use psi, bar, kPa or MPa, as in 300psi")]
    UnknownUnit(String),
    /// Not a plain decimal number.
    #[error(
        "“{0}” is no pressure; write plain digits with a point and a unit, as in 300psi or 2.5bar"
    )]
    NotANumber(String),
    /// Below zero or beyond 1000 bar.
    #[error("“{0}” is no chuck's pressure; give 0 to 1000 bar, and check the unit")]
    OutOfRange(String),
}

impl Pressure {
    /// In pascals.
    pub fn pascals(self) -> f64 {
        self.millipascals as f64 / 1e3
    }

    /// In pounds-force per square inch.
    pub fn psi(self) -> f64 {
        self.millipascals as f64 / PSI_MPA as f64
    }

    /// In bar.
    pub fn bar(self) -> f64 {
        self.millipascals as f64 / BAR_MPA as f64
    }

    /// Whether both are the same, as far as a gauge tells: within 1 % of the larger.
    pub(crate) fn is_same_as(self, other: Self) -> bool {
        // In whole numbers, so that exactly 1 % is the same whichever comes first; two of zero are alike.
        let apart = (self.millipascals - other.millipascals).abs();
        apart * GAUGE_PARTS <= self.max(other).millipascals
    }

    /// What a gauge tells no more, in pascals: see [`Self::is_same_as`].
    pub(crate) fn read_to_pascals(self) -> f64 {
        self.pascals() / GAUGE_PARTS as f64
    }

    /// By how much it is above `lower`; `None` where it is below.
    pub fn rise_from(self, lower: Self) -> Option<Self> {
        (self >= lower).then(|| Self {
            millipascals: self.millipascals - lower.millipascals,
        })
    }

    /// Pressure ÷ pressure is a bare number; `None` where the divisor is zero.
    pub fn ratio(self, divisor: Self) -> Option<f64> {
        (divisor.millipascals != 0).then(|| self.millipascals as f64 / divisor.millipascals as f64)
    }

    /// The exact value with its unit, for files: [`FromStr`] gives the same pressure back.
    pub fn exact(self) -> String {
        quantity::exact(self.millipascals, 6, "kPa")
    }
}

/// `300 psi (20.7 bar)`.
impl std::fmt::Display for Pressure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.0} psi ({:.1} bar)", self.psi(), self.bar())
    }
}

/// `300psi`, `20 bar`, `2MPa`, `2000kPa`.
impl FromStr for Pressure {
    type Err = PressureError;

    fn from_str(text: &str) -> Result<Self, PressureError> {
        let millipascals = quantity::parse(text, |unit| match unit {
            "psi" => Some(PSI_MPA as f64),
            "bar" => Some(BAR_MPA as f64),
            "kpa" => Some(KPA_MPA as f64),
            "mpa" => Some(MEGA_MPA as f64),
            _ => None,
        })
        .map_err(|fault| match fault {
            Fault::NotANumber => PressureError::NotANumber(echo(text)),
            Fault::NoUnit => PressureError::NoUnit(echo(text)),
            Fault::UnknownUnit => PressureError::UnknownUnit(echo(text)),
        })?;
        if (0.0..=LARGEST_MPA as f64).contains(&millipascals) {
            Ok(Self {
                millipascals: millipascals as i64,
            })
        } else {
            Err(PressureError::OutOfRange(echo(text)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressures_keep_their_unit_exactly() {
        let p: Pressure = "300 psi".parse().unwrap();
        assert_eq!(p.exact().parse(), Ok(p));
        assert_eq!(p.to_string(), "300 psi (20.7 bar)");
        assert_eq!("2MPa".parse::<Pressure>(), "20bar".parse());
    }

    #[test]
    fn a_gauge_tells_pressures_apart_from_one_percent_on() {
        let p = |text: &str| text.parse::<Pressure>().unwrap();
        for (a, b, same) in [
            ("300psi", "297psi", true),
            ("300psi", "296psi", false),
            ("30psi", "29psi", false),
            ("0bar", "0psi", true),
            ("0bar", "1kPa", false),
        ] {
            assert_eq!(p(a).is_same_as(p(b)), same, "{a} {b}");
            assert_eq!(p(b).is_same_as(p(a)), same, "{b} {a}");
        }
        assert!((p("20bar").read_to_pascals() - 20_000.0).abs() < 1e-9);
    }

    #[test]
    fn a_rise_is_never_below_zero() {
        let [low, high]: [Pressure; 2] = ["100psi", "300psi"].map(|p| p.parse().unwrap());
        let rise = high.rise_from(low).unwrap();
        assert!((rise.ratio(low).unwrap() - 2.0).abs() < 1e-9);
        assert_eq!(low.rise_from(high), None);
        assert_eq!(rise.ratio(low.rise_from(low).unwrap()), None);
    }

    #[test]
    fn what_is_no_pressure_is_refused_with_the_remedy() {
        let error = |text: &str| text.parse::<Pressure>().unwrap_err().to_string();
        assert!(error("300").contains("no unit"));
        assert!(error("300 torr").contains("use psi"));
        for minus in ["-1bar", "−1bar"] {
            assert!(error(minus).contains("0 to 1000 bar"));
        }
        assert!(error("1e9bar").contains("no unit of pressure"));
        assert!(error("").contains("no pressure"));
        assert!(error("0,5bar").contains("with a point"));
        assert!(error("NaNpsi").contains("no pressure"));
    }
}
