//! A number and its unit, as text.

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
    // No letters, so that `nan` and `inf`, which the parser would take, never reach it. The comma is taken along so
    // that `0,5bar` is called no number, instead of `,5bar` no unit. The last one is the minus of printed texts.
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '−');
    let end = text.find(|c| !of_number(c)).unwrap_or(text.len());
    let (number, unit) = (&text[..end], text[end..].trim_start());
    let value: f64 = number
        .replace('−', "-")
        .parse()
        .map_err(|_| Fault::NotANumber)?;
    if unit.is_empty() {
        return Err(Fault::NoUnit);
    }
    let size = unit_is(&unit.to_lowercase()).ok_or(Fault::UnknownUnit)?;
    // To whole parts, of which `exact` writes all digits: a file gives back the same value.
    Ok((value * size).round())
}

/// `count` parts, of which ten to the power of `places` make one `unit`, in that unit: all digits that there
/// are and no more.
pub(super) fn exact(count: i64, places: u32, unit: &str) -> String {
    let (sign, count) = (if count < 0 { "-" } else { "" }, count.abs());
    let (whole, part) = (count / 10_i64.pow(places), count % 10_i64.pow(places));
    let text = format!("{sign}{whole}.{part:0width$}", width = places as usize);
    format!("{}{unit}", text.trim_end_matches('0').trim_end_matches('.'))
}
