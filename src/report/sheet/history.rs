//! The latest cuts, each with its last check.

use maud::{Markup, html};

use super::super::words;
use super::clipped;
use crate::taper::records::{CutTimeline, FiledCheck, Timeline};
use crate::units::PerSide;

/// Cuts that fit on the page.
const CUTS: usize = 4;
/// Longest advice in a cell.
const ROOM: usize = 60;

pub(super) fn table(timeline: &Timeline) -> Markup {
    let older = timeline.cuts.len().saturating_sub(CUTS);
    html! {
        h2 {
            "Cuts and last checks, latest first"
            @if older > 0 { " (" (older) " older left out)" }
        }
        @if timeline.cuts.is_empty() {
            p .unknown { "No cut is filed." }
        } @else {
            table {
                colgroup {
                    col style="width: 19mm"; col style="width: 21mm"; col style="width: 50mm";
                    col style="width: 20mm"; col style="width: 35mm"; col;
                }
                thead { tr {
                    th { "Cut" } th { "Diameter" } th { "Taper" } th { "Last check" } th { "Pattern" }
                    th { "Advice" }
                } }
                tbody { @for cut in timeline.cuts.iter().rev().take(CUTS) { (row(cut)) } }
            }
        }
    }
}

fn row(entry: &CutTimeline) -> Markup {
    let cut = &entry.cut;
    html! {
        tr {
            td .nowrap { (cut.made.date()) }
            td { @if let Some(d) = cut.diameter { (format!("{:.4} in", d.inches())) br; (format!("{:.3} mm", d.millimetres())) } @else { (none()) } }
            td { @if let Some(t) = cut.taper { (taper(t)) } @else { (none()) } }
            @match entry.checks.last() {
                Some(check) => (checked(check, entry.checks.len())),
                None => td colspan="3" { span .unknown { "not checked" } },
            }
        }
    }
}

/// Both ways of stating it, in both units.
fn taper(taper: PerSide) -> Markup {
    let both = taper.on_diameter();
    html! {
        (format!("{:.1} thou ({:.3} mm) per side", taper.thou(), taper.millimetres()))
        br;
        (format!("{:.1} thou ({:.3} mm) on diameter", both.thou(), both.millimetres()))
    }
}

fn checked(check: &FiledCheck, count: usize) -> Markup {
    html! {
        td .nowrap { (check.made.date()) @if count > 1 { br; "of " (count) } }
        td {
            (words::name(check.advice.pattern))
            @if let Some(p) = check.pressure { br; "at " (p) }
        }
        td { span .clamp { (clipped(&check.advice.what_to_do, ROOM)) } }
    }
}

fn none() -> Markup {
    html! { span .unknown { "not noted" } }
}
