//! A change of taper as people write it on a sheet.

use crate::agreement::{TaperWay, direction};
use crate::pattern::Pattern;
use crate::units::{Length, PerSide};

/// Changes beyond 50 thousandths of an inch are a slip of the unit (assumption, as for tapers).
const LARGEST: Length = Length::from_tenths(500);

/// A signed change per side with its unit: `-1thou`, `+0.02mm`; `minus 1 thou` and `plus …` too, since a
/// spreadsheet takes a leading sign for a formula. `0` is none. Nothing written is `None`.
///
/// # Errors
/// Without a sign or a unit, or beyond what any jaw is cut to: what is wrong and what to write.
pub(crate) fn parse(text: &str) -> Result<Option<PerSide>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    if text == "0" {
        return Ok(Some(PerSide::ZERO));
    }
    let lower = text.to_lowercase();
    let plain = match (lower.strip_prefix("minus"), lower.strip_prefix("plus")) {
        (Some(rest), _) => format!("-{}", rest.trim_start()),
        (_, Some(rest)) => format!("+{}", rest.trim_start()),
        _ => text.to_owned(),
    };
    let length: Length = plain.parse().map_err(|e| format!("{e}"))?;
    if !plain.starts_with(['+', '-', '−']) && length != Length::ZERO {
        let shown: String = text.chars().take(40).collect();
        return Err(format!(
            "“{shown}” has no sign; write -1thou (or minus 1thou) to take taper off, +1thou to add it"
        ));
    }
    if length > LARGEST || -length > LARGEST {
        let shown: String = text.chars().take(40).collect();
        return Err(format!(
            "“{shown}” is more than any jaw is cut to; check the unit (in, thou, mm, um)"
        ));
    }
    Ok(Some(PerSide::of(length)))
}

/// What is wrong where the pattern asks for one way and the change cuts the other.
pub(crate) fn contradiction(pattern: Pattern, change: Option<PerSide>) -> Option<&'static str> {
    let change = change?;
    match direction(pattern) {
        TaperWay::Less if change > PerSide::ZERO => Some(
            "tip-only asks for less taper, and the change adds: one of the two is the wrong way round",
        ),
        TaperWay::More if change < PerSide::ZERO => Some(
            "base-only asks for more taper, and the change takes off: one of the two is the wrong way round",
        ),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thou(tenths: i32) -> PerSide {
        PerSide::of(Length::from_tenths(tenths))
    }

    #[test]
    fn a_change_has_a_sign_and_a_unit() {
        for text in [
            "-1thou",
            "−1 thou",
            "minus 1thou",
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
        assert_eq!(parse("  "), Ok(None));
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
