//! The first taper, and a set that is mounted again, as text.

use super::super::told::Told;
use super::TextOptions;
use super::digits;
use super::pen::{Ink, Pen};
use crate::taper::recut::{RecutAction, RecutAdvice};
use crate::taper::start::StartingTaper;

/// The first taper with its sum, what was assumed and what to do next.
pub fn start_to_text(start: &StartingTaper, options: TextOptions) -> String {
    told_to_text(&start.into(), Ink::Strong, options)
}

/// What to do with a set that was mounted again, why, and the sum behind it.
pub fn recut_to_text(advice: &RecutAdvice, options: TextOptions) -> String {
    let ink = match advice.action {
        RecutAction::CheckInstead => Ink::Good,
        RecutAction::BoreAgain => Ink::Cut,
        RecutAction::FindOut => Ink::Caution,
    };
    told_to_text(&advice.into(), ink, options)
}

fn told_to_text(told: &Told<'_>, ink: Ink, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(told.headline, ink);
    pen.blank();
    numbers(&mut pen, told);
    list(&mut pen, "  Why:         ", told.why);
    list(&mut pen, "  Not known:   ", &told.not_known);
    list(&mut pen, "  The sum:     ", &told.sum);
    list(&mut pen, "  Assumed:     ", told.assumed);
    numbered(&mut pen, "  What to do:  ", told.what_to_do);
    for warning in told.warnings {
        pen.hanging("  WARNING ", warning, Ink::Caution);
    }
    pen.blank();
    for caution in told.cautions {
        pen.hanging("  ! ", caution, Ink::Plain);
    }
    pen.finish()
}

fn numbers(pen: &mut Pen, told: &Told<'_>) {
    let mut rows = told.numbers.clone();
    if let Some(cut) = &told.cut {
        digits::beside(pen, cut.each_ref().map(|figure| figure.thou.clone()));
        rows.extend(
            cut.each_ref()
                .map(|f| (f.label, format!("{} {}", f.thou, f.behind))),
        );
    }
    let widest = rows.iter().map(|(label, _)| label.len()).max();
    let Some(widest) = widest else { return };
    for (label, text) in rows {
        let label = format!("  {:<1$}", format!("{label}:"), widest + ":  ".len());
        beside(pen, &label, "", &text, Ink::Strong);
    }
    if let Some(range) = &told.range {
        pen.hanging("  ", range, Ink::Plain);
    }
    pen.blank();
}

/// Columns that text beside a label must have; on narrower screens it goes below.
const ROOM: usize = 20;

fn list(pen: &mut Pen, label: &str, items: &[String]) {
    for (index, item) in items.iter().enumerate() {
        beside(pen, &lead(label, index), "", item, Ink::Plain);
    }
}

fn numbered(pen: &mut Pen, label: &str, items: &[String]) {
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
