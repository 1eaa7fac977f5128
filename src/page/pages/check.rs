//! The page of a check under way: what only an archive has to say on it, above all filing.

use maud::{Markup, html};

use super::super::calling;
use super::super::desk::Desk;
use super::super::fault::Fault;
use super::super::state;
use super::{Refresh, page as whole};
use crate::archive::Details;
use crate::report::shown;
use crate::taper::records::JawSet;
use crate::under_way::pages::check::{Around, body};
use crate::under_way::pages::name;
use crate::under_way::{Filed, KeptBack, UnderWay, words};
use crate::units::PerSide;

pub(in super::super) fn page(desk: &Desk, check: &mut UnderWay) -> Result<String, Fault> {
    // First, as it notes that the reading was shown, or says what keeps it back.
    let kept = calling::before_showing(desk, check)?;
    let kept = kept.as_ref();
    let set = state::set_of(desk, check)?;
    let last = last_taper(desk, set.as_ref())?;
    let refresh = if check.waiting().is_empty() {
        Refresh::No
    } else {
        Refresh::Soon
    };
    let around = Around {
        set: set.as_ref(),
        last,
        kept,
        filing: filing(desk, check, set.as_ref(), kept)?,
    };
    let title = around.title();
    Ok(whole(&title, refresh, &body(check, &around)))
}

/// What the set's last cut says.
fn last_taper(desk: &Desk, set: Option<&JawSet>) -> Result<Option<PerSide>, Fault> {
    let Some(set) = set else { return Ok(None) };
    let timeline = desk.open_archive()?.timeline(set.id, Details::LeftOut)?;
    Ok(timeline.cuts.last().and_then(|c| c.cut.taper))
}

fn filing(
    desk: &Desk,
    check: &UnderWay,
    set: Option<&JawSet>,
    kept: Option<&KeptBack>,
) -> Result<Markup, Fault> {
    let id = check.sheet.id;
    let deleted = set.is_none() && check.sheet.settings.jaw_set.is_some();
    let to_file = (check.answer.is_some() && kept.is_none()) || deleted;
    Ok(html! {
        section #filed aria-label="Filing" data-filed[check.sheet.filed.is_some_and(|f| f.up_to_date)] {
            @if let Some(filed) = check.sheet.filed { (where_filed(check, filed, set)) }
            @if to_file && check.sheet.filed.is_none_or(|f| !f.up_to_date) {
                @if set.is_some() {
                    form method="post" action=(format!("/checks/{id}/file")) {
                        button .main type="submit" { "File this check" }
                    }
                } @else {
                    (choose_set(desk, check)?)
                }
            }
        }
    })
}

fn where_filed(check: &UnderWay, filed: Filed, set: Option<&JawSet>) -> Markup {
    let short = crate::archive::shelf::short(filed.check);
    let note = check.answer.as_ref().and_then(|a| a.filed.as_ref());
    let notes = note.filter(|n| n.check.is_some()).map(|n| &n.notes[..]);
    html! {
        p .good role="status" {
            @if filed.up_to_date { "Filed as check " (short) "." } @else { "Changed since it was filed as check " (short) "." }
        }
        // What is said above once already is not said again.
        @for note in notes.unwrap_or_default().iter().filter(|n| !n.starts_with("filed as")) {
            p .note { (words::sentence(note)) }
        }
        p { a .button .main href=(format!("/filed/{}", filed.check)) { "Note what was done" } }
        @if let Some(set) = set {
            p { a .button href=(format!("/sets/{}", set.id)) { "History of " (name(&set.name)) } }
        }
    }
}

/// A quick check becomes one of a jaw set.
fn choose_set(desk: &Desk, check: &UnderWay) -> Result<Markup, Fault> {
    let sets = desk
        .open_archive()?
        .jaw_sets(&crate::archive::Find::default())?;
    Ok(html! {
        @if !sets.is_empty() {
            form #choose-set method="post" action=(format!("/checks/{}/settings", check.sheet.id)) {
                label .field {
                    span { "To file it, choose the jaw set" }
                    select name="jaw_set" {
                        @for set in &sets { option value=(set.jaw_set.id) { (shown::name(&set.jaw_set.name)) } }
                    }
                }
                button type="submit" { "It is a check of this set" }
            }
        }
    })
}
