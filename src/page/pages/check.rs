//! The page of a check under way: the photos of its jaws, the answer, and filing it.

use maud::{Markup, html};

use super::super::calling::{self, KeptBack};
use super::super::desk::Desk;
use super::super::fault::Fault;
use super::super::state;
use super::super::under_way::{Filed, JAWS, UnderWay};
use super::super::words;
use super::{Refresh, answer, jaw, name, page as whole, setup};
use crate::archive::Details;
use crate::report::shown;
use crate::taper::records::JawSet;
use crate::units::PerSide;

pub(in super::super) fn page(desk: &Desk, check: &mut UnderWay) -> Result<String, Fault> {
    // First, as it notes that the reading was shown, or says what keeps it back.
    let kept = calling::before_showing(desk, check)?;
    let kept = kept.as_ref();
    let set = state::set_of(desk, check)?;
    let last = last_taper(desk, set.as_ref())?;
    let title = set
        .as_ref()
        .map_or_else(|| "Quick check".to_owned(), |s| shown::name(&s.name));
    let refresh = if check.waiting().is_empty() {
        Refresh::No
    } else {
        Refresh::Soon
    };
    let body = html! {
        div #check data-id=(check.sheet.id) {
            h1 { (title) }
            (settings(check, set.as_ref(), last))
            (notices(check))
            // Above the jaws, so that it stands on the first screen.
            (answer::section(check, kept))
            (filing(desk, check, set.as_ref(), kept)?)
            (photos(check, kept))
            (discard(check))
        }
    };
    Ok(whole(&title, refresh, &body))
}

/// What the set's last cut says.
fn last_taper(desk: &Desk, set: Option<&JawSet>) -> Result<Option<PerSide>, Fault> {
    let Some(set) = set else { return Ok(None) };
    let timeline = desk.open_archive()?.timeline(set.id, Details::LeftOut)?;
    Ok(timeline.cuts.last().and_then(|c| c.cut.taper))
}

fn settings(check: &UnderWay, set: Option<&JawSet>, last: Option<PerSide>) -> Markup {
    let settings = &check.sheet.settings;
    html! {
        section #settings aria-label="What is said about the check" {
            p { (words::sentence(&setup::line(settings, set, settings.taper.or(last)))) }
            details {
                summary { "Change" }
                form method="post" action=(format!("/checks/{}/settings", check.sheet.id)) {
                    (setup::fields(settings, set.map(|s| (s, last))))
                    @if !check.sheet.shown && check.sheet.call.is_none() { (setup::reader(settings)) }
                    button .main type="submit" { "Use these, and read again" }
                }
            }
        }
    }
}

fn notices(check: &UnderWay) -> Markup {
    let problem = check.problem.iter();
    let all: Vec<&String> = check.notices.iter().chain(problem).collect();
    html! {
        div #notices role="alert" {
            @for notice in all { p .fault { (words::sentence(notice)) } }
        }
    }
}

fn photos(check: &UnderWay, kept: Option<&KeptBack>) -> Markup {
    let photos = &check.sheet.photos;
    let most = photos.iter().map(|p| p.jaw).max().unwrap_or(0).max(JAWS);
    html! {
        section #photos aria-label="Photos of the jaws" {
            ol .jaws {
                @for number in 1..=most {
                    @match photos.iter().find(|p| p.jaw == number) {
                        Some(photo) => (jaw::with_photo(check, photo, kept)),
                        None => (jaw::empty(check, number)),
                    }
                }
            }
            details .more {
                summary { "Several photos at once, or more jaws" }
                (jaw::several(check))
            }
        }
    }
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

fn discard(check: &UnderWay) -> Markup {
    html! {
        details #discard .more {
            summary { "Throw this check away" }
            form method="post" action=(format!("/checks/{}/discard", check.sheet.id)) {
                p { "Its photos go too, unless they were filed." }
                button type="submit" { "Throw it away" }
            }
        }
    }
}
