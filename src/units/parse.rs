//! Text → length. Decimals are read as integers, so `0.003in` is exactly three thousandths.

use std::str::FromStr;

use super::{INCH_PM, LARGEST_PM, Length, MM_PM, THOU_PM, UM_PM};
use crate::text::outside::echo;

/// Why a text is no length.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LengthError {
    /// A bare number.
    #[error("“{0}” has no unit; write for example 0.003in, 3thou, 0.08mm or 80um")]
    NoUnit(String),
    /// A unit that is not one of the four.
    #[error("“{text}”: “{unit}” is no unit of length here; use in, thou, mm or um, as in 0.003in")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// What stands in the unit's place.
        unit: String,
    },
    /// Not a plain decimal number.
    #[error(
        "“{0}” is no number; write plain digits with a point and a unit, as in 0.003in or 80um"
    )]
    NotANumber(String),
    /// Beyond 100 m.
    #[error("“{0}” is beyond 100 m; check the number and its unit")]
    TooLarge(String),
    /// Below zero where only zero or more makes sense.
    #[error("“{text}” is below zero; {remedy}")]
    Negative {
        /// What was written.
        text: String,
        /// What to do instead.
        remedy: &'static str,
    },
    /// Zero where only more makes sense.
    #[error("“{0}” is zero; give the length as measured, as in 1.25in or 32mm")]
    Zero(String),
}

/// Digits that are read at most; more say nothing at a scale of picometres.
const MOST_DIGITS: usize = 24;

/// A signed length with its unit: `0.003in`, `3 thou`, `0.08mm`, `80um`, `80µm`.
///
/// A bare number is refused, as nobody can know what it means:
///
/// ```
/// use seepline::{Length, LengthError};
///
/// assert_eq!("0.003in".parse(), Ok(Length::from_tenths(30)));
/// let refused = "0.003".parse::<Length>();
/// assert_eq!(refused, Err(LengthError::NoUnit("0.003".to_owned())));
/// ```
impl FromStr for Length {
    type Err = LengthError;

    fn from_str(text: &str) -> Result<Self, LengthError> {
        let trimmed = text.trim();
        let end = trimmed
            .find(|c: char| !is_of_number(c))
            .unwrap_or(trimmed.len());
        let (number, unit) = (&trimmed[..end], trimmed[end..].trim_start());
        // "inf" begins like "in": without a digit before it, a unit is no unit.
        if !number.contains(|c: char| c.is_ascii_digit()) {
            return Err(LengthError::NotANumber(echo(text)));
        }
        if unit.is_empty() {
            return Err(LengthError::NoUnit(echo(text)));
        }
        let unit_pm = unit_pm(unit).ok_or_else(|| LengthError::UnknownUnit {
            text: echo(text),
            unit: echo(unit),
        })?;
        decimal(number, unit_pm, text)
    }
}

impl Length {
    /// The length of a thing: above zero.
    ///
    /// # Errors
    /// As for parsing, and where it is zero or below.
    pub fn parse_positive(text: &str) -> Result<Self, LengthError> {
        let length = Self::parse_not_negative(text)?;
        if length == Self::ZERO {
            Err(LengthError::Zero(echo(text)))
        } else {
            Ok(length)
        }
    }

    /// A distance that may be nothing, such as a clearance: zero or more. A bare `0` needs no unit.
    ///
    /// # Errors
    /// As for parsing, and where it is below zero.
    pub fn parse_not_negative(text: &str) -> Result<Self, LengthError> {
        let remedy = "give it as zero or more";
        not_negative(text, remedy)
    }
}

pub(super) fn not_negative(text: &str, remedy: &'static str) -> Result<Length, LengthError> {
    // Nothing is the same in every unit.
    let length = if text.trim() == "0" {
        Length::ZERO
    } else {
        text.parse()?
    };
    if length < Length::ZERO {
        return Err(LengthError::Negative {
            text: echo(text),
            remedy,
        });
    }
    Ok(length)
}

fn is_of_number(c: char) -> bool {
    // The comma is taken along so that `0,003in` is called no number, instead of `,003in` no unit. The last one
    // is the minus of printed texts.
    c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−')
}

