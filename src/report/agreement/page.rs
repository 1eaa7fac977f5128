//! The report on agreement as HTML to print: no scripts, nothing to load, A4 and US Letter, readable in
//! grey.

mod bar;
mod reader;

use maud::{Markup, PreEscaped, html};

use super::super::shown::count;
use super::super::{document, printable};
use super::{AgreementReport, meaning, words};
use crate::people::agreement::{Divided, GroupAgreement, PairAgreement, ReaderAgreement};

const CSS: &str = include_str!("page/page.css");

/// The whole page.
pub fn agreement_to_html(report: &AgreementReport) -> String {
    let agreement = &report.agreement;
    let title = printable(&report.title);
    let right = words::rests_on(agreement);
    let body = html! {
        h1 { (title) }
        @for fact in &report.facts { p { (printable(fact)) } }
        @if !right.is_empty() { p { strong { "What was right: " } (right) "." } }
        @for sentence in meaning::on_top(agreement) { p .first { (sentence) } }
        (reader::overview(&agreement.readers))
        @for r in &agreement.readers { (one(r)) }
        (pairs(&agreement.pairs))
        (groups(&agreement.groups))
        (divided(&agreement.divided))
        (problems(&report.problems))
        (notes())
    };
    document(&title, &html! { style { (PreEscaped(CSS)) } }, &body)
}

fn one(r: &ReaderAgreement) -> Markup {
    html! {
        section {
            h2 { (r.reader) span .light { " " (count(r.calls, "call")) " of " (count(r.items, "photo")) } }
            ul { @for sentence in meaning::of_reader(r) { li { (sentence) } } }
            @if let Ok(against) = &r.against_right { (reader::figures(against)) }
            @if let Ok(again) = &r.repeatability { (reader::repeats(again)) }
            @if let Ok(against) = &r.against_right { (reader::confusion(&against.compared.confusion)) }
        }
    }
}

fn pairs(pairs: &[PairAgreement]) -> Markup {
    html! {
        @if !pairs.is_empty() {
            section {
                h2 { "Each two readers" }
                table {
                    thead { tr { th { "Readers" } th .n { "Opposite ways" } th { "The same" } th { "Kappa" } th { "Weighted kappa" } } }
                    tbody { @for p in pairs { (pair(p)) } }
                }
            }
        }
    }
}

fn pair(p: &PairAgreement) -> Markup {
    html! {
        tr {
            th scope="row" { (p.readers[0]) " and " (p.readers[1]) }
            @match &p.compared {
                Err(reason) => { td colspan="4" { "– (" (reason) ")" } }
                Ok(c) => {
                    td .n { (c.opposed.count) " of " (c.opposed.of) }
                    td { (words::share(&c.agreement)) }
                    td { (words::estimate_or(&c.kappa)) }
                    td { (words::estimate_or(&c.weighted_kappa)) }
                }
            }
        }
    }
}

fn groups(groups: &[GroupAgreement]) -> Markup {
    let names = |g: &GroupAgreement| {
        let names: Vec<String> = g.readers.iter().map(ToString::to_string).collect();
        names.join(", ")
    };
    html! {
        @if !groups.is_empty() {
            section {
                h2 { "Several readers together" }
                table {
                    thead { tr { th { "Readers" } th { "Fleiss' kappa" } th { "Alpha, patterns" } th { "Alpha, taper" } } }
                    tbody { @for g in groups {
                        tr {
                            th scope="row" { (names(g)) }
                            td { (words::estimate_or(&g.fleiss)) br; span .light { (g.whole) " photos that all called" } }
                            td { (words::estimate_or(&g.alpha)) br; span .light { (g.items) " photos" } }
                            td { (words::estimate_or(&g.alpha_direction)) }
                        }
                    } }
                }
            }
        }
    }
}

fn divided(divided: &[Divided]) -> Markup {
    html! {
        @if !divided.is_empty() {
            section {
                h2 { "To go over together, the worst first" }
                ul { @for photo in divided.iter().take(words::DIVIDED_SHOWN) {
                    li { bdi { (printable(&photo.item)) } ": " (words::divided(photo)) }
                } }
                @if divided.len() > words::DIVIDED_SHOWN { p { "and " (divided.len() - words::DIVIDED_SHOWN) " more, all of them in the JSON" } }
            }
        }
    }
}

fn problems(problems: &[String]) -> Markup {
    html! {
        @if !problems.is_empty() {
            section {
                h2 { "Not used, or only in part" }
                ul { @for problem in problems { li { bdi { (printable(problem)) } } } }
            }
        }
    }
}

fn notes() -> Markup {
    html! {
        section .notes {
            h2 { "How this was counted" }
            dl {
                @for (term, text) in words::DEFINITIONS { dt { (term) } dd { (text) } }
                dt { "Weights" }
                dd {
                    @for (weight, reason) in words::weights() { strong { (weight) } " " (reason) ". " }
                    (words::WEIGHTS_ARE)
                }
            }
            p { (words::CAUTION) }
            p .light { "seepline " (env!("CARGO_PKG_VERSION")) }
        }
    }
}
