//! Lengths as the reports print them.

use serde::Serialize;

use crate::units::{Length, OnDiameter, PerSide};

/// A taper, or a change of it, in JSON: both ways of stating it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct BothWays {
    per_side_thou: f64,
    on_diameter_thou: f64,
    per_side_um: f64,
    on_diameter_um: f64,
}

impl From<PerSide> for BothWays {
    fn from(taper: PerSide) -> Self {
        let (per_side, on_diameter) = (Amount::from(taper), Amount::from(taper.on_diameter()));
        Self {
            per_side_thou: per_side.thou,
            on_diameter_thou: on_diameter.thou,
            per_side_um: per_side.um,
            on_diameter_um: on_diameter.um,
        }
    }
}

/// A length in the units that outputs state, rounded to what means something: thousandths of an inch
/// to 0.01, micrometres to 0.1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Amount {
    pub(crate) thou: f64,
    pub(crate) um: f64,
}

impl From<Length> for Amount {
    fn from(length: Length) -> Self {
        Self {
            thou: round(length.thou(), 100.0),
            um: round(length.micrometres(), 10.0),
        }
    }
}

impl From<PerSide> for Amount {
    fn from(taper: PerSide) -> Self {
        taper.length().into()
    }
}

impl From<OnDiameter> for Amount {
    fn from(taper: OnDiameter) -> Self {
        taper.length().into()
    }
}

/// Never “-0”, which would read as a direction.
fn round(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit + 0.0
}

impl Amount {
    /// Thousandths with one digit after the point, or two where they matter; signed unless zero.
    pub(crate) fn signed_thou(self) -> String {
        self.signed(self.digits())
    }

    /// `-3.40 to -1.08`: thousandths, signed unless zero, both with as many digits.
    pub(crate) fn thou_to(self, high: Self) -> String {
        let digits = self.digits().max(high.digits());
        format!("{} to {}", self.signed(digits), high.signed(digits))
    }

    fn signed(self, digits: usize) -> String {
        let plus = if self.thou > 0.0 { "+" } else { "" };
        format!("{plus}{:.digits$}", self.thou)
    }

    /// Thousandths without a plus sign.
    pub(crate) fn thou_text(self) -> String {
        let digits = self.digits();
        format!("{:.digits$}", self.thou)
    }

    /// After the point.
    fn digits(self) -> usize {
        let tenths = self.thou * 10.0;
        let whole = (tenths - tenths.round()).abs() < 1e-6;
        if whole { 1 } else { 2 }
    }

    /// `-0.0010 in, -0.025 mm`; signed unless zero.
    pub(crate) fn signed_in_mm(self) -> String {
        let plus = if self.thou > 0.0 { "+" } else { "" };
        format!("{plus}{:.4} in, {plus}{:.3} mm", self.inches(), self.mm())
    }

    /// `-0.025`, in millimetres; signed unless zero.
    pub(crate) fn signed_mm(self) -> String {
        let plus = if self.mm() > 0.0 { "+" } else { "" };
        format!("{plus}{:.3}", self.mm())
    }

    /// `0.0030 in (0.076 mm)`.
    pub(crate) fn in_mm(self) -> String {
        format!("{:.4} in ({:.3} mm)", self.inches(), self.mm())
    }

    fn inches(self) -> f64 {
        self.thou / 1000.0 + 0.0
    }

    fn mm(self) -> f64 {
        round(self.um / 1000.0, 1000.0)
    }
}

/// A range in thousandths, per side and on the diameter.
pub(crate) fn likely_thou(low: PerSide, high: PerSide) -> [String; 2] {
    [
        Amount::from(low).thou_to(high.into()),
        Amount::from(low.on_diameter()).thou_to(high.on_diameter().into()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thou(text: &str) -> Amount {
        text.parse::<Length>().expect("a length").into()
    }

    // 1 in = 25.4 mm exactly (international yard and pound agreement of 1959; NIST SP 811, appendix B.8).
    #[test]
    fn a_thousandth_of_an_inch_is_25_4_micrometres() {
        let amount = Amount::from(Length::from_tenths(-10));
        assert_eq!(
            amount,
            Amount {
                thou: -1.0,
                um: -25.4
            }
        );
        assert_eq!(amount.signed_thou(), "-1.0");
        assert_eq!(amount.signed_in_mm(), "-0.0010 in, -0.025 mm");
    }

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        let amount = thou("-0.001thou");
        assert_eq!(amount.signed_thou(), "0.0");
        assert_eq!(amount.signed_in_mm(), "0.0000 in, 0.000 mm");
    }

    #[test]
    fn both_ends_of_a_range_have_as_many_digits() {
        assert_eq!(
            thou("-3.4thou").thou_to(thou("-1.08thou")),
            "-3.40 to -1.08"
        );
        assert_eq!(thou("-1thou").thou_to(thou("0.5thou")), "-1.0 to +0.5");
    }

    #[test]
    fn quarters_keep_their_second_digit() {
        assert_eq!(thou("0.25thou").signed_thou(), "+0.25");
        assert_eq!(thou("0.5thou").signed_thou(), "+0.5");
    }
}
