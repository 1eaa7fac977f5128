//! The overview: what a lead looks for first, then counts and trends.

use std::collections::HashMap;
use std::io;

use maud::{Markup, html};

use super::super::words;
use super::layout::{self, From};
use super::{Review, lists, set, settle, shown};
use crate::reading::pattern::Pattern;
use crate::review::Flag;
use crate::taper::advice::Grip;

/// Sets whose trend is drawn here; the others are on the list of sets.
const TRENDS: usize = 20;
/// Width and height of the longest bar, in pixels.
const BAR: (usize, usize) = (220, 14);

pub(super) fn page(review: &Review<'_>) -> io::Result<String> {
    let title = shown::name(review.heading.title);
    let body = html! {
        (layout::hatchings())
        h1 { "Review of " bdi { (title) } }
        (totals(review))
        (settle::pointer(review))
        h2 { "Look at first" }
        (tiles(review))
        div .columns {
            (lists::low_confidence(review)?) (lists::refused(review)?) (lists::against(review)?)
            (lists::not_noted(review)?) (lists::passes(review)?) (lists::odd_jaws(review))
            (lists::drifts(review))
        }
        div .columns {
            section { h2 { "Checks by pattern" } (patterns(review)) }
            section { h2 { "Refused photos by reason" } (reasons(review)) }
        }
        h2 { "Trend of each jaw set" }
        (trends(review)?)
    };
    Ok(layout::page(review, From::Top, "Overview", body))
}

fn totals(review: &Review<'_>) -> Markup {
    let sets = review.order.named().count();
    let totals = &review.totals;
    let (copies, broken) = (totals.copies, totals.broken.len());
    html! {
        p .totals {
            strong { (shown::count(totals.photos, "photo")) } " in "
            strong { (shown::count(review.order.len(), "check")) } " of "
            strong { (shown::count(sets, "jaw set")) }
            @if let Some([first, last]) = &totals.dates {
                ", " (shown::day(Some(first))) " to " (shown::day(Some(last)))
            }
            "."
            @if copies > 0 { " " (shown::count(copies, "file")) " with the same bytes as another, counted once." }
            @if broken > 0 { " " a href="files.html" { (shown::count(broken, "file")) " could not be read" } "." }
        }
        @if let Some(note) = review.heading.note { p .note { (shown::free(note)) } }
        @if let Some(proof) = &totals.proof { p .note { (shown::free(proof)) } }
    }
}

/// The numbers, each a link to its list.
fn tiles(review: &Review<'_>) -> Markup {
    // Warnings have no list below that a tile could lead to.
    let first = Flag::ALL.into_iter().filter(|f| *f != Flag::Warning);
    html! {
        ul .tiles {
            @for flag in first {
                li {
                    a href={ "#" (flag.word()) } {
                        strong { (shown::thousands(lists::size(review, flag).0)) } " " (shown::flag(flag))
                    }
                }
            }
        }
    }
}

/// Most often first.
fn counted<T: Copy>(counts: &HashMap<T, usize>, name: fn(T) -> &'static str) -> Vec<(T, usize)> {
    let mut counts: Vec<(T, usize)> = counts
        .iter()
        .map(|(value, count)| (*value, *count))
        .collect();
    // Equal counts by name: the map's order differs from run to run, and the same values make the same
    // page.
    counts.sort_by_key(|(value, count)| (std::cmp::Reverse(*count), name(*value)));
    counts
}

fn patterns(review: &Review<'_>) -> Markup {
    let counts = counted(&review.totals.patterns, words::name);
    let rows = counts.iter().map(|(pattern, count)| Bar {
        name: words::name(*pattern),
        // What a word means across the width depends on the grip, which differs from check to check.
        says: if matches!(pattern, Pattern::CentreOnly | Pattern::EdgesOnly) {
            words::pattern(*pattern, Grip::Outside)
                .split(':')
                .next()
                .unwrap_or_default()
        } else {
            words::pattern(*pattern, Grip::Outside)
        },
        link: lists::filtered("pattern", words::name(*pattern)),
        count: *count,
        fill: fill(*pattern),
    });
    bars("Pattern", "Checks", &rows.collect::<Vec<_>>())
}

/// Black is well, diagonals are the taper, dots something else, crosses no reading.
fn fill(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::FullLength => "#222",
        Pattern::TipOnly => "url(#h-down)",
        Pattern::BaseOnly => "url(#h-up)",
        Pattern::Unreadable => "url(#h-cross)",
        _ => "url(#h-dots)",
    }
}

fn reasons(review: &Review<'_>) -> Markup {
    let counts = counted(&review.totals.reasons, words::reason);
    let rows = counts.iter().map(|(reason, count)| {
        let name = words::reason(*reason);
        Bar {
            name,
            says: "",
            link: lists::filtered("reason", name),
            count: *count,
            fill: "url(#h-cross)",
        }
    });
    bars("Reason", "Photos", &rows.collect::<Vec<_>>())
}

/// A row of a table of bars.
struct Bar {
    name: &'static str,
    says: &'static str,
    link: String,
    count: usize,
    fill: &'static str,
}

fn bars(what: &str, counted: &str, rows: &[Bar]) -> Markup {
    let most = rows.iter().map(|r| r.count).max().unwrap_or(1).max(1);
    html! {
        @if rows.is_empty() { p { "None." } } @else {
            table .bars {
                thead { tr { th scope="col" { (what) } th .number scope="col" { (counted) } th scope="col" { span .hidden { "Bar" } } } }
                tbody { @for row in rows {
                    tr {
                        th scope="row" { a href=(row.link) { (row.name) } @if !row.says.is_empty() { " " span .small { (row.says) } } }
                        td .number { (shown::thousands(row.count)) }
                        td { (bar(row, most)) }
                    }
                } }
            }
        }
    }
}

fn bar(row: &Bar, most: usize) -> Markup {
    let (longest, height) = BAR;
    // The least bar is still to be seen.
    let width = (row.count * longest / most).max(2);
    html! {
        svg width=(longest + 2) height=(height + 2) aria-hidden="true" {
            rect x="1" y="1" width=(width) height=(height) fill=(row.fill) stroke="#222" {}
        }
    }
}

/// Those that drift first, then those checked last.
fn trends(review: &Review<'_>) -> io::Result<Markup> {
    let last = |set: usize| {
        let dated = review.order.sets[set].dated().next_back();
        let check = dated.map(|i| review.lines.check(i)).transpose()?;
        io::Result::Ok(check.map(|check| check.made))
    };
    let drifts = |set: usize| review.findings.drifts.iter().any(|d| d.set == set);
    let sets = review.order.named();
    let sets = sets.map(|(i, _)| Ok((std::cmp::Reverse((drifts(i), last(i)?)), i)));
    let mut sets = sets.collect::<io::Result<Vec<_>>>()?;
    let named = sets.len();
    // Without any change, as where it is kept back, no line is drawn.
    let asked = !review.totals.changes.is_empty();
    sets.sort();
    sets.truncate(TRENDS);
    Ok(html! {
        @if sets.is_empty() {
            p { "No jaw set is known." }
        } @else {
            p .small { @if asked { "Above the line more taper is asked for, below it less; each line has its own scale. " } @if named > TRENDS { "The sets that drift and the " (TRENDS) " checked last; " } a href="sets.html" { "all jaw sets" } "." }
            (set::trends(review, &mut sets.into_iter().map(|(_, i)| i))?)
        }
    })
}
