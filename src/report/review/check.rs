//! The page of one check: what would be advised today, why, what was done, and each photo.

use maud::{Markup, html};

use super::super::words;
use super::layout::{self, From};
use super::{Review, photo, settle, shown};
use crate::review::{CheckLine, Flag};
use crate::taper::advice::Action;
use crate::units::PerSide;

pub(super) fn page(review: &Review<'_>, index: usize) -> String {
    let check = &review.checks[index];
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
            section { (reasons(check)) (done(review, index)) }
        }
        h2 { "Photos" }
        div .cards { (photos(review, check)) }
        h2 { "Cautions" }
        ul { @for caution in review.rules.cautions() { li { (shown::free(caution)) } } }
        p .small { "Check " code { (shown::name(&check.check)) } ", advised on with rules " (shown::name(&check.rules)) "." }
    };
    layout::page(review, From::Below, &title, body)
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

fn done(review: &Review<'_>, index: usize) -> Markup {
    let check = &review.checks[index];
    // The bit is asked first: the list is long and would be searched for every page.
    let flagged = review.findings.has(index, Flag::Against);
    let mut all = review.findings.against.iter().filter(|_| flagged);
    let against = all.find(|a| a.check == index);
    html! {
        h2 { "What was done" }
        @match check.done.as_deref().filter(|d| !d.trim().is_empty()) {
            Some(done) => blockquote { bdi { (shown::free(done)) } },
            None => p { "Nothing is noted." },
        }
        @if let Some(against) = against {
            p .note { strong { "Against the advice: " } (shown::against(against.why)) "." }
        }
    }
}

fn photos(review: &Review<'_>, check: &CheckLine) -> Markup {
    html! {
        @for jaw in &check.jaws { (photo::together(review, check, jaw)) }
        @for (place, sha) in check.photos.iter().enumerate() {
            @match review.order.photo(sha) {
                Some(line) => (photo::card(review, check, line, place)),
                None => section .card { h3 { (photo::title(review, check, place)) } p { "This photo is not among the results." } },
            }
        }
        @if check.photos.is_empty() { p { "There is no photo." } }
    }
}
