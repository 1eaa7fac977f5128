//! A check under way: what is said about it, the answer, the photos of its jaws.

use maud::{Markup, html};

use super::super::words;
use super::super::{JAWS, KeptBack, Photo, UnderWay};
use super::{answer, jaw, setup};
use crate::report::shown;
use crate::taper::records::JawSet;
use crate::units::PerSide;

/// What stands around the check itself.
pub(crate) struct Around<'a> {
    pub(crate) set: Option<&'a JawSet>,
    /// Taper of the set's last cut.
    pub(crate) last: Option<PerSide>,
    pub(crate) kept: Option<&'a KeptBack>,
    /// Below the answer: where the check goes from here.
    pub(crate) filing: Markup,
}

impl Around<'_> {
    pub(crate) fn title(&self) -> String {
        let set = self.set.map(|set| shown::name(&set.name));
        set.unwrap_or_else(|| "Quick check".to_owned())
    }
}

pub(crate) fn body(check: &UnderWay, around: &Around<'_>) -> Markup {
    html! {
        div #check data-id=(check.sheet.id) {
            h1 { (around.title()) }
            (settings(check, around.set, around.last))
            (notices(check))
            // Above the jaws, so that it stands on the first screen.
            (answer::section(check, around.kept))
            (around.filing)
            (photos(check, around.kept))
            (discard(check))
        }
    }
}

fn settings(check: &UnderWay, set: Option<&JawSet>, last: Option<PerSide>) -> Markup {
    let settings = &check.sheet.settings;
    html! {
        section #settings aria-label="What is said about the check" {
            p { (words::sentence(&setup::line(settings, set, settings.taper.or(last)))) }
            @if let Some(known) = set.and_then(setup::known) { p .small { (known) } }
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
    let most = check.jaws().last().map_or(JAWS, |last| JAWS.max(*last));
    html! {
        section #photos aria-label="Photos of the jaws" {
            ol .jaws {
                @for number in 1..=most {
                    @let of: Vec<&Photo> = check.of_jaw(number).collect();
                    @match &of[..] {
                        [] => (jaw::empty(check, number)),
                        of => (jaw::with_photos(check, number, of, kept)),
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
