//! Patterns as categories.

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error;

use crate::pattern::Pattern;

/// All, in the order in which they are numbered.
pub(crate) const PATTERNS: [Pattern; 11] = [
    Pattern::FullLength,
    Pattern::TipOnly,
    Pattern::BaseOnly,
    Pattern::EndsOnly,
    Pattern::MiddleOnly,
    Pattern::CentreOnly,
    Pattern::EdgesOnly,
    Pattern::OneSide,
    Pattern::HeldOff,
    Pattern::Mixed,
    Pattern::Unreadable,
];

/// The place in [`PATTERNS`].
pub(super) fn number(pattern: Pattern) -> usize {
    PATTERNS.iter().position(|p| *p == pattern).unwrap_or(0)
}

/// A pattern's word as people write it: `tip-only`, `Tip only`, `tip_only`.
pub fn pattern_of_word(text: &str) -> Option<Pattern> {
    let word = text.trim().to_lowercase().replace([' ', '_'], "-");
    let word = word.replace("center", "centre");
    let read: Result<Pattern, Error> = Pattern::deserialize(word.as_str().into_deserializer());
    read.ok()
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
    fn every_pattern_is_numbered_once_and_read_from_its_word() {
        for (at, pattern) in PATTERNS.into_iter().enumerate() {
            assert_eq!(number(pattern), at);
            let word = serde_json::to_value(pattern).expect("a word");
            assert_eq!(
                pattern_of_word(word.as_str().expect("a word")),
                Some(pattern)
            );
        }
        assert_eq!(pattern_of_word(" Tip only"), Some(Pattern::TipOnly));
        assert_eq!(pattern_of_word("CENTER_ONLY"), Some(Pattern::CentreOnly));
        for wrong in ["", "tip", "tiponly", "0", "TipOnly;"] {
            assert_eq!(pattern_of_word(wrong), None, "{wrong}");
        }
    }
}
