//! One reader's figures on the page.

use maud::{Markup, html};

use super::super::super::words::name;
use super::super::{meaning, words};
use super::bar;
use crate::people::agreement::{
    AgainstRight, Confusion, Limit, NoFigure, ReaderAgreement, Repeatability, Severity, Share,
    severity,
};
use crate::reading::pattern::Pattern;

/// The wrong way first, then the shares that have limits, reader by reader.
pub(super) fn overview(readers: &[ReaderAgreement]) -> Markup {
    let known = || {
        readers
            .iter()
            .filter_map(|r| Some((&r.reader, r.against_right.as_ref().ok()?)))
    };
    html! {
        @if known().next().is_some() {
            section {
                h2 { "Wrong way first" }
                table {
                    thead { tr {
                        th { "Reader" } th { "Wrong way" } th { "Effectiveness" } th { "Misses" } th { "False alarms" } th { "Kappa" }
                    } }
                    tbody { @for (reader, a) in known() {
                        tr {
                            th scope="row" { (reader) }
                            td { (wrong_way(&a.wrong_way)) }
                            td { (short(&Ok(a.compared.agreement))) }
                            td { (short(&a.misses)) }
                            td { (short(&a.false_alarms)) }
                            td { (words::estimate_or(&a.compared.kappa)) }
                        }
                    } }
                    tfoot { tr {
                        th { "Limit" } td {}
                        td { (words::limit(Limit::EFFECTIVENESS)) } td { (words::limit(Limit::MISSES)) }
                        td { (words::limit(Limit::FALSE_ALARMS)) } td {}
                    } }
                }
            }
        }
    }
}

fn wrong_way(share: &Result<Share, NoFigure>) -> Markup {
    html! {
        @if share.as_ref().is_ok_and(|s| s.count > 0) { strong { "! " (short(share)) } }
        @else { (short(share)) }
    }
}

fn short(share: &Result<Share, NoFigure>) -> Markup {
    html! {
        @match share {
            Ok(s) => { (s.count) " of " (s.of) br; span .light { (words::interval(s)) } }
            Err(reason) => { span .light { "– " (reason) } }
        }
    }
}

/// Each share with its range as a bar, against its limit.
pub(super) fn figures(a: &AgainstRight) -> Markup {
    let effective = Ok(a.compared.agreement);
    let rows: [(&str, &Result<Share, NoFigure>, Option<Limit>); 5] = [
        ("Wrong way", &a.wrong_way, None),
        ("Effectiveness", &effective, Some(Limit::EFFECTIVENESS)),
        ("Misses", &a.misses, Some(Limit::MISSES)),
        ("False alarms", &a.false_alarms, Some(Limit::FALSE_ALARMS)),
        ("Refused", &a.refused, None),
    ];
    html! {
        table .figures {
            tbody {
                @for (label, share, limit) in rows { (figure(label, share, limit)) }
                @if a.judged_the_unreadable.is_ok() { (figure("Unreadable judged", &a.judged_the_unreadable, None)) }
                tr { th scope="row" { "Kappa" } td colspan="3" { (words::estimate_or(&a.compared.kappa)) } }
                tr { th scope="row" { "Weighted kappa" } td colspan="3" { (words::estimate_or(&a.compared.weighted_kappa)) } }
                @if let Some(c) = &a.changes {
                    tr { th scope="row" { "Changes called" } td colspan="3" {
                        (c.compared) " compared, " (c.wrong_sign) " with the wrong sign; half of them within "
                        (format!("{:.2} thou per side ({:.2} on the diameter)", c.median_off.thou(), c.median_off.on_diameter().thou()))
                    } }
                }
            }
        }
    }
}

fn figure(label: &str, share: &Result<Share, NoFigure>, limit: Option<Limit>) -> Markup {
    html! {
        tr {
            th scope="row" { (label) }
            @match share {
                Ok(s) => {
                    td .figure { (words::share(s)) }
                    td .bar { (bar::share(s, limit)) }
                    td { @if let Some(limit) = limit { (words::limit(limit)) ": " strong { (words::standing(limit.standing(s))) } } }
                }
                Err(reason) => { td colspan="3" { "– (" (reason) ")" } }
            }
        }
    }
}

/// The same photo called again.
pub(super) fn repeats(again: &Repeatability) -> Markup {
    let (same, turned) = (Ok(again.same), Ok(again.turned));
    html! {
        table .figures {
            tbody {
                (figure("Same again", &same, None))
                (figure("Turned round", &turned, None))
                tr { th scope="row" { "Kappa of repeats" } td colspan="3" { (words::estimate_or(&again.compared.kappa)) } }
            }
        }
    }
}

/// What was right in rows, what was called in columns.
pub(super) fn confusion(confusion: &Confusion) -> Markup {
    let letters: Vec<_> = meaning::letters(&confusion.patterns).collect();
    html! {
        table .confusion {
            caption { "What was right, and what was called. Framed: right. Marked !: the wrong way." }
            thead { tr {
                th { "right" } @for (letter, name) in &letters { th .n title=(name) { (letter) } }
            } }
            tbody { @for (((letter, _), row), right) in letters.iter().zip(&confusion.counts).zip(&confusion.patterns) {
                tr {
                    th scope="row" { (letter) " " (name(*right)) }
                    @for (called, count) in confusion.patterns.iter().zip(row) {
                        td .n .same[right == called] .opposite[opposite(*right, *called)] {
                            @if *count == 0 { span .light { "·" } }
                            @else if opposite(*right, *called) { "! " (count) }
                            @else { (count) }
                        }
                    }
                }
            } }
        }
    }
}

fn opposite(right: Pattern, called: Pattern) -> bool {
    severity(right, called) == Severity::WrongWay
}
