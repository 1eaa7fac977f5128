//! Patterns as categories.

use crate::reading::pattern::Pattern;

/// The place in [`Pattern::ALL`].
pub(super) fn number(pattern: Pattern) -> usize {
    Pattern::ALL.iter().position(|p| *p == pattern).unwrap_or(0)
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
