//! A filed check, and what was done about it.

use maud::{Markup, html};

use super::super::desk::Desk;
use super::super::fault::Fault;
use super::{Refresh, page as whole};
use crate::people::prove::Under;
use crate::report::{ProofNote, shown, words as said};
use crate::taper::advice::Grip;
use crate::taper::records::{Cut, FiledCheck, FiledReading};
use crate::under_way::pages::{name, when};
use crate::under_way::words;

pub(in super::super) fn page(desk: &Desk, id: &str) -> Result<String, Fault> {
    let archive = desk.open_archive()?;
    let check = archive.check(id)?.record;
    let cut = archive.cut(&check.cut.to_string())?.record;
    let set = archive.jaw_set_or_hidden(cut.jaw_set)?;
    let proof = archive.proof(desk.rules.estimate())?;
    let under = Under::of(&set, &cut, &check);
    let proof = proof.map(|p| ProofNote::of(&p, Some(&under)));
    let title = format!("Check of {}", shown::name(&set.name));
    let body = html! {
        h1 { "Check of " (name(&set.name)) }
        p { (when(check.made)) ", check " code { (crate::archive::shelf::short(check.id)) } }
        (advice(&check, &cut))
        @if let Some(proof) = &proof { p .note { (proof.line) } }
        h2 { "The jaws" }
        ol { @for reading in check.jaws() { li { (seen(reading, set.grip)) } } }
        (done(&check))
        p { a .button href=(format!("/sets/{}", set.id)) { "History of " (name(&set.name)) } }
    };
    Ok(whole(&title, Refresh::No, &body))
}

fn advice(check: &FiledCheck, cut: &Cut) -> Markup {
    let advice = &check.advice;
    html! {
        div .advice {
            p { strong { (words::sentence(&advice.what_to_do)) } }
            p { (words::sentence(&advice.why)) }
            dl .facts {
                @if let Some(t) = cut.taper { dt { "Taper cut" } dd { (shown::lines(&shown::taper(t))) } }
                @if let Some(c) = advice.change { dt { "Change advised" } dd { (shown::lines(&shown::change(c))) } }
                @if let Some(t) = advice.next_taper { dt { "Next taper" } dd { (shown::lines(&shown::taper(t))) } }
            }
        }
    }
}

fn seen(reading: &FiledReading, grip: Grip) -> Markup {
    html! {
        @match reading.refusal {
            Some(reason) => { "Cannot be judged: " (said::reason(reason)) },
            None => { (said::pattern(reading.pattern, grip)) ", " (said::confidence(reading.confidence)) },
        }
    }
}

fn done(check: &FiledCheck) -> Markup {
    html! {
        section #done aria-label="What was done" {
            h2 { "What was done" }
            @if let Some(done) = &check.done { blockquote { bdi { (shown::free(done)) } } }
            form method="post" action=(format!("/filed/{}/done", check.id)) {
                label .field {
                    span { @if check.done.is_some() { "Write it anew" } @else { "In your words" } }
                    input type="text" name="done" maxlength="2000" required autocomplete="off";
                }
                button .main type="submit" { "Note it" }
            }
        }
    }
}
