//! The first page: which jaws? What was used last comes first.

use jiff::civil::DateTime;
use maud::{Markup, html};

use super::super::checks::hold;
use super::super::desk::Desk;
use super::super::fault::Fault;
use super::{Refresh, page as whole};
use crate::archive::{Find, JawSetSummary};
use crate::phone::folder::BUILT;
use crate::report::words;
use crate::under_way::Settings;
use crate::under_way::pages::first::{before, caution, listed, quick, row};
use crate::under_way::pages::{name, setup};

pub(in super::super) fn page(desk: &Desk, last: &Settings) -> Result<String, Fault> {
    let mut sets = desk.open_archive()?.jaw_sets(&Find::default())?;
    sets.sort_by_key(|s| std::cmp::Reverse(used(s)));
    let body = html! {
        h1 { "Which jaws?" }
        (caution())
        (under_way(desk, &sets))
        h2 { "Jaw sets" }
        @if sets.is_empty() {
            p { "There is no jaw set yet. A quick check needs none; add one with " code { "seepline jaws add" } "." }
        } @else {
            form #sets method="post" action="/checks" {
                details {
                    summary { "Who reads: " (setup::reader_line(last)) }
                    (setup::reader(last))
                }
                ul .choices { @for set in &sets { (choice(set)) } }
            }
        }
        h2 { "Or without one" }
        (quick(last))
        (before())
        @if BUILT { p { a href="/phone/" { "Read on this phone alone" } } }
        p { a href="/prove-out" { "How far to trust it here" } }
    };
    Ok(whole("Which jaws?", Refresh::No, &body))
}

fn used(set: &JawSetSummary) -> Option<DateTime> {
    let check = set.last_check.as_ref().map(|c| c.made);
    check.max(set.last_cut.map(|c| c.made))
}

fn choice(set: &JawSetSummary) -> Markup {
    let id = set.jaw_set.id.to_string();
    html! {
        li {
            button .main type="submit" name="jaw_set" value=(id) {
                strong { (name(&set.jaw_set.name)) }
                span .small { (about(set)) }
            }
            a .button href=(format!("/sets/{id}")) { "History" span .hidden { " of " (name(&set.jaw_set.name)) } }
        }
    }
}

fn about(set: &JawSetSummary) -> String {
    match (&set.last_check, set.last_cut) {
        (Some(check), _) => format!(
            "checked {}: {}",
            check.made.date(),
            words::name(check.pattern)
        ),
        (None, Some(cut)) => format!("cut {}, not checked yet", cut.made.date()),
        (None, None) => "no cut noted yet".to_owned(),
    }
}

fn under_way(desk: &Desk, sets: &[JawSetSummary]) -> Markup {
    let mut rows = Vec::new();
    for check in desk.checks.list() {
        let check = hold(&check);
        if !check.sheet.photos.is_empty() {
            let id = check.sheet.settings.jaw_set;
            let set = sets.iter().find(|s| Some(s.jaw_set.id) == id);
            rows.push(row(&check.sheet, set.map(|s| &s.jaw_set)));
        }
    }
    listed(&rows)
}
