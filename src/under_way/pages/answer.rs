//! The answer: what to do about the taper, in figures that are read at arm's length.

use maud::{Markup, html};

use super::super::KeptBack;
use super::super::questions;
use super::super::settings::word_of;
use super::super::words;
use super::super::{JAWS, UnderWay};
use super::{call, jaw, question};
use crate::report::{CheckReport, programmed, shown, words as said};
use crate::taper::advice::{Advice, TaperChange};
use crate::units::PerSide;
use crate::units::amount::Amount;

pub(crate) fn section(check: &UnderWay, kept: Option<&KeptBack>) -> Markup {
    let answered = check.answer.as_ref().filter(|_| kept.is_none());
    let action = answered.map(|a| word_of(a.advice.action));
    let asks = kept
        .filter(|_| check.answer.is_some())
        .map(KeptBack::waits_for);
    html! {
        section #answer aria-live="polite" aria-label="The answer" data-action=[action] data-asks=[asks] {
            @match (answered, kept) {
                (Some(report), _) => (answer(check, report)),
                (None, Some(kept)) if check.answer.is_some() => (call::asked(check, kept)),
                _ if check.sheet.photos.is_empty() => {
                    p { "Take one photo of each jaw, or choose all at once; the answer then stands here." }
                    (jaw::several(check))
                },
                _ if !check.waiting().is_empty() => p role="status" { "Photos are being read…" },
                _ => {},
            }
        }
    }
}

fn answer(check: &UnderWay, report: &CheckReport) -> Markup {
    let advice = &report.advice;
    // What hangs on an open question is not shown before it is settled: with the other end it means the opposite.
    if let Some(question) = questions::open(check).first() {
        return html! {
            (question::asked(check, question))
            (differences(report))
            @if let Some(call) = &report.call { (call::beside(call)) }
            (cautions(advice))
        };
    }
    html! {
        (few_jaws(check))
        (differences(report))
        @if let Some(call) = &report.call { (call::beside(call)) }
        h2 .headline { (said::headline(advice)) }
        p { (words::sentence(&advice.what_to_do)) }
        @if let Some(proof) = &report.proof { p .note { (proof.line) } }
        @if let Some(change) = &advice.taper_change { (figures(change)) }
        (tapers(report, advice))
        p { strong { "The check: " } (said::sentence(said::pattern(advice.pattern, report.grip()))) }
        p { strong { "Why: " } (words::sentence(&advice.why)) }
        @if !advice.look_at_first.is_empty() {
            h3 { "Look at first" }
            ol .looks { @for look in &advice.look_at_first { li { (words::sentence(look)) } } }
        }
        (cautions(advice))
    }
}

fn cautions(advice: &Advice) -> Markup {
    html! {
        h3 { "Cautions" }
        ul .cautions { @for caution in &advice.cautions { li { (words::sentence(caution)) } } }
    }
}

/// The taper is cut into all jaws at once.
fn few_jaws(check: &UnderWay) -> Markup {
    let jaws = check.jaws().len();
    html! {
        @if jaws < usize::from(JAWS) {
            p .warning { "So far from " (words::jaws(jaws)) ": take every jaw before anything is cut." }
        }
    }
}

fn differences(report: &CheckReport) -> Markup {
    let filed = report.filed.as_ref();
    html! {
        @if let Some(filed) = filed.filter(|f| !f.differences.is_empty()) {
            div .warning {
                p { "Changed since the last check, so the two do not compare:" }
                ul { @for d in &filed.differences {
                    li { (d.what) ": was " bdi { (shown::free(&d.before)) } ", is " bdi { (shown::free(&d.now)) } }
                } }
            }
        }
        // Once it is filed, they stand where that is said.
        @if let Some(filed) = filed.filter(|f| f.check.is_none()) {
            @for note in &filed.notes { p .note { (words::sentence(note)) } }
        }
    }
}

/// Both ways of stating the change, each labelled.
fn figures(change: &TaperChange) -> Markup {
    let range = shown::range(change.low, change.high);
    html! {
        dl .figures {
            (figure("per side", change.change.into()))
            (figure("on the diameter", change.change.on_diameter().into()))
        }
        p { (said::likely(change.interval)) ": " (shown::lines(&range)) }
    }
}

fn figure(label: &str, amount: Amount) -> Markup {
    html! {
        div {
            dt { "thou " (label) }
            dd { (amount.signed_thou().replace('-', "−")) }
            dd .small { (amount.signed_in_mm().replace('-', "−")) }
        }
    }
}

fn tapers(report: &CheckReport, advice: &Advice) -> Markup {
    let row = |label: &str, taper: Option<PerSide>| {
        html! {
            @if let Some(taper) = taper { dt { (label) } dd { (shown::lines(&shown::taper(taper))) } }
        }
    };
    html! {
        dl .facts {
            (row("Taper now", report.setup.taper))
            (row("Next taper", advice.next_taper))
            @if let Some(program) = &advice.program { dt { "Program" } dd { (programmed(program)) } }
        }
    }
}
