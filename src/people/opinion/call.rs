//! A pattern and what it asks for, said by somebody before the reading is shown.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::change::{CalledChange, LARGEST};
use super::person::Person;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::taper::rules::name;
use crate::text::outside::echo;

/// What somebody says of a check or a photo. Made by [`Call::new`], so that pattern and change can stand
/// together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Call {
    /// Of the check as a whole.
    pub pattern: Pattern,
    /// What it asks for.
    pub change: CalledChange,
    /// Who.
    pub by: Person,
    /// When it was said.
    pub at: DateTime,
}

/// Why pattern and change are no call.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CallError {
    /// No pattern of that name.
    #[error("“{name}” is no pattern; it is one of {}", all_patterns())]
    UnknownPattern {
        /// What was written.
        name: String,
    },
    /// A photo that cannot be judged says nothing about the taper.
    #[error(
        "what is unreadable says nothing about the taper, so it can't ask for a change; give --change \
         none, or the pattern that you see"
    )]
    UnreadableWithChange,
    /// More than any jaw is cut to.
    #[error("{0} is more than 0.05 in per side, more than any jaw is cut to; check the unit")]
    TooLarge(String),
}

impl Call {
    /// Pattern and change together. A pattern with a change that it never asks for is a call, too: it is
    /// what there is to learn from. Patterns that are no matter of taper, and are called with the taper to
    /// be left, ask for no change now; a taper that is right is left.
    ///
    /// # Errors
    /// Where the two cannot stand together.
    pub fn new(
        pattern: Pattern,
        change: CalledChange,
        by: Person,
        at: DateTime,
    ) -> Result<Self, CallError> {
        let change = match (pattern, change) {
            // What is kept must be taken back as it was typed, and there it is refused.
            (_, CalledChange::Change(by)) if by.abs() > LARGEST => {
                return Err(CallError::TooLarge(by.as_change()));
            }
            (Pattern::Unreadable, CalledChange::Change(_)) => {
                return Err(CallError::UnreadableWithChange);
            }
            // “No change” of jaws that grip can only mean to leave them; kept apart, it would be compared
            // as another answer.
            (Pattern::FullLength, CalledChange::NoChange) => CalledChange::Leave,
            // These let nobody run the jaws as they are, so “leave” speaks of the taper alone.
            (pattern, CalledChange::Leave) if !is_taper(pattern) => CalledChange::NoChange,
            (_, change) => change,
        };
        Ok(Self {
            pattern,
            change,
            by,
            at,
        })
    }

    /// In words: `AB: tip-only, take off: -1.0 thou per side (…)`.
    pub fn in_words(&self) -> String {
        format!(
            "{}: {}, {}",
            self.by,
            name(self.pattern),
            self.change.in_words()
        )
    }
}

/// The pattern of that name, in whatever case and with blanks for dashes.
///
/// # Errors
/// Where there is none, with all that there are.
pub(crate) fn pattern_called(text: &str) -> Result<Pattern, CallError> {
    let words: Vec<String> = text
        .split(|c: char| c.is_whitespace() || matches!(c, '-' | '_'))
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    // The names are spelled the British way; both spellings are typed.
    let plain = words.join("-").replace("center", "centre");
    let found = Pattern::ALL.into_iter().find(|p| name(*p) == plain);
    found.ok_or_else(|| CallError::UnknownPattern { name: echo(text) })
}

/// All names, as they are typed.
pub(crate) fn all_patterns() -> String {
    Pattern::ALL.map(name).join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Length, PerSide};

    fn call(pattern: Pattern, change: CalledChange) -> Result<CalledChange, CallError> {
        let (by, at) = (
            Person::parse("AB").unwrap(),
            jiff::civil::date(2026, 3, 4).at(1, 0, 0, 0),
        );
        Call::new(pattern, change, by, at).map(|c| c.change)
    }

    #[test]
    fn a_pattern_is_known_however_it_is_typed() {
        for text in ["tip-only", "Tip only", " TIP_ONLY "] {
            assert_eq!(pattern_called(text), Ok(Pattern::TipOnly), "{text}");
        }
        assert_eq!(pattern_called("center-only"), Ok(Pattern::CentreOnly));
        let error = pattern_called("tips").unwrap_err().to_string();
        for pattern in Pattern::ALL {
            assert!(error.contains(&name(pattern)), "{error}");
        }
    }

    #[test]
    fn only_what_cannot_stand_together_is_refused() {
        let more = CalledChange::Change(PerSide::of(Length::from_tenths(10)));
        // Mistakes to learn from.
        assert_eq!(call(Pattern::TipOnly, more), Ok(more));
        assert_eq!(call(Pattern::EdgesOnly, more), Ok(more));
        assert_eq!(call(Pattern::FullLength, more), Ok(more));
        assert!(call(Pattern::Unreadable, more).is_err());
        let slip = PerSide::of(Length::from_tenths(501));
        for slip in [slip, -slip].map(CalledChange::Change) {
            assert!(matches!(
                call(Pattern::TipOnly, slip),
                Err(CallError::TooLarge(_))
            ));
        }
        let (leave, none) = (CalledChange::Leave, CalledChange::NoChange);
        assert_eq!(call(Pattern::FullLength, none), Ok(leave));
        assert_eq!(call(Pattern::EdgesOnly, leave), Ok(none));
        assert_eq!(call(Pattern::TipOnly, leave), Ok(leave));
    }
}
