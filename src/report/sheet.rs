//! One printed page per jaw set, to lie with the jaws: HTML without scripts, pictures from elsewhere or
//! anything else to load. Fits A4 and US Letter; nothing on it rests on colour.
//!
//! The code holds `SEEPLINE:` and the id in upper case (alphanumeric mode, version 3, level Q). Texts are
//! cut by characters, then held to one to three lines by CSS, so that the page stays one page: rendered by
//! Chromium 148 on A4 and US Letter, a set with every field, one with none, and one with 40 cuts of 30
//! checks and 5000 letters in every field took one page each. `ZXing` and `OpenCV` read both codes of each
//! page at 200 dpi, `ZXing` also at 90 dpi after a blur.

mod code;
mod facts;
mod history;

use jiff::civil::Date;
use maud::{Markup, PreEscaped, html};

use super::{ProofNote, document, printable, words};
use crate::taper::records::{CutTimeline, FiledCheck, Timeline};
use crate::taper::rules::Rules;
use crate::units::PerSide;

pub use code::{SheetError, id_of_uri, jaw_set_uri};

const CSS: &str = include_str!("sheet/sheet.css");
/// Names longer than this are printed smaller.
const LONG_NAME: usize = 26;
/// Longer names and ids of the shop are cut with an ellipsis.
const NAME_ROOM: usize = 80;
/// Longest free notes on the page.
const NOTES_ROOM: usize = 220;
/// Longest advice on the page.
const ADVICE_ROOM: usize = 180;
/// Longest line of a prove-out on the page.
const PROOF_ROOM: usize = 240;
/// A shop's own cautions: how many, and how long.
const CAUTIONS: usize = 6;
const CAUTION_ROOM: usize = 130;

/// The sheet of a jaw set, as printed on a day. Only the latest cuts and checks are on it.
///
/// # Errors
/// Where the QR code can't be made, which no id should cause.
pub fn sheet_to_html(
    timeline: &Timeline,
    rules: &Rules,
    proof: Option<&ProofNote>,
    printed: Date,
) -> Result<String, SheetError> {
    let set = &timeline.jaw_set;
    let code = PreEscaped(code::svg(set.id)?);
    let name = clipped(&set.name, NAME_ROOM);
    let body = html! {
        (heading(timeline, &name, &code))
        (now(timeline, proof))
        (facts::both(set, timeline.cuts.last().map(|c| &c.cut)))
        (history::table(timeline))
        (notes(set.notes.as_deref()))
        (cautions(rules))
        // With the code once more: the tag is cut off and leaves the page.
        (foot(timeline, &name, &code, printed))
    };
    let style = html! { style { (PreEscaped(CSS)) } };
    Ok(document(&format!("Jaw set {name}"), &style, &body))
}

fn heading(timeline: &Timeline, name: &str, code: &PreEscaped<String>) -> Markup {
    let set = &timeline.jaw_set;
    html! {
        header {
            div {
                h1 .long[is_long(name)] { (name) }
                p { "Soft jaws, " (words::grip(set.grip)) @if let Some(m) = &set.material { ", " (clipped(m, 60)) } }
                p .id { (code::grouped(set.id)) }
            }
            (picture(code, name))
        }
    }
}

fn is_long(name: &str) -> bool {
    name.chars().count() > LONG_NAME
}

fn picture(code: &PreEscaped<String>, name: &str) -> Markup {
    html! { div .qr role="img" aria-label={ "QR code with the id of jaw set " (name) } { (code) } }
}

/// The taper that is cut, and what to do next.
fn now(timeline: &Timeline, proof: Option<&ProofNote>) -> Markup {
    let last = timeline.cuts.last();
    let taper = last.and_then(|c| c.cut.taper);
    html! {
        h2 { "Now" }
        div .now {
            div .box { (present(taper)) }
            div .box.wide {
                p .label { "Next" }
                (next(last))
                @if let Some(proof) = proof { p .label.proof { (clipped(&proof.line, PROOF_ROOM)) } }
            }
        }
    }
}

/// Both ways of stating it, labelled.
fn present(taper: Option<PerSide>) -> Markup {
    let Some(taper) = taper else {
        return html! {
            p .label { "Taper cut" }
            p .big { span .unknown { "not noted" } }
        };
    };
    let both = taper.on_diameter();
    html! {
        p .label { "Taper cut: more material at the tip" }
        p .big { (words::fine(taper.length())) }
        p .label { (format!("{:.1} thou per side", taper.thou())) }
        p .big { (words::fine(both.length())) }
        p .label { (format!("{:.1} thou on the diameter", both.thou())) }
    }
}

fn next(last: Option<&CutTimeline>) -> Markup {
    let Some(last) = last else {
        return html! { p .next { "No cut is filed: bore the jaws, then check." } };
    };
    match last.checks.last() {
        None => {
            html! { p .next { "Not checked since the last cut: clamp at production pressure and make a contact check." } }
        }
        Some(check) => after(check),
    }
}

fn after(check: &FiledCheck) -> Markup {
    let advice = &check.advice;
    html! {
        p .next { (clipped(&advice.what_to_do, ADVICE_ROOM)) }
        @if let Some(change) = advice.change.filter(|c| *c != PerSide::ZERO) {
            p { "Change: " (change.as_change()) }
        }
        @if let Some(next) = advice.next_taper {
            p { "Next taper: " (next.as_taper()) }
        }
        p .label.done { "From the check of " (check.made.date()) @if check.done.is_some() { "; done: " (clipped(check.done.as_deref().unwrap_or_default(), 60)) } }
    }
}

fn notes(notes: Option<&str>) -> Markup {
    html! {
        @if let Some(notes) = notes.filter(|n| !n.trim().is_empty()) {
            h2 { "Notes" }
            p .notes { (clipped(notes, NOTES_ROOM)) }
        }
    }
}

fn cautions(rules: &Rules) -> Markup {
    html! {
        h2 { "Cautions" }
        ul {
            @for caution in rules.cautions().iter().take(CAUTIONS) {
                li { (clipped(caution, CAUTION_ROOM)) }
            }
        }
    }
}

/// The tag to cut out for the box.
fn foot(timeline: &Timeline, name: &str, code: &PreEscaped<String>, printed: Date) -> Markup {
    let set = &timeline.jaw_set;
    html! {
        div .foot {
            div .tag {
                (picture(code, name))
                div {
                    p .name .long[is_long(name)] { (name) }
                    p { (clipped(set.workpiece.as_deref().unwrap_or("Soft jaws"), 60)) ", " (words::grip(set.grip)) }
                    p .id { (code::grouped(set.id)) }
                }
            }
            p { "Cut out the tag for the box." br; "seepline " (env!("CARGO_PKG_VERSION")) (rules_of(timeline)) br; "printed " (printed) }
        }
    }
}

fn rules_of(timeline: &Timeline) -> String {
    let checks = timeline.checks();
    checks.last().map_or_else(String::new, |c| {
        ", rules ".to_owned() + &clipped(&c.rules, 30)
    })
}

/// At most `room` characters, on one line, without control characters; an ellipsis says that some are
/// left out.
fn clipped(text: &str, room: usize) -> String {
    // Line breaks in a note would take lines that the page does not have.
    let words: Vec<&str> = text.split_whitespace().collect();
    let text = printable(&words.join(" "));
    if text.chars().count() <= room {
        return text;
    }
    let kept: String = text.chars().take(room.saturating_sub(1)).collect();
    kept.trim_end().to_owned() + "…"
}
