//! Which way a pattern asks the taper to go.

use super::Pattern;

/// Which way the taper is to go, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    /// Take taper off.
    Less,
    /// Leave it, or mend something else first.
    None,
    /// Add taper.
    More,
}

impl Direction {
    /// Whether the two would cut opposite ways.
    pub fn opposes(self, other: Self) -> bool {
        matches!(
            (self, other),
            (Self::Less, Self::More) | (Self::More, Self::Less)
        )
    }
}

/// Only tip-only and base-only ask for a change of taper.
pub(crate) fn direction(pattern: Pattern) -> Direction {
    match pattern {
        Pattern::TipOnly => Direction::Less,
        Pattern::BaseOnly => Direction::More,
        _ => Direction::None,
    }
}

/// The patterns that are a matter of taper.
pub(crate) fn is_taper(pattern: Pattern) -> bool {
    matches!(
        pattern,
        Pattern::FullLength | Pattern::TipOnly | Pattern::BaseOnly
    )
}
