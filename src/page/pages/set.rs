//! A jaw set's history, with its plot.

use maud::{Markup, html};

use super::super::desk::Desk;
use super::super::fault::{Fault, tell_terminal};
use super::{Refresh, page as whole};
use crate::archive::shelf::{Known, history_of};
use crate::report::{history_to_svg, in_numbers, shown, standing, words};
use crate::taper::learning::Step;
use crate::taper::records::{CutTimeline, FiledCheck};
use crate::under_way::pages::{name, recut, start, when};

fn history(desk: &Desk, id: &str) -> Result<Known, Fault> {
    let mut archive = desk.open_archive()?;
    let id = archive.jaw_set(id)?.id;
    Ok(history_of(&mut archive, id, &desk.rules)?)
}

pub(in super::super) fn plot(desk: &Desk, id: &str) -> Result<String, Fault> {
    history_to_svg(&history(desk, id)?.report()).map_err(|error| {
        tell_terminal(&error.to_string());
        Fault::Defect
    })
}

pub(in super::super) fn page(desk: &Desk, id: &str) -> Result<String, Fault> {
    let Known {
        timeline,
        steps,
        proof,
    } = history(desk, id)?;
    let set = &timeline.jaw_set;
    let body = html! {
        h1 { "History of " (name(&set.name)) }
        form method="post" action="/checks" {
            button .main type="submit" name="jaw_set" value=(set.id) { "New check" }
        }
        ul .choices {
            li {
                a .button href={ (start::ADDRESS) "?jaws=" (set.id) } { "First taper" }
                a .button href={ (recut::ADDRESS) "?jaws=" (set.id) } { "Mounted again" }
            }
        }
        @if let Some(proof) = &proof { p .note { (proof.line) } }
        @if let Some(last) = steps.last().and_then(|s| s.estimate.as_ref()) {
            p #needed { strong { "Now: " } (in_numbers(last.needed)) "." }
        }
        @if steps.is_empty() {
            p { "No check of it is filed yet." }
        } @else {
            div .scroll tabindex="0" role="region" aria-label="Plot of the history" {
                img .plot src=(format!("/sets/{}/history.svg", set.id)) alt="Taper against checks, with the interval of the taper that the set needs; in words below";
            }
        }
        @for cut in timeline.cuts.iter().rev() { (of_cut(cut, &steps)) }
    };
    Ok(whole(
        &format!("History of {}", shown::name(&set.name)),
        Refresh::No,
        &body,
    ))
}

fn of_cut(of: &CutTimeline, steps: &[Step]) -> Markup {
    html! {
        section .cut {
            h2 { "Cut of " (of.cut.made.date()) }
            p { @match of.cut.taper { Some(t) => (shown::lines(&shown::taper(t))), None => "Taper not noted." } }
            @for check in of.checks.iter().rev() {
                (of_check(check, steps.iter().find(|s| s.check == check.id)))
            }
        }
    }
}

fn of_check(check: &FiledCheck, step: Option<&Step>) -> Markup {
    let change = check.advice.change.map(shown::change).map(shown::joined);
    html! {
        article .past {
            h3 { a href=(format!("/filed/{}", check.id)) { "Check of " (when(check.made)) } }
            p { strong { (words::name(check.advice.pattern)) } ": " (words::sentence(&shown::free(&check.advice.what_to_do))) }
            @if let Some(change) = change { p { "Change: " (change) "." } }
            @if let Some(why) = step.and_then(|s| standing(&s.standing)) { p .warning { (words::sentence(&shown::free(&why))) } }
            @if let Some(estimate) = step.and_then(|s| s.estimate.as_ref()) { p .small { (words::sentence(&in_numbers(estimate.needed))) } }
            p .small { "Done: " @match &check.done { Some(done) => bdi { (shown::free(done)) }, None => "nothing noted" } }
        }
    }
}
