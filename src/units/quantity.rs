//! A number and its unit, as text.

/// Longest piece of a text that a message repeats.
const SHOWN: usize = 40;

/// What may be wrong with a quantity's text, besides its range.
pub(super) enum Fault {
    NotANumber,
    NoUnit,
    UnknownUnit,
}

/// The number and how much its unit is, for example in millipascals; `unit_is` takes the unit in lower
/// case.
pub(super) fn parse(text: &str, unit_is: impl Fn(&str) -> Option<f64>) -> Result<f64, Fault> {
    let text = text.trim();
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let end = text.find(|c| !of_number(c)).unwrap_or(text.len());
    let (number, unit) = (&text[..end], text[end..].trim_start());
    let value: f64 = number.parse().map_err(|_| Fault::NotANumber)?;
    if unit.is_empty() {
        return Err(Fault::NoUnit);
    }
    let size = unit_is(&unit.to_lowercase()).ok_or(Fault::UnknownUnit)?;
    Ok((value * size).round())
}

/// The beginning of a text, for messages.
pub(super) fn shown(text: &str) -> String {
    text.chars().take(SHOWN).collect()
}
