//! The call beside the reading, in two columns where both fit.

use super::super::call::{CallReport, SideBySide, right};
use super::TextOptions;
use super::pen::{Ink, Pen};
use super::records::when;
use crate::people::opinion::{Comparison, Outcome};

/// Of the labels on the left.
const LABEL: usize = 14;
/// Narrower columns are not read side by side.
const NARROWEST_COLUMN: usize = 24;

pub(super) fn write(pen: &mut Pen, report: &CallReport) {
    pen.rule();
    let head = report.headline().to_uppercase();
    pen.wrapped(&head, ink(report.comparison.as_ref()));
    pen.blank();
    side_by_side(pen, report);
    pen.blank();
    listed(pen, "Differ:", &report.differences);
    listed(pen, "Decides it:", &report.decides);
    listed(pen, "Why:", std::slice::from_ref(&report.why));
    if let Some(truth) = &report.truth {
        listed(pen, "Was right:", &[right(truth)]);
    }
}

/// A call beside what it is held against, alone.
pub fn call_to_text(report: &CallReport, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    write(&mut pen, report);
    pen.finish()
}

fn listed(pen: &mut Pen, label: &str, lines: &[String]) {
    for (index, line) in lines.iter().enumerate() {
        let label = if index == 0 { label } else { "" };
        pen.hanging(
            &format!("  {label:<width$}", width = LABEL - 2),
            line,
            Ink::Plain,
        );
    }
}

/// How grave it is.
fn ink(comparison: Option<&Comparison>) -> Ink {
    let Some(comparison) = comparison else {
        return Ink::Retake;
    };
    match (comparison.outcome, comparison.same_pattern) {
        (Outcome::WrongWay | Outcome::ChangeForNothing, _) => Ink::Cut,
        (Outcome::Agrees, true) => Ink::Good,
        _ => Ink::Caution,
    }
}

fn side_by_side(pen: &mut Pen, report: &CallReport) {
    row(
        pen,
        "",
        &format!("Called by {}", report.call.by),
        report.beside,
    );
    for SideBySide {
        label,
        called,
        beside,
    } in report.rows()
    {
        row(pen, label, &called, &beside);
    }
    row(pen, "Called at", &when(report.call.at), "");
}

fn row(pen: &mut Pen, label: &str, left: &str, right: &str) {
    let column = pen.width.saturating_sub(LABEL + 2) / 2;
    if column < NARROWEST_COLUMN {
        return stacked(pen, label, left, right);
    }
    let [left, right] = [left, right].map(|text| pen.pieces(text, column));
    for index in 0..left.len().max(right.len()) {
        let label = if index == 0 { label } else { "" };
        let piece = |of: &[String]| of.get(index).cloned().unwrap_or_default();
        let ink = if label.is_empty() {
            Ink::Strong
        } else {
            Ink::Plain
        };
        let line = format!("{:<column$}  {}", piece(&left), piece(&right));
        let line = pen.inked(&line, ink);
        pen.line(&format!("  {label:<width$}{line}", width = LABEL - 2));
    }
}

fn stacked(pen: &mut Pen, label: &str, left: &str, right: &str) {
    if !label.is_empty() {
        pen.wrapped(&format!("{label}:"), Ink::Plain);
    }
    for (who, text) in [("  called  ", left), ("  read    ", right)] {
        if !text.is_empty() && !label.is_empty() {
            pen.hanging(who, text, Ink::Plain);
        }
    }
}
