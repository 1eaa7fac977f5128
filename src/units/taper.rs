//! A taper, or a change of it, per side and on the diameter.

use super::{Length, LengthError, parse};

/// A taper or a change of it per side.
///
/// ```
/// use seepline::{Length, OnDiameter, PerSide};
///
/// let per_side = PerSide::of(Length::from_tenths(10));
/// let on_diameter = OnDiameter::of(Length::from_tenths(20));
/// assert_eq!(per_side.on_diameter(), on_diameter);
/// assert_eq!(per_side + on_diameter.per_side(), PerSide::of(Length::from_tenths(20)));
/// ```
///
/// The two never meet but by these crossings; a sum of both does not compile:
///
/// ```compile_fail,E0308
/// use seepline::{Length, OnDiameter, PerSide};
///
/// let per_side = PerSide::of(Length::from_tenths(10));
/// let on_diameter = OnDiameter::of(Length::from_tenths(20));
/// let _ = per_side + on_diameter;
/// ```
///
/// Nor does a number without a unit become one:
///
/// ```compile_fail,E0277
/// let _: seepline::PerSide = 0.003.into();
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct PerSide(Length);

/// A taper or a change of it on the diameter: twice the one per side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct OnDiameter(Length);

impl PerSide {
    /// No taper, or no change.
    pub const ZERO: Self = Self(Length::ZERO);

    /// A length that is measured per side, such as a gap under a feeler gauge.
    pub const fn of(length: Length) -> Self {
        Self(length)
    }

    /// The same, stated on the diameter: exactly twice.
    pub fn on_diameter(self) -> OnDiameter {
        OnDiameter(self.0 + self.0)
    }

    /// A taper as cut, zero or more: `0.003in`, `3thou`, `0.08mm`, `80um`.
    ///
    /// # Errors
    /// As for a [`Length`], and where it is below zero.
    pub fn parse_taper(text: &str) -> Result<Self, LengthError> {
        let remedy = "the taper is how much more material is left at the tip than at the base, per \
                      side, so give zero or more; for a face that is wider open at the tip, bore \
                      the jaws again first";
        parse::not_negative(text, remedy).map(Self)
    }

    /// A change, signed and labelled both ways:
    /// `+1.0 thou per side (+2.0 thou on the diameter; +0.025 / +0.051 mm)`.
    pub fn as_change(self) -> String {
        let both = self.on_diameter();
        format!(
            "{} thou per side ({} thou on the diameter; {} / {} mm)",
            signed(self.thou(), 1),
            signed(both.thou(), 1),
            signed(self.millimetres(), 3),
            signed(both.millimetres(), 3),
        )
    }

    /// A taper, labelled both ways: `3.0 thou per side (6.0 thou on the diameter; 0.076 / 0.152 mm)`.
    pub fn as_taper(self) -> String {
        let both = self.on_diameter();
        format!(
            "{} thou per side ({} thou on the diameter; {} / {} mm)",
            plain(self.thou(), 1),
            plain(both.thou(), 1),
            plain(self.millimetres(), 3),
            plain(both.millimetres(), 3),
        )
    }

    /// The nearest whole multiple of `step` that is not below zero.
    pub(crate) fn rounded_taper(self, step: Self) -> Self {
        self.max(Self::ZERO).rounded_to(step)
    }

    /// Below zero turned round.
    pub(crate) fn abs(self) -> Self {
        self.max(-self)
    }

    /// The nearest whole multiple of `step`.
    pub(crate) fn rounded_to(self, step: Self) -> Self {
        Self(self.0.rounded_to(step.0))
    }

    /// From a computed number of micrometres; `None` where it is no number.
    pub(crate) fn from_computed_micrometres(um: f64) -> Option<Self> {
        Length::from_computed_micrometres(um).map(Self)
    }
}

impl OnDiameter {
    /// A length that is measured on the diameter.
    pub const fn of(length: Length) -> Self {
        Self(length)
    }

    /// The same, stated per side: half, an odd picometre dropped.
    pub fn per_side(self) -> PerSide {
        PerSide(self.0.half())
    }

    /// Signed and labelled: `+6.3 thou on the diameter (+0.160 mm)`.
    pub fn as_change(self) -> String {
        let (thou, mm) = (signed(self.thou(), 1), signed(self.millimetres(), 3));
        format!("{thou} thou on the diameter ({mm} mm)")
    }
}

/// With its sign; zero, and what rounds to it, has none.
fn signed(value: f64, decimals: usize) -> String {
    // A plus before what prints as zero would read as a direction.
    let text = plain(value, decimals);
    if value > 0.0 && text != plain(0.0, decimals) {
        format!("+{text}")
    } else {
        text
    }
}

fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        // “-0.0” would read as a direction.
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

/// What both are alike in; nothing here takes one for the other.
macro_rules! alike {
    ($of:ident) => {
        impl $of {
            /// The length itself.
            pub const fn length(self) -> Length {
                self.0
            }

            /// In thousandths of an inch.
            pub fn thou(self) -> f64 {
                self.0.thou()
            }

            /// In micrometres.
            pub fn micrometres(self) -> f64 {
                self.0.micrometres()
            }

            /// In millimetres.
            pub fn millimetres(self) -> f64 {
                self.0.millimetres()
            }
        }

        impl std::ops::Neg for $of {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Add for $of {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $of {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
    };
}
alike!(PerSide);
alike!(OnDiameter);

#[cfg(test)]
mod tests {
    use super::*;

    fn thou_tenths(tenths: i32) -> PerSide {
        PerSide::of(Length::from_tenths(tenths))
    }

    #[test]
    fn a_change_is_signed_and_labelled_both_ways() {
        let expected = "+1.0 thou per side (+2.0 thou on the diameter; +0.025 / +0.051 mm)";
        assert_eq!(thou_tenths(10).as_change(), expected);
        let expected = "-1.5 thou per side (-3.0 thou on the diameter; -0.038 / -0.076 mm)";
        assert_eq!(thou_tenths(-15).as_change(), expected);
    }

    #[test]
    fn no_change_has_no_sign() {
        let expected = "0.0 thou per side (0.0 thou on the diameter; 0.000 / 0.000 mm)";
        assert_eq!(PerSide::ZERO.as_change(), expected);
        let hair = PerSide::from_computed_micrometres(-0.001).unwrap();
        assert_eq!(hair.as_change(), expected);
    }

    #[test]
    fn a_taper_has_no_sign() {
        let expected = "3.0 thou per side (6.0 thou on the diameter; 0.076 / 0.152 mm)";
        assert_eq!(thou_tenths(30).as_taper(), expected);
    }

    #[test]
    fn a_taper_below_zero_is_refused_with_the_remedy() {
        let error = PerSide::parse_taper("-0.003in").unwrap_err();
        assert!(error.to_string().contains("zero or more"), "{error}");
        assert_eq!(PerSide::parse_taper("0.003in"), Ok(thou_tenths(30)));
        assert!(PerSide::parse_taper("3").is_err());
    }

    #[test]
    fn there_and_back_is_the_same() {
        let t = thou_tenths(-25);
        assert_eq!(t.on_diameter().per_side(), t);
        assert_eq!(t.on_diameter().length(), Length::from_tenths(-50));
    }
}
