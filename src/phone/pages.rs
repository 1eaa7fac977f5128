//! What only a page on the phone itself has to say: where checks are kept, and how they leave the phone.

use maud::{Markup, html};
use serde::Deserialize;

use super::beside::{Beside, Found, all_to_hand_over, hand_over, to_begin, to_give};
use super::practice;
use crate::under_way::pages::first::{before, caution, listed, quick, row};
use crate::under_way::pages::page;
use crate::under_way::{SetFacts, Settings, Sheet, UnderWay};

/// What the browser says of its storage.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Storage {
    /// It promises to keep what is kept here until its user deletes it.
    promised: bool,
    /// Both `None` where it does not say.
    used_bytes: Option<u64>,
    most_bytes: Option<u64>,
    /// The page is there without a network, too.
    offline: bool,
    #[serde(flatten)]
    found: Found,
}

impl Storage {
    pub(super) fn take_found(&mut self) -> Found {
        std::mem::take(&mut self.found)
    }
}

pub(super) fn first(last: &Settings, sheets: &[Sheet], mut storage: Storage) -> String {
    let beside = Beside::from(storage.take_found());
    let listed_as = |sheet: &Sheet| row(sheet, sheet.set().map(SetFacts::jaw_set).as_ref());
    let rows: Vec<Markup> = sheets.iter().map(listed_as).collect();
    let body = html! {
        h1 { "A check on this phone" }
        (caution())
        p { "Photos are read on this phone. They leave it only where you share or hand over a check." }
        @if !storage.offline {
            p .note { "This page came over plain HTTP: all of it works, only not without a network." }
        }
        (to_begin(&beside))
        (quick(last))
        (listed(&rows))
        (all_to_hand_over(sheets, &beside))
        (before())
        p { a #to-practice .button href=(practice::ADDRESS) { "Practice: say what a photo shows" } }
        @if !rows.is_empty() {
            section #kept aria-label="What is kept on this phone" {
                h2 { "What is kept" }
                (kept(&storage))
                (save("/save", "Share or save all checks", false))
            }
        }
        (to_give(&beside))
    };
    page("A check on this phone", &html! {}, &body)
}

/// In the place where a server files a check, with what the script opens over the page.
pub(super) fn keeping(check: &UnderWay, mut storage: Storage) -> Markup {
    let beside = Beside::from(storage.take_found());
    let to = format!("/checks/{}/save", check.sheet.id);
    html! {
        (live_view())
        section #filed aria-label="Where the check is kept" {
            (hand_over(check, &beside))
            @if !check.sheet.photos.is_empty() {
                (kept(&storage))
                (save(&to, "Share or save this check", check.sheet.set().is_some()))
            }
        }
    }
}

/// The camera's picture with what to do about it, before the photo is taken; nothing is taken by itself.
fn live_view() -> Markup {
    html! {
        // Put beside the camera's own button where the browser lets the page have the camera.
        template #look { button .look type="button" { "See first what is in view" } }
        dialog #live aria-label="What the camera sees" {
            div .view {
                video autoplay muted playsinline {}
                svg .lines viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true" {
                    polygon .dark {}
                    polygon .light {}
                    polyline .tip {}
                }
            }
            p .state role="status" { "The camera is being opened…" }
            button .main .shoot type="button" disabled { "Take it" }
            button .close type="button" { "Close" }
        }
    }
}

fn kept(storage: &Storage) -> Markup {
    let megabytes = |bytes: u64| format!("{} MB", bytes.div_ceil(1_000_000));
    html! {
        p .small {
            "Kept on this phone"
            @if let Some((used, most)) = storage.used_bytes.zip(storage.most_bytes) {
                ": " (megabytes(used)) " of " (megabytes(most)) " that the browser allows"
            }
            ". "
            @if storage.promised {
                "The browser keeps it until you delete this site's data."
            } @else {
                "The browser may throw it away when space gets short: save what matters."
            }
        }
    }
}

fn save(to: &str, label: &str, of_set: bool) -> Markup {
    html! {
        form .save method="post" action=(to) { button type="submit" { (label) } }
        p .small {
            "The file holds the photos and all that was said; an archive takes it in with "
            @if of_set { code { "seepline import phone FILE" } "." }
            @else {
                code { "seepline import phone NAME FILE" } ", with the jaw set's name; a check that was begun with its set needs none."
            }
        }
    }
}
