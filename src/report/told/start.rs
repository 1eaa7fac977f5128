//! The first taper.

use super::{Figure, Told};
use crate::taper::start::{StartFrom, StartingTaper};
use crate::units::amount::Amount;
use crate::units::{Length, PerSide};

impl<'a> From<&'a StartingTaper> for Told<'a> {
    fn from(start: &'a StartingTaper) -> Self {
        Self {
            headline: headline(start.from),
            cut: Some([
                figure("Cut per side", start.taper.length()),
                figure("Cut on diameter", start.taper.on_diameter().length()),
            ]),
            numbers: Vec::new(),
            range: Some(range(start)),
            why: &[],
            not_known: Vec::new(),
            sum: start
                .arithmetic
                .iter()
                .cloned()
                .chain([rounded(start)])
                .collect(),
            assumed: &start.assumed,
            what_to_do: &start.what_to_do,
            warnings: &[],
            cautions: &start.cautions,
        }
    }
}

fn headline(from: StartFrom) -> &'static str {
    match from {
        StartFrom::Feeler => "FIRST TAPER, from the feeler gauge",
        StartFrom::Compliance => "FIRST TAPER, from what earlier checks have shown",
        StartFrom::Geometry => "FIRST TAPER, A ROUGH ESTIMATE from the jaw's geometry",
    }
}

fn figure(label: &'static str, length: Length) -> Figure {
    Figure {
        label,
        thou: Amount::from(length).thou_text(),
        behind: format!(
            "thou  ({:.4} in, {:.3} mm)",
            length.inches(),
            length.millimetres()
        ),
    }
}

fn range(start: &StartingTaper) -> String {
    let said = PerSide::as_taper;
    match (start.high, start.from) {
        (None, _) => format!(
            "At least {}; nothing bounds it from above.",
            said(start.low)
        ),
        (Some(high), StartFrom::Compliance) => {
            format!("Likely: {} to {}.", said(start.low), said(high))
        }
        (Some(high), _) => format!(
            "Within {} to {}, if everything stated below holds.",
            said(start.low),
            said(high)
        ),
    }
}

/// The last line of the sum.
fn rounded(start: &StartingTaper) -> String {
    format!(
        "{}, rounded to the shop's step of {}, is {}.",
        start.needed.as_taper(),
        start.increment.as_taper(),
        start.taper.as_taper()
    )
}
