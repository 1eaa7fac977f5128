//! Calling before the reading is shown, and then both side by side.

use maud::{Markup, html};

use super::super::KeptBack;
use super::super::settings::word_of;
use super::super::words;
use super::super::{JAWS, UnderWay};
use super::setup;
use crate::people::opinion::Person;
use crate::reading::pattern::Pattern;
use crate::report::{CallReport, right, words as said};
use crate::taper::advice::Grip;

/// What has to be said before the reading is shown.
pub(crate) fn asked(check: &UnderWay, kept: &KeptBack) -> Markup {
    match kept {
        KeptBack::Who => who(check),
        KeptBack::CallOf(by) => form(check, by),
    }
}

fn who(check: &UnderWay) -> Markup {
    html! {
        h2 .headline { "Who reads these jaws?" }
        p { "In this shop some people say first what they see. Give your initials; the reading is shown then, or after your call." }
        form .reader method="post" action=(format!("/checks/{}/settings", check.sheet.id)) {
            (setup::reader(&check.sheet.settings))
            button .main type="submit" { "Go on" }
        }
    }
}

fn form(check: &UnderWay, by: &Person) -> Markup {
    let jaws = check.jaws().len();
    html! {
        h2 .headline { "Your call, " (by) }
        p { "Look at the jaws, then say what you see. The reading is shown after it, and the call stands." }
        @if jaws < usize::from(JAWS) {
            p .warning { "So far from " (words::jaws(jaws)) ": take every jaw before you call." }
        }
        form .call method="post" action=(format!("/checks/{}/call", check.sheet.id)) {
            (fields(check.grip()))
            button .main type="submit" {
                "This is my call: show the reading"
                @if check.sheet.settings.jaw_set.is_some() { span .small { "The check is filed with it." } }
            }
        }
    }
}

/// The fields of a call.
pub(crate) fn fields(grip: Grip) -> Markup {
    html! {
        (pattern(grip))
        (change())
    }
}

fn pattern(grip: Grip) -> Markup {
    html! {
        label .field {
            span { "Pattern of the check as a whole" }
            select name="pattern" required {
                option value="" { "Choose" }
                @for pattern in Pattern::ALL {
                    option value=(word_of(pattern)) { (said::name(pattern)) ": " (said::seen(pattern, grip)) }
                }
            }
        }
    }
}

/// People mix up the direction, and per side with the diameter: both are asked for, and neither is guessed.
fn change() -> Markup {
    html! {
        label .field {
            span { "What should be done to the taper" }
            select name="way" required {
                option value="" { "Choose" }
                option value="less" { "Take taper off" }
                option value="more" { "Add taper" }
                option value="leave" { "Leave it: it is right" }
                option value="none" { "No change now: mend first, or photograph again" }
            }
        }
        fieldset .field {
            legend { "By how much, where it changes" }
            div .pair {
                input type="text" inputmode="decimal" name="amount" placeholder="1.0" autocomplete="off" aria-label="Amount of the change";
                select name="unit" aria-label="Unit of the change" {
                    @for (value, said) in setup::UNITS { option value=(value) { (said) } }
                }
            }
            select name="stated" aria-label="Where the change is stated" {
                option value="per side" { "Per side" }
                option value="on diameter" { "On the diameter" }
            }
        }
    }
}

/// A call beside the reading that it was made before.
pub(crate) fn beside(report: &CallReport) -> Markup {
    html! {
        section .beside aria-label="The call beside the reading" {
            h2 { (report.headline()) }
            table {
                thead { tr {
                    th scope="col" { "Called by " (report.call.by) }
                    th scope="col" { (report.beside) }
                } }
                // What a row is about stands above it: three columns are too many for a phone.
                @for row in report.rows() { tbody {
                    tr { th scope="rowgroup" colspan="2" { (row.label) } }
                    tr { td { (row.called) } td { (row.beside) } }
                } }
            }
            (listed("Where they differ", &report.differences))
            (listed("What decides it", &report.decides))
            p { strong { "Why: " } (words::sentence(&report.why)) }
            @if let Some(truth) = &report.truth {
                p { strong { "What was right: " } (words::sentence(&right(truth))) }
            }
        }
    }
}

fn listed(title: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h3 { (title) }
            ul { @for line in lines { li { (words::sentence(line)) } } }
        }
    }
}
