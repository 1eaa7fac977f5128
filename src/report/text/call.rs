//! The call beside the reading, in two columns where both fit.

use super::super::amount::Amount;
use super::super::call::CallReport;
use super::super::words;
use super::TextOptions;
use super::pen::{Ink, Pen};
use super::records::when;
use crate::learning::Interval;
use crate::opinion::{CalledChange, Comparison, Outcome, Truth};
use crate::pattern::Pattern;
use crate::units::PerSide;

/// Of the labels on the left.
const LABEL: usize = 14;
/// Narrower columns are not read side by side.
const NARROWEST_COLUMN: usize = 24;

pub(super) fn write(pen: &mut Pen, report: &CallReport) {
    pen.rule();
    let (head, ink) = headline(report.comparison.as_ref());
    pen.wrapped(head, ink);
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

/// What the call comes to, and how grave it is.
fn headline(comparison: Option<&Comparison>) -> (&'static str, Ink) {
    let Some(comparison) = comparison else {
        return (
            "THE CALL BESIDE THE READING: NOTHING TO HOLD IT AGAINST YET",
            Ink::Retake,
        );
    };
    match (comparison.outcome, comparison.same_pattern) {
        (Outcome::WrongWay, _) => ("THE CALL GOES THE WRONG WAY", Ink::Cut),
        (Outcome::ChangeForNothing, _) => ("THE CALL WOULD CUT FOR NOTHING", Ink::Cut),
        (Outcome::ChangeMissed, _) => ("THE CALL MISSES A CHANGE", Ink::Caution),
        (Outcome::NoChangeOtherwise, _) => ("NO CHANGE BY BOTH, FOR ANOTHER REASON", Ink::Caution),
        (Outcome::OtherAmount, true) => ("THE SAME WAY, ANOTHER AMOUNT", Ink::Caution),
        (Outcome::OtherAmount, false) => ("ANOTHER PATTERN AND ANOTHER AMOUNT", Ink::Caution),
        (Outcome::Agrees, true) => ("CALL AND READING AGREE", Ink::Good),
        (Outcome::Agrees, false) => ("THE SAME CHANGE, ANOTHER PATTERN", Ink::Caution),
    }
}

fn side_by_side(pen: &mut Pen, report: &CallReport) {
    let (call, read) = (&report.call, report.answer.as_ref());
    let pattern = read.map_or("to be taken again", |a| words::name(a.pattern));
    row(pen, "", &format!("Called by {}", call.by), report.beside);
    row(pen, "Pattern", words::name(call.pattern), pattern);
    let called = change(Some((call.pattern, call.change.per_side())));
    let answered = change(read.map(|a| (a.pattern, a.change.map(|c| c.median))));
    let labels = ["Taper", "Per side", "On diameter"];
    for ((label, left), right) in labels.into_iter().zip(called).zip(answered) {
        row(pen, label, &left, &right);
    }
    if let Some(likely) = read.and_then(|a| a.change).filter(|c| c.low != c.high) {
        row(pen, "Likely", "", &interval(&likely));
    }
    row(pen, "Called at", &when(call.at), "");
}

fn interval(likely: &Interval) -> String {
    let thou = |amount: Amount| amount.signed_thou();
    format!(
        "{} to {} thou per side, {} to {} on the diameter",
        thou(likely.low.into()),
        thou(likely.high.into()),
        thou(likely.low.on_diameter().into()),
        thou(likely.high.on_diameter().into())
    )
}

/// What is done to the taper, per side and on the diameter.
fn change(of: Option<(Pattern, Option<PerSide>)>) -> [String; 3] {
    let none = || "–".to_owned();
    let Some((pattern, change)) = of else {
        return [none(), none(), none()];
    };
    let stated =
        |amount: Amount| format!("{} thou ({} mm)", amount.signed_thou(), amount.signed_mm());
    match change {
        None if pattern == Pattern::Unreadable => ["take the photos again".into(), none(), none()],
        None => ["no change, mend first".into(), none(), none()],
        Some(PerSide::ZERO) => ["leave".into(), none(), none()],
        Some(by) => [
            if by < PerSide::ZERO {
                "take off"
            } else {
                "add"
            }
            .to_owned(),
            stated(by.into()),
            stated(by.on_diameter().into()),
        ],
    }
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

/// `tip-only, take off: -2.0 thou per side (…), as later cuts of the set proved`.
pub(super) fn right(truth: &Truth) -> String {
    let change: CalledChange = truth.change_called();
    format!(
        "{}, {}, {}.",
        words::name(truth.pattern),
        change.in_words(),
        truth.by.in_words()
    )
}
