//! Several photos of one jaw: taken one after the other from other sides, read together.

use std::sync::Arc;

use maud::{Markup, html};

use super::super::super::words;
use super::super::super::{Photo, Read, UnderWay};
use super::super::name;
use super::{Beside, answered, corners, figure, judged, take, tip, to};
use crate::reading::inspect::{Inspection, SetAside};
use crate::report::{JawReport, shown, words as said};

/// What they say together, then each with what it says alone.
pub(super) fn read_together(
    check: &UnderWay,
    number: u8,
    photos: &[&Photo],
    reads: &[&Arc<Read>],
) -> Markup {
    let together = photos.first().and_then(|first| joined(check, first));
    html! {
        @if let Some(jaw) = together {
            p .small { "From " (said::photos(photos.len())) " together." }
            (judged(check, &jaw.joined.reading))
            @for warning in &jaw.joined.reading.warnings { p .warning { (words::sentence(warning)) } }
        }
        @for (index, (photo, read)) in photos.iter().zip(reads).enumerate() {
            @let aside = together.and_then(|jaw| jaw.joined.left_out.get(index).copied().flatten());
            (view(check, photo, read, index + 1, aside))
        }
        @if together.is_none_or(|jaw| jaw.joined.reading.refusal.is_some()) {
            (another(check, number))
        } @else {
            details .more {
                summary { "Another photo of this jaw" }
                (another(check, number))
            }
        }
    }
}

/// The answer's jaw that this photo is of.
fn joined<'a>(check: &'a UnderWay, photo: &Photo) -> Option<&'a JawReport> {
    let answer = check.answer.as_ref()?;
    let of = |p: &crate::report::PhotoReport| {
        p.inspection()
            .is_some_and(|i| i.photo.sha256 == photo.sha256)
    };
    answer.jaw_of(answer.photos.iter().position(of)?)
}

fn view(
    check: &UnderWay,
    photo: &Photo,
    read: &Read,
    number: usize,
    aside: Option<SetAside>,
) -> Markup {
    let Some(inspection) = read.report.inspection() else {
        return html! {};
    };
    let reading = &answered(check, photo).unwrap_or(inspection).reading;
    let alone = match aside {
        None => format!("alone: {}.", said::alone(reading)),
        Some(aside) => format!(
            "left out: {}.",
            words::without_options(said::set_aside(aside))
        ),
    };
    html! {
        div .view {
            p { strong { "Photo " (number) } " " (shown::free(&alone)) }
            (figure(check, photo, read, reading))
            (tip(check, photo, reading))
            (mend(check, photo, inspection))
        }
    }
}

fn mend(check: &UnderWay, photo: &Photo, inspection: &Inspection) -> Markup {
    html! {
        details .more .mend {
            summary { "Not right? Corners, or without it" }
            (corners(check, photo, inspection))
            (take_out(check, photo))
        }
    }
}

/// A photo that is read together with what the jaw has.
pub(super) fn another(check: &UnderWay, number: u8) -> Markup {
    html! {
        p .small { "A part hidden by glare or by a hand? Move to another side of the same jaw: both photos are read together." }
        (take(check, number, Beside::Others, "Another photo of this jaw"))
    }
}

pub(super) fn take_out(check: &UnderWay, photo: &Photo) -> Markup {
    html! {
        form method="post" action=(format!("{}/remove", to(check, photo))) {
            button type="submit" { "Take this photo out" span .hidden { " of the check" } }
        }
        p .small { "File: " (name(&photo.name)) }
    }
}
