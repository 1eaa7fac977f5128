//! Patterns as categories.

use crate::pattern::Pattern;

/// The place in [`Pattern::ALL`].
pub(super) fn number(pattern: Pattern) -> usize {
    Pattern::ALL.iter().position(|p| *p == pattern).unwrap_or(0)
}

/// What a pattern asks of the taper, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TaperWay {
    /// Take taper off.
    Less,
    /// Leave it, or mend something else first.
    NoChange,
    /// Add taper.
    More,
}

impl TaperWay {
    /// Whether the two would cut opposite ways.
    pub fn opposes(self, other: Self) -> bool {
        matches!(
            (self, other),
            (Self::Less, Self::More) | (Self::More, Self::Less)
        )
    }
}

/// Only tip-only and base-only ask for a change of taper.
pub fn direction(pattern: Pattern) -> TaperWay {
    match pattern {
        Pattern::TipOnly => TaperWay::Less,
        Pattern::BaseOnly => TaperWay::More,
        _ => TaperWay::NoChange,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_is_numbered_once() {
        for (at, pattern) in Pattern::ALL.into_iter().enumerate() {
            assert_eq!(number(pattern), at);
        }
    }
}
