//! What is a slip of the pen rather than a jaw.

use crate::units::{Length, PerSide};

/// Tapers beyond 50 thousandths of an inch are a slip of the unit: jaws are bored with a few of them
/// over one grip length (assumption).
pub(crate) const LARGEST_TAPER: PerSide = PerSide::of(Length::from_tenths(500));
/// No face is shorter than 2 mm or longer than 500 mm (assumption).
pub(crate) const SHORTEST_FACE: Length = Length::from_micrometres(2_000);
/// See [`SHORTEST_FACE`].
pub(crate) const LONGEST_FACE: Length = Length::from_micrometres(500_000);
