//! The first taper, as text.

use super::TextOptions;
use super::digits;
use super::pen::{Ink, Pen};
use crate::taper::start::{StartFrom, StartingTaper};
use crate::units::amount::Amount;
use crate::units::{Length, PerSide};

/// The first taper with its sum, what was assumed and what to do next.
pub fn start_to_text(start: &StartingTaper, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(heading(start.from), Ink::Strong);
    pen.blank();
    let on_diameter = start.taper.on_diameter();
    digits::beside(
        &mut pen,
        [
            Amount::from(start.taper).thou_text(),
            Amount::from(on_diameter).thou_text(),
        ],
    );
    row(
        &mut pen,
        "  Cut per side:     ",
        &both(start.taper.length()),
    );
    row(
        &mut pen,
        "  Cut on diameter:  ",
        &both(on_diameter.length()),
    );
    pen.hanging("  ", &range(start), Ink::Plain);
    pen.blank();
    let rounded = format!(
        "{}, rounded to the shop's step of {}, is {}.",
        start.needed.as_taper(),
        start.increment.as_taper(),
        start.taper.as_taper()
    );
    let sum: Vec<String> = start.arithmetic.iter().cloned().chain([rounded]).collect();
    list(&mut pen, "  The sum:     ", &sum);
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

fn both(length: Length) -> String {
    format!(
        "{} thou  ({:.4} in, {:.3} mm)",
        Amount::from(length).thou_text(),
        length.inches(),
        length.millimetres()
    )
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

/// Columns that text beside a label must have; on narrower screens it goes below.
const ROOM: usize = 20;

/// A label and what belongs to it.
pub(super) fn row(pen: &mut Pen, label: &str, text: &str) {
    beside(pen, label, "", text, Ink::Strong);
}

pub(super) fn list(pen: &mut Pen, label: &str, items: &[String]) {
    for (index, item) in items.iter().enumerate() {
        beside(pen, &lead(label, index), "", item, Ink::Plain);
    }
}

pub(super) fn numbered(pen: &mut Pen, label: &str, items: &[String]) {
    for (index, item) in items.iter().enumerate() {
        beside(
            pen,
            &lead(label, index),
            &format!("{}. ", index + 1),
            item,
            Ink::Plain,
        );
    }
}

/// The label before the first item, as much space before the others.
fn lead(label: &str, index: usize) -> String {
    if index == 0 {
        label.to_owned()
    } else {
        " ".repeat(label.chars().count())
    }
}

fn beside(pen: &mut Pen, label: &str, number: &str, text: &str, ink: Ink) {
    if label.chars().count() + number.len() + ROOM <= pen.width {
        pen.hanging(&format!("{label}{number}"), text, ink);
        return;
    }
    if !label.trim().is_empty() {
        pen.line(label);
    }
    pen.hanging(&format!("    {number}"), text, ink);
}

pub(super) fn cautions(pen: &mut Pen, cautions: &[String]) {
    for caution in cautions {
        pen.hanging("  ! ", caution, Ink::Plain);
    }
}
