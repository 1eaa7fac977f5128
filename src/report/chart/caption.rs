//! Title and caption: the set's name, and what is known now, in numbers.

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend};
use plotters::style::text_anchor::{HPos, VPos};

use super::super::{HistoryReport, printable};
use super::layout::{LINE_PX, MARGIN_PX, TITLE_LINE_PX, letters, title_letters};
use super::{Chart, Drawn};
use crate::taper::learning::Interval;
use crate::units::{OnDiameter, PerSide};

/// Columns of the set's name; the rest is cut off.
const NAME: usize = 44;

pub(super) fn title(history: &HistoryReport<'_>) -> String {
    let name = shown(&history.timeline.jaw_set.name);
    format!("History of jaw set {}", clipped(&name, NAME))
}

/// Lines of at most so many letters.
pub(super) fn caption(history: &HistoryReport<'_>, letters: usize) -> Vec<String> {
    let last = history.steps.last().and_then(|s| s.estimate.as_ref());
    let Some(estimate) = last else {
        return nothing_yet(history, letters);
    };
    let checks = match estimate.checks {
        1 => "one check".to_owned(),
        n => format!("{n} checks together"),
    };
    let [per_side, on_diameter] = in_numbers(estimate.needed);
    let text = format!("Needed taper now, from {checks}: {per_side};");
    let mut lines = wrapped(&text, letters);
    lines.extend(wrapped(&format!("{on_diameter}."), letters));
    lines
}

/// Per side and on the diameter.
fn in_numbers(needed: Interval) -> [String; 2] {
    let Interval { low, median, high } = needed;
    let stated = |thou: [f64; 3], mm: [f64; 3], how: &str| {
        format!(
            "{:.1} thou {how}, {:.1} to {:.1} ({:.3} mm, {:.3} to {:.3})",
            thou[0], thou[1], thou[2], mm[0], mm[1], mm[2]
        )
    };
    let all = [median, low, high];
    let both = all.map(PerSide::on_diameter);
    [
        stated(
            all.map(PerSide::thou),
            all.map(PerSide::millimetres),
            "per side",
        ),
        stated(
            both.map(OnDiameter::thou),
            both.map(OnDiameter::millimetres),
            "on the diameter",
        ),
    ]
}

fn nothing_yet(history: &HistoryReport<'_>, letters: usize) -> Vec<String> {
    let cuts = &history.timeline.cuts;
    let checks: usize = cuts.iter().map(|c| c.checks.len()).sum();
    let filed = match (cuts.len(), checks) {
        (0, _) => "No cut is filed yet.".to_owned(),
        (_, 0) => "No check is filed yet.".to_owned(),
        _ => "No check says yet what taper the set needs.".to_owned(),
    };
    let remedy = "Note the taper of a cut with `seepline cut add`, and file a check with \
                  `seepline read PHOTO... --jaws`.";
    wrapped(&format!("{filed} {remedy}"), letters)
}

fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let lines = textwrap::wrap(text, letters.max(8));
    lines
        .into_iter()
        .map(std::borrow::Cow::into_owned)
        .collect()
}

/// Without what XML forbids: control characters and the two that are no characters.
fn shown(text: &str) -> String {
    printable(text).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")
}

/// At most so many columns, with dots where something is missing.
fn clipped(text: &str, columns: usize) -> String {
    const DOTS: &str = "...";
    if textwrap::core::display_width(text) <= columns {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if textwrap::core::display_width(&kept) > columns - DOTS.len() {
            kept.pop();
            break;
        }
    }
    kept + DOTS
}

pub(super) fn draw<DB: DrawingBackend>(chart: &Chart, area: &DrawingArea<DB, Shift>) -> Drawn<DB> {
    let margin = MARGIN_PX as i32;
    area.draw_text(&chart.title, &title_letters(), (margin, margin))?;
    let style = letters(HPos::Left, VPos::Top);
    for (index, line) in chart.caption.iter().enumerate() {
        let y = margin + (TITLE_LINE_PX + index as u32 * LINE_PX) as i32;
        area.draw_text(line, &style, (margin, y))?;
    }
    Ok(())
}
