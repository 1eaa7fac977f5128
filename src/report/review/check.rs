//! The page of one check: what would be advised today, why, what was done, and each photo.

use std::io;

use maud::{Markup, html};

use super::super::words;
use super::layout::{self, From};
use super::{Review, photo, settle, shown};
use crate::review::{CheckLine, Flag, PhotoLine};
use crate::taper::advice::Action;
use crate::units::PerSide;

/// A check with its photos, as far as they are among the photos.
pub(super) struct Whole {
    pub(super) check: CheckLine,
    pub(super) photos: Vec<Option<PhotoLine>>,
}

pub(super) fn page(review: &Review<'_>, index: usize) -> io::Result<String> {
    let whole = &Whole {
        check: review.lines.check(index)?,
        photos: review.lines.photos_of(index)?,
    };
    let check = &whole.check;
    let set = shown::set_name(check.jaw_set.as_deref());
    let time = shown::time(check.made.as_deref());
    let title = format!("{set}, check of {time}");
    let body = html! {
        (layout::hatchings())
        (neighbours(review, index))
        h1 { bdi { (set) } ", check of " (time) }
        (flags(review, index))
        (headline(check))
        div .columns {
            section { (advice(check)) }
            section { (reasons(check)) (done(review, index, check)) }
        }
        h2 { "Photos" }
        div .cards { (photos(review, whole)) }
        h2 { "Cautions" }
        ul { @for caution in review.rules.cautions() { li { (shown::free(caution)) } } }
        p .small { "Check " code { (shown::name(&check.check)) } ", advised on with rules " (shown::name(&check.rules)) "." }
    };
    Ok(layout::page(review, From::Below, &title, body))
}

/// The set, and the checks before and after.
fn neighbours(review: &Review<'_>, index: usize) -> Markup {
    let [before, after] = review.order.neighbours(index);
    let set = review.order.set_of(index);
    let link = |to: usize| format!("../{}", review.paths.check(to));
    html! {
        nav .pager aria-label="Checks of this jaw set" {
            @if let Some(i) = before { a rel="prev" href=(link(i)) { "← Check before" } }
            a href=(format!("../{}", review.paths.set(set, 0))) { "All checks of this jaw set" }
            @if let Some(i) = after { a rel="next" href=(link(i)) { "Check after →" } }
        }
    }
}

fn flags(review: &Review<'_>, index: usize) -> Markup {
    let flags: Vec<Flag> = Flag::ALL
        .into_iter()
        .filter(|f| review.findings.has(index, *f))
        .collect();
    html! {
        @if !flags.is_empty() {
            ul .flags aria-label="Look at" { @for flag in flags { li { (shown::flag(flag)) } } }
        }
    }
}

fn headline(check: &CheckLine) -> Markup {
    html! {
        div .advice {
            p .action { (shown::action(check)) }
            @if let Some(change) = check.change.filter(|c| *c != PerSide::ZERO) {
                p .amounts { (shown::lines(&shown::change(change))) }
            }
            p { (words::sentence(&shown::free(&check.what_to_do))) }
            @if let Some(proof) = &check.proof { p .note { (shown::free(proof)) } }
            @if check.action == Action::Settle { p { a href=(From::Below.to(settle::PAGE)) { (settle::NAME) } } }
        }
    }
}

fn advice(check: &CheckLine) -> Markup {
    html! {
        h2 { "Advice as it would be given today" }
        dl {
            dt { "Pattern" } dd { strong { (words::name(check.pattern)) } ": " (words::pattern(check.pattern, check.grip)) }
            dt { "Confidence" } dd { (shown::confidence(check.confidence)) }
            dt { "Grip" } dd { (words::grip(check.grip)) }
            dt { "Taper cut" } dd { @match check.taper { Some(t) => (shown::lines(&shown::taper(t))), None => "not noted" } }
            @if let Some(change) = check.change { dt { "Change" } dd { (shown::lines(&shown::change(change))) } }
            @if let (Some(low), Some(high)) = (check.low, check.high) { dt { "Its interval" } dd { (shown::lines(&shown::range(low, high))) } }
            @if let Some(next) = check.next_taper { dt { "Next taper" } dd { (shown::lines(&shown::taper(next))) } }
        }
    }
}

fn reasons(check: &CheckLine) -> Markup {
    html! {
        h2 { "Why" }
        p { (words::sentence(&shown::free(&check.why))) }
        @if !check.look_at_first.is_empty() {
            h2 { "Look at first" }
            ol { @for look in &check.look_at_first { li { (words::sentence(&shown::free(look))) } } }
        }
    }
}

fn done(review: &Review<'_>, index: usize, check: &CheckLine) -> Markup {
    html! {
        h2 { "What was done" }
        @match check.done.as_deref().filter(|d| !d.trim().is_empty()) {
            Some(done) => blockquote { bdi { (shown::free(done)) } },
            None => p { "Nothing is noted." },
        }
        @if let Some(why) = review.findings.why_against(index) {
            p .note { strong { "Against the advice: " } (shown::against(why)) "." }
        }
    }
}

fn photos(review: &Review<'_>, whole: &Whole) -> Markup {
    html! {
        @for jaw in &whole.check.jaws { (photo::together(review, whole, jaw)) }
        @for (place, line) in whole.photos.iter().enumerate() {
            @match line {
                Some(line) => (photo::card(review, whole, line, place)),
                None => section .card { h3 { (photo::title(whole, place)) } p { "This photo is not among the results." } },
            }
        }
        @if whole.photos.is_empty() { p { "There is no photo." } }
    }
}
