//! What all pages share.

use maud::{Markup, html};

use super::super::document;
use super::{Review, pages_for, paths, settle, shown};

pub(super) const CSS: &str = include_str!("style.css");

/// How a page reaches the report folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum From {
    Top,
    Below,
}

impl From {
    pub(super) fn to(self, path: &str) -> String {
        match self {
            Self::Top => path.to_owned(),
            Self::Below => format!("../{path}"),
        }
    }
}

/// A whole page.
pub(super) fn page(review: &Review<'_>, from: From, title: &str, body: Markup) -> String {
    whole(review, from, title, &html! {}, body)
}

/// With more in its head.
pub(super) fn whole(
    review: &Review<'_>,
    from: From,
    title: &str,
    head: &Markup,
    body: Markup,
) -> String {
    let of = shown::name(review.heading.title);
    let head = html! {
        meta name="referrer" content="no-referrer";
        link rel="stylesheet" href=(from.to("style.css"));
        (head)
    };
    let body = html! {
        a .skip href="#main" { "Skip to the content" }
        header { (menu(from, &of)) }
        main #main { (body) }
        footer { (foot(review)) }
    };
    document(&format!("{title} · {of}"), &head, &body)
}

fn menu(from: From, title: &str) -> Markup {
    html! {
        p .of { "Review of " bdi { (title) } }
        nav aria-label="Pages" {
            a href=(from.to("index.html")) { "Overview" }
            a href=(from.to("checks.html")) { "All checks" }
            a href=(from.to("sets.html")) { "Jaw sets" }
            a href=(from.to("files.html")) { "Broken files" }
            a href=(from.to(settle::PAGE)) { (settle::NAME) }
        }
    }
}

fn foot(review: &Review<'_>) -> Markup {
    let heading = &review.heading;
    html! {
        p {
            "seepline " (env!("CARGO_PKG_VERSION")) ", rules " (review.rules.version())
            ", reviewed " (heading.when.strftime("%Y-%m-%d %H:%M").to_string()) "."
        }
    }
}

/// Links between the pages of one list.
pub(super) fn pager(stem: &str, page: usize, rows: usize) -> Markup {
    let last = pages_for(rows) - 1;
    // Both kinds of page lie beside the others of their list.
    let file = stem.rsplit('/').next().unwrap_or(stem);
    let link = |to: usize, text: &str| {
        html! { a href=(paths::numbered(file, to)) { (text) } }
    };
    html! {
        @if last > 0 {
            nav .pager aria-label="Pages of this list" {
                @if page > 0 { (link(0, "First")) (link(page - 1, "Previous")) }
                span { "Page " (page + 1) " of " (last + 1) }
                @if page < last { (link(page + 1, "Next")) (link(last, "Last")) }
            }
        }
    }
}

/// Hatchings for drawings; greyscale and colour-blind eyes tell them apart.
pub(super) fn hatchings() -> Markup {
    html! {
        svg .defs width="0" height="0" aria-hidden="true" {
            defs {
                (hatching("h-up", "M0,6 L6,0"))
                (hatching("h-down", "M0,0 L6,6"))
                (hatching("h-cross", "M0,6 L6,0 M0,0 L6,6"))
                (hatching("h-dots", "M2,3 h2"))
            }
        }
    }
}

fn hatching(id: &str, lines: &str) -> Markup {
    html! {
        pattern id=(id) width="6" height="6" patternUnits="userSpaceOnUse" {
            rect width="6" height="6" fill="#fff" {}
            path d=(lines) stroke="#222" stroke-width="1.6" fill="none" {}
        }
    }
}
