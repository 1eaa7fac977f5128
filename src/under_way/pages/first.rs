//! What every first page has: the caution, the checks under way, and the way to a new one.

use maud::{Markup, html};

use super::super::{Settings, Sheet};
use super::{name, recut, setup, start, when};
use crate::report::words;
use crate::taper::records::JawSet;

pub(crate) fn caution() -> Markup {
    html! { p .caution { "Stop the spindle and lock it out before hands go into the chuck." } }
}

/// A check without a jaw set.
pub(crate) fn quick(last: &Settings) -> Markup {
    html! {
        form #quick method="post" action="/checks" {
            input type="hidden" name="jaw_set" value="";
            details {
                summary { "Method, grip, tip, taper, who reads" }
                (setup::fields(last, None))
                (setup::reader(last))
            }
            button .main type="submit" { "Quick check" }
        }
    }
}

/// What is asked before there is anything to photograph.
pub(crate) fn before() -> Markup {
    html! {
        h2 { "Before a check" }
        ul #before-check .choices {
            li { a .button href=(start::ADDRESS) { (start::TITLE) } }
            li { a .button href=(recut::ADDRESS) { (recut::TITLE) } }
        }
    }
}

/// The checks under way, each as [`row`] has it.
pub(crate) fn listed(rows: &[Markup]) -> Markup {
    html! {
        @if !rows.is_empty() {
            h2 { "Under way" }
            ul #under-way .choices { @for row in rows { (row) } }
        }
    }
}

pub(crate) fn row(sheet: &Sheet, set: Option<&JawSet>) -> Markup {
    let stands = match sheet.filed {
        Some(filed) if filed.up_to_date => "filed",
        Some(_) => "changed since it was filed",
        None => "not filed",
    };
    html! {
        li {
            a .button .main href=(format!("/checks/{}", sheet.id)) {
                strong { @match set { Some(set) => (name(&set.name)), None => "Quick check" } }
                span .small { (when(sheet.begun)) ", " (words::photos(sheet.photos.len())) ", " (stands) }
            }
        }
    }
}
