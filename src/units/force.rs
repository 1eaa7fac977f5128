//! Grip force, as a chuck's rating states it.

use std::str::FromStr;

use super::quantity::{self, Fault};
use crate::text::outside::echo;

/// Millinewtons in a newton and in a kilonewton.
const N_MN: f64 = 1e3;
const KN_MN: f64 = 1e6;
/// Millinewtons in a pound-force: 4.448 221 615 260 5 N exactly (NIST SP 811, appendix B.8).
const LBF_MN: f64 = 4_448.221_615_260_5;
/// 5000 kN, beyond any lathe chuck (assumption).
const LARGEST_MN: f64 = 5000.0 * KN_MN;

/// A force, above zero to 5000 kN; whole millinewtons inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Force {
    millinewtons: i64,
}

/// Why a text is no grip force.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ForceError {
    /// A bare number.
    #[error("“{0}” has no unit; write for example 90kN, 90000N or 20000lbf")]
    NoUnit(String),
    /// A unit that is not one of the three.
    #[error("“{0}” has no unit of force known here; use N, kN or lbf, as in 90kN")]
    UnknownUnit(String),
    /// Not a plain decimal number.
    #[error("“{0}” is no force; write plain digits with a point and a unit, as in 90kN or 22.5kN")]
    NotANumber(String),
    /// Zero or below, or beyond 5000 kN.
    #[error(
        "“{0}” is no chuck's grip force; give more than 0 and at most 5000 kN, and check the unit"
    )]
    OutOfRange(String),
}

impl Force {
    /// In newtons.
    pub fn newtons(self) -> f64 {
        self.millinewtons as f64 / N_MN
    }

    /// In kilonewtons.
    pub fn kilonewtons(self) -> f64 {
        self.millinewtons as f64 / KN_MN
    }

    /// In pounds-force.
    pub fn pounds_force(self) -> f64 {
        self.millinewtons as f64 / LBF_MN
    }

    /// The exact value with its unit, for files: [`FromStr`] gives the same force back.
    pub fn exact(self) -> String {
        quantity::exact(self.millinewtons, 3, "N")
    }
}

/// `90.0 kN (20233 lbf)`.
impl std::fmt::Display for Force {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:.1} kN ({:.0} lbf)",
            self.kilonewtons(),
            self.pounds_force()
        )
    }
}

/// `90kN`, `90000 N`, `20000 lbf`.
impl FromStr for Force {
    type Err = ForceError;

    fn from_str(text: &str) -> Result<Self, ForceError> {
        let millinewtons = quantity::parse(text, |unit| match unit {
            "n" => Some(N_MN),
            "kn" => Some(KN_MN),
            "lbf" => Some(LBF_MN),
            _ => None,
        })
        .map_err(|fault| match fault {
            Fault::NotANumber => ForceError::NotANumber(echo(text)),
            Fault::NoUnit => ForceError::NoUnit(echo(text)),
            Fault::UnknownUnit => ForceError::UnknownUnit(echo(text)),
        })?;
        // Less than a millinewton would be held as none, and a rating of none says nothing.
        if (1.0..=LARGEST_MN).contains(&millinewtons) {
            Ok(Self {
                millinewtons: millinewtons as i64,
            })
        } else {
            Err(ForceError::OutOfRange(echo(text)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 lbf = 4.448 221 615 260 5 N (NIST SP 811, appendix B.8).
    #[test]
    fn a_pound_force_is_4_448_newtons() {
        let force: Force = "1000 lbf".parse().unwrap();
        assert!((force.newtons() - 4_448.221_615).abs() < 0.001);
        assert_eq!(force.to_string(), "4.4 kN (1000 lbf)");
        assert_eq!(force.exact().parse(), Ok(force));
        assert_eq!("90kN".parse::<Force>(), "90000N".parse());
    }

    #[test]
    fn what_is_no_force_is_refused_with_the_remedy() {
        let error = |text: &str| text.parse::<Force>().unwrap_err().to_string();
        assert!(error("90").contains("no unit"));
        assert!(error("90 kgf").contains("use N, kN or lbf"));
        for text in ["0kN", "-1kN", "5001kN", "0.0001N"] {
            assert!(error(text).contains("more than 0"), "{text}");
        }
        for text in ["", "kN", "NaN kN", "1.2.3kN", "22,5kN"] {
            assert!(error(text).contains("plain digits"), "{text}");
        }
    }
}
