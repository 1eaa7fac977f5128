//! Why no starting taper can be given.

use crate::units::{Length, PerSide, Pressure};

/// Input that gives no starting taper.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StartError {
    /// A thing's size that is zero or below.
    #[error("{what} is {length}, which can't be; give it as measured, above zero")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// As given.
        length: Length,
    },
    /// The feeler went in along the whole face.
    #[error(
        "the feeler went in {depth} on a face of {length}: the face is open along its whole length, \
         which is no matter of taper; check the bored diameter, the clamping and the test piece"
    )]
    WentThrough {
        /// How far it went in.
        depth: Length,
        /// Of the face.
        length: Length,
    },
    /// So far in that the gap at the open end can't be told.
    #[error(
        "the feeler went in {depth} on a face of {length}, nearly to its other end, so that how far \
         the gap opens can't be told; take a thicker feeler, one that stops about half-way"
    )]
    TooDeep {
        /// How far it went in.
        depth: Length,
        /// Of the face.
        length: Length,
    },
    /// The feeler that did not enter is no thicker than the one that did.
    #[error(
        "the feeler that did not go in ({too_thick}) is no thicker than the one that did \
         ({thickness}); feel again, and give the thinnest that does not go in"
    )]
    FeelersContradict {
        /// That went in.
        thickness: Length,
        /// That did not.
        too_thick: Length,
    },
    /// The depth says more than the thicker feeler allows.
    #[error(
        "a gap that closes like a wedge towards the other end would open to at least {least}, yet \
         a feeler of {too_thick} did not go in: this gap is no wedge, and no taper mends it; look for \
         a chip, a burr or a step on the face, then feel again"
    )]
    NoWedge {
        /// Of the gap at the open end.
        least: Length,
        /// The feeler that did not go in.
        too_thick: Length,
    },
    /// Less than no taper.
    #[error(
        "the base stands open by {} with a taper of {} cut, which asks for less than no taper; check \
         which end is open, the jaws' seat and the test piece before cutting anything",
        .open.as_taper(), .present.as_taper()
    )]
    BelowZero {
        /// At the base.
        open: PerSide,
        /// As cut.
        present: PerSide,
    },
    /// Boring pressure above production pressure.
    #[error(
        "the boring pressure ({boring}) is above the production pressure ({production}), so the jaws \
         would need less than no taper; bore at production pressure or less"
    )]
    BoredHarder {
        /// While boring.
        boring: Pressure,
        /// In production.
        production: Pressure,
    },
    /// Pressure zero where something is stated per pressure.
    #[error("{0} is at zero pressure, which says nothing; give the pressure that it belongs to")]
    NoPressure(&'static str),
    /// A value out of its interval, or below zero.
    #[error(
        "a taper of {value} thou between {low} and {high} thou per pressure step is no compliance; \
         give zero or more, with the value between its limits"
    )]
    NoCompliance {
        /// Thousandths per side.
        value: f64,
        /// Thousandths per side.
        low: f64,
        /// Thousandths per side.
        high: f64,
    },
    /// The face does not fit on the jaw.
    #[error(
        "a face of {face} that starts {below_top} below the top does not fit on a jaw of {height}; \
         measure the height from the serrations to the top of the jaw"
    )]
    FaceTooLong {
        /// Its length.
        face: Length,
        /// From the jaw's top to the tip.
        below_top: Length,
        /// Of the jaw.
        height: Length,
    },
    /// No jaw count of a chuck.
    #[error("a chuck of {0} jaws is unknown here; give 2 to 8, and the grip force of all together")]
    Jaws(u8),
    /// A root spring that is none.
    #[error(
        "a root spring of {newton_m_per_rad} N m/rad within a factor of {factor} is none; give more than zero, and a factor of 1 or more"
    )]
    NoSpring {
        /// As given.
        newton_m_per_rad: f64,
        /// As given.
        factor: f64,
    },
    /// Beyond what a length can hold.
    #[error("the taper comes out at no sensible number; check the units of what was given")]
    NoNumber,
}