fn unit_pm(unit: &str) -> Option<i64> {
    match unit.to_lowercase().as_str() {
        "in" | "inch" => Some(INCH_PM),
        "thou" => Some(THOU_PM),
        "mm" => Some(MM_PM),
        // U+00B5, the micro sign, and U+03BC, the Greek letter that keyboards give instead.
        "um" | "µm" | "μm" => Some(UM_PM),
        _ => None,
    }
}

/// `number × unit`, rounded to the picometre.
fn decimal(number: &str, unit_pm: i64, text: &str) -> Result<Length, LengthError> {
    let not_a_number = || LengthError::NotANumber(echo(text));
    let (negative, digits) = match number.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, number.strip_prefix('+').unwrap_or(number)),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    if !whole
        .chars()
        .chain(fraction.chars())
        .all(|c| c.is_ascii_digit())
    {
        return Err(not_a_number());
    }
    let whole = whole.trim_start_matches('0');
    // So many digits are beyond 100 m even in micrometres; fewer, with the fraction's, fit the sum below.
    if whole.len() > MOST_DIGITS / 2 {
        return Err(LengthError::TooLarge(echo(text)));
    }
    // Of an inch the twelfth digit is a fortieth of a picometre.
    let fraction = &fraction[..fraction.len().min(MOST_DIGITS / 2)];
    let scale = 10_i128.pow(fraction.len() as u32);
    let value: i128 = format!("0{whole}{fraction}")
        .parse()
        .map_err(|_| not_a_number())?;
    let pm = (value * i128::from(unit_pm) + scale / 2) / scale;
    match i64::try_from(pm) {
        Ok(pm) if pm <= LARGEST_PM => Ok(Length {
            pm: if negative { -pm } else { pm },
        }),
        _ => Err(LengthError::TooLarge(echo(text))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(text: &str) -> Result<Length, LengthError> {
        text.parse()
    }

    #[test]
    fn every_unit_says_the_same_length() {
        let three_thou = Length::from_tenths(30);
        let same = [
            "0.003in",
            ".003 in",
            "3thou",
            " 3.0 thou ",
            "+3THOU",
            "0.0762mm",
            "76.2um",
        ];
        for text in same.into_iter().chain(["76.2 µm", "76.2μm", "0.003inch"]) {
            assert_eq!(parsed(text), Ok(three_thou), "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_refused_with_the_remedy() {
        for text in ["3", "0.003", "-1", " 3 "] {
            let error = parsed(text).unwrap_err();
            assert!(matches!(error, LengthError::NoUnit(_)), "{text}");
            assert!(error.to_string().contains("0.003in"), "{error}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        let texts = [
            "", " ", "in", "inf", "infin", "NaN", "nan mm", "-", ".mm", "1.2.3mm", "0,003in",
        ];
        for text in texts
            .into_iter()
            .chain(["--3thou", "+-3thou", "3-thou", "-mm"])
        {
            assert!(
                matches!(parsed(text), Err(LengthError::NotANumber(_))),
                "{text}"
            );
        }
    }

    #[test]
    fn other_units_and_marks_are_refused_by_name() {
        for text in ["3″", "3\"", "3 cm", "3m", "3e-3in", "3 thou per side"] {
            assert!(
                matches!(parsed(text), Err(LengthError::UnknownUnit { .. })),
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_beyond_the_range_is_refused() {
        let long = format!("{}mm", "9".repeat(400));
        for text in ["1e", "100001mm", "99999999999999999999in", &long] {
            assert!(parsed(text).is_err(), "{text}");
        }
        assert!(matches!(parsed("100001mm"), Err(LengthError::TooLarge(_))));
        assert!(matches!(parsed(&long), Err(LengthError::TooLarge(_))));
        assert!(parsed("100000mm").is_ok());
    }

    #[test]
    fn lengths_of_things_are_above_zero_and_clearances_not_below() {
        assert!(matches!(
            Length::parse_positive("0in"),
            Err(LengthError::Zero(_))
        ));
        assert!(matches!(
            Length::parse_positive("-1in"),
            Err(LengthError::Negative { .. })
        ));
        assert_eq!(Length::parse_not_negative("0"), Ok(Length::ZERO));
        assert!(matches!(
            Length::parse_not_negative("-0.1mm"),
            Err(LengthError::Negative { .. })
        ));
    }
}
