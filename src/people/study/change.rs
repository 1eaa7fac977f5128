//! A change of taper as people write it on a sheet.

use crate::people::opinion::{CalledChange, ChangeError};
use crate::reading::pattern::{Direction, Pattern, direction};
use crate::units::PerSide;

/// A change as [`CalledChange`] reads it, per side; zero to leave the taper. Nothing written and no change
/// now are `None`.
///
/// # Errors
/// Where it is none: what is wrong and what to write into a cell.
pub(crate) fn parse(text: &str) -> Result<Option<PerSide>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    match text.parse::<CalledChange>() {
        Ok(change) => Ok(change.per_side()),
        // A spreadsheet takes a leading sign for a formula, so the cell has words for it, too.
        Err(ChangeError::NoDirection(shown)) => Err(format!(
            "“{shown}” has no sign; write -1thou (or minus 1thou) to take taper off, +1thou to add it"
        )),
        Err(error) => Err(error.to_string()),
    }
}

/// What is wrong where the pattern asks for one way and the change cuts the other.
pub(crate) fn contradiction(pattern: Pattern, change: Option<PerSide>) -> Option<&'static str> {
    let change = change?;
    match direction(pattern) {
        Direction::Less if change > PerSide::ZERO => Some(
            "tip-only asks for less taper, and the change adds: one of the two is the wrong way round",
        ),
        Direction::More if change < PerSide::ZERO => Some(
            "base-only asks for more taper, and the change takes off: one of the two is the wrong way round",
        ),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn thou(tenths: i32) -> PerSide {
        PerSide::of(Length::from_tenths(tenths))
    }

    #[test]
    fn a_change_has_a_sign_and_a_unit() {
        for text in [
            "-1thou",
            "−1 thou",
            "minus 1thou",
            "minus1thou",
            "Minus 0.001in",
            " -0.0254mm",
            "-25.4um",
        ] {
            assert_eq!(parse(text), Ok(Some(thou(-10))), "{text}");
        }
        assert_eq!(parse("+1thou"), Ok(Some(thou(10))));
        assert_eq!(parse("plus 0.5 thou"), Ok(Some(thou(5))));
        assert_eq!(parse("0"), Ok(Some(thou(0))));
        assert_eq!(parse("0in"), Ok(Some(thou(0))));
        for text in ["  ", "none", "mend first"] {
            assert_eq!(parse(text), Ok(None), "{text}");
        }
        for (text, says) in [
            ("1thou", "no sign"),
            ("-1", "no unit"),
            ("-1 cm", "unit"),
            ("+1in", "more than any jaw"),
            ("-1in", "more than any jaw"),
            ("a bit", "no number"),
            ("minus", "no number"),
            ("--1thou", "no number"),
        ] {
            let said = parse(text).expect_err(text);
            assert!(said.contains(says), "{text}: {said}");
        }
    }

    #[test]
    fn a_change_against_its_pattern_is_told() {
        let less = Some(thou(-10));
        let more = Some(thou(10));
        assert!(contradiction(Pattern::TipOnly, more).is_some());
        assert!(contradiction(Pattern::BaseOnly, less).is_some());
        assert_eq!(contradiction(Pattern::TipOnly, less), None);
        assert_eq!(contradiction(Pattern::OneSide, less), None);
        assert_eq!(contradiction(Pattern::TipOnly, None), None);
    }
}
