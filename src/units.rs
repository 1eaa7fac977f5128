//! Lengths, and the two ways of stating a taper, kept apart by type.

/// A length; whole picometres inside, so that thousandths of an inch and micrometres are exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Length {
    pm: i64,
}

/// Why a text is no length.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LengthError {
    /// A bare number.
    #[error("“{0}” has no unit; write for example 0.003in, 3thou, 0.08mm or 80um")]
    NoUnit(String),
}

/// A taper or a change of it per side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PerSide(Length);

/// A taper or a change of it on the diameter: twice the one per side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OnDiameter(Length);
