//! The first taper, as text.

use super::super::amount::Amount;
use super::TextOptions;
use super::digits;
use super::pen::{Ink, Pen};
use crate::start::{StartFrom, StartingTaper};
use crate::units::PerSide;

/// The first taper with its sum, what was assumed and what to do next.
pub fn start_to_text(start: &StartingTaper, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(heading(start.from), Ink::Strong);
    pen.blank();
    large(&mut pen, start.taper);
    both(&mut pen, "Cut per side:        ", Amount::from(start.taper));
    both(
        &mut pen,
        "Cut on diameter:     ",
        Amount::from(start.taper.on_diameter()),
    );
    pen.hanging("  ", &range(start), Ink::Plain);
    pen.blank();
    list(&mut pen, "  The sum:     ", &start.arithmetic);
    let rounded = format!(
        "{}, rounded to the shop's step of {}, is {}.",
        start.needed.as_taper(),
        start.increment.as_taper(),
        start.taper.as_taper()
    );
    pen.hanging("               ", &rounded, Ink::Plain);
    list(&mut pen, "  Assumed:     ", &start.assumed);
    numbered(&mut pen, "  What to do:  ", &start.what_to_do);
    pen.blank();
    cautions(&mut pen, &start.cautions);
    pen.finish()
}

fn heading(from: StartFrom) -> &'static str {
    match from {
        StartFrom::Feeler => "FIRST TAPER, from the feeler gauge",
        StartFrom::Compliance => "FIRST TAPER, from what earlier checks have shown",
        StartFrom::Geometry => "FIRST TAPER, A ROUGH ESTIMATE from the jaw's geometry",
    }
}

fn large(pen: &mut Pen, taper: PerSide) {
    let per_side = digits::large(&Amount::from(taper).thou_text(), pen.unicode);
    let on_diameter = digits::large(&Amount::from(taper.on_diameter()).thou_text(), pen.unicode);
    let columns = |lines: &[String; 5]| lines[0].chars().count();
    let column = columns(&per_side).max("thou per side".len()) + 4;
    if 2 + column + columns(&on_diameter).max("thou on the diameter".len()) > pen.width {
        return;
    }
    for (left, right) in per_side.iter().zip(&on_diameter) {
        pen.line(&format!("  {left:<column$}{right}"));
    }
    pen.line(&format!(
        "  {:<column$}{}",
        "thou per side", "thou on the diameter"
    ));
    pen.blank();
}

fn both(pen: &mut Pen, label: &str, amount: Amount) {
    let text = format!("{label}{} thou  ({})", amount.thou_text(), amount.in_mm());
    pen.hanging("  ", &text, Ink::Strong);
}

fn range(start: &StartingTaper) -> String {
    let said = |t: PerSide| {
        let (per_side, on_diameter) = (Amount::from(t), Amount::from(t.on_diameter()));
        format!(
            "{:.1} thou per side ({:.1} on the diameter)",
            per_side.thou, on_diameter.thou
        )
    };
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

pub(super) fn list(pen: &mut Pen, lead: &str, items: &[String]) {
    let indent = " ".repeat(lead.chars().count());
    for (index, item) in items.iter().enumerate() {
        pen.hanging(if index == 0 { lead } else { &indent }, item, Ink::Plain);
    }
}

pub(super) fn numbered(pen: &mut Pen, lead: &str, items: &[String]) {
    let indent = " ".repeat(lead.chars().count());
    for (index, item) in items.iter().enumerate() {
        let lead = if index == 0 { lead } else { &indent };
        pen.hanging(&format!("{lead}{}. ", index + 1), item, Ink::Plain);
    }
}

pub(super) fn cautions(pen: &mut Pen, cautions: &[String]) {
    for caution in cautions {
        pen.hanging("  ! ", caution, Ink::Plain);
    }
}
