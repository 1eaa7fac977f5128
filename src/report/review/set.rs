//! The page of one jaw set, and the list of all.

use std::io;

use maud::{Markup, html};

use super::super::words;
use super::layout::{self, From};
use super::{ROWS_A_PAGE, Review, chart, shown, sparkline};
use crate::review::CheckLine;

/// `page` counts from 0; later pages hold older checks.
pub(super) fn page(review: &Review<'_>, set: usize, page: usize) -> io::Result<String> {
    let of = &review.order.sets[set];
    let name = shown::set_name(of.name.as_deref());
    let latest_first = of.checks().rev();
    let rows = latest_first.skip(page * ROWS_A_PAGE).take(ROWS_A_PAGE);
    let rows = rows.map(|i| Ok((i, review.lines.check(i)?)));
    let rows: Vec<(usize, CheckLine)> = rows.collect::<io::Result<_>>()?;
    let chart = match page {
        0 if of.name.is_some() => chart::chart(review, set)?,
        _ => None,
    };
    let stem = review.paths.set(set, 0);
    let stem = stem.trim_end_matches(".html");
    let pager = layout::pager(stem, page, of.len());
    let body = html! {
        h1 { @if of.name.is_some() { "Jaw set " } bdi { (name) } }
        (drift(review, set))
        @if let Some(chart) = chart { (chart) }
        h2 { (shown::count(of.len(), "check")) ", latest first" }
        (pager)
        (table(review, &rows))
        (pager)
    };
    Ok(layout::page(review, From::Below, &name, body))
}

fn drift(review: &Review<'_>, set: usize) -> Markup {
    let drift = review.findings.drifts.iter().find(|d| d.set == set);
    html! { @if let Some(drift) = drift { p .note { strong { "Drift: " } (super::lists::drift_words(drift)) ". " (super::lists::DRIFT_MEANS) } } }
}

fn table(review: &Review<'_>, rows: &[(usize, CheckLine)]) -> Markup {
    html! {
        table .stack {
            thead { tr {
                th scope="col" { "Check" } th scope="col" { "Taper cut" } th scope="col" { "Pattern" }
                th scope="col" { "Advice" } th scope="col" { "Confidence" } th scope="col" { "Done" }
            } }
            tbody { @for (i, check) in rows { (row(review, *i, check)) } }
        }
    }
}

fn row(review: &Review<'_>, index: usize, check: &CheckLine) -> Markup {
    html! {
        tr {
            th scope="row" { a href=(format!("../{}", review.paths.check(index))) { (shown::time(check.made.as_deref())) } }
            td data-label="Taper cut" { @match check.taper { Some(t) => (shown::lines(&shown::taper(t))), None => "not noted" } }
            td data-label="Pattern" { (words::name(check.pattern)) }
            td data-label="Advice" {
                (shown::action(check))
                @if let Some(c) = check.change.filter(|c| *c != crate::units::PerSide::ZERO) { br; (shown::lines(&shown::change(c))) }
            }
            td data-label="Confidence" { (shown::confidence(check.confidence)) }
            td data-label="Done" { bdi { (shown::clean(check.done.as_deref().unwrap_or("not noted"), 80)) } }
        }
    }
}

/// All jaw sets by name.
pub(super) fn list(review: &Review<'_>, page: usize) -> io::Result<String> {
    let sets = &review.order.sets;
    let first = page * ROWS_A_PAGE;
    let last = sets.len().min(first + ROWS_A_PAGE);
    let pager = layout::pager("sets", page, sets.len());
    let body = html! {
        h1 { "Jaw sets" }
        (pager)
        @if sets.is_empty() { p { "There is no check." } } @else { (trends(review, &mut (first..last))?) }
        (pager)
    };
    Ok(layout::page(review, From::Top, "Jaw sets", body))
}

/// Sets with their latest check and the trend.
pub(super) fn trends(
    review: &Review<'_>,
    sets: &mut dyn Iterator<Item = usize>,
) -> io::Result<Markup> {
    Ok(html! {
        table .stack {
            thead { tr {
                th scope="col" { "Jaw set" } th scope="col" { "Checks" } th scope="col" { "Last check" }
                th scope="col" { "Advice then" } th scope="col" { "Change asked for, over time" }
            } }
            tbody { @for set in sets { (trend(review, set)?) } }
        }
    })
}

fn trend(review: &Review<'_>, set: usize) -> io::Result<Markup> {
    let of = &review.order.sets[set];
    // Undated checks stand last and are not the latest for that.
    let last = of.dated().next_back().or(of.checks().next_back());
    let last = last.map(|i| review.lines.check(i)).transpose()?;
    let line = match of.name {
        Some(_) => sparkline::sparkline(review, set)?,
        None => None,
    };
    Ok(html! {
        tr {
            th scope="row" { a href=(review.paths.set(set, 0)) { bdi { (shown::set_name(of.name.as_deref())) } } }
            td data-label="Checks" { (shown::thousands(of.len())) }
            @if let Some(check) = &last {
                td data-label="Last check" { (shown::day(check.made.as_deref())) ", " (words::name(check.pattern)) }
                td data-label="Advice then" {
                    (shown::action(check))
                    @if let Some(c) = check.change.filter(|c| *c != crate::units::PerSide::ZERO) { br; (shown::lines(&shown::change(c))) }
                }
            }
            td data-label="Over time" { @match line { Some(line) => (line), None => "too few to draw" } }
        }
    })
}
