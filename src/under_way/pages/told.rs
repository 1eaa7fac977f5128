//! A first taper, or what to do with a set that is mounted again: the parts that the command prints, in its order but for warnings.

use maud::{Markup, html};

use super::super::words::without_options;
use crate::report::{Figure, Told, shown};

pub(super) fn answer(told: &Told<'_>) -> Markup {
    html! {
        section #answer .told aria-label="The answer" {
            h2 .headline { (told.headline) }
            // A terminal shows what comes last; a phone what comes first, and nobody is to cut by a number before it.
            @for warning in told.warnings { p .warning { strong { "WARNING" } " " (text(warning)) } }
            @if let Some(cut) = &told.cut {
                dl .figures { @for figure in cut { (number(figure)) } }
            }
            @if !told.numbers.is_empty() {
                dl .facts { @for (name, value) in &told.numbers { dt { (name) ":" } dd { (value) } } }
            }
            @if let Some(range) = &told.range { p .range { (range) } }
            (listed("Why", told.why))
            (listed("Not known", &told.not_known))
            @if !told.sum.is_empty() {
                details .more {
                    summary { "The sum, and what it rests on" }
                    (listed("The sum", &told.sum))
                    (listed("Assumed", told.assumed))
                }
            }
            h3 { "What to do:" }
            ol { @for step in told.what_to_do { li { (text(step)) } } }
            h3 { "Cautions" }
            ul .cautions { @for caution in told.cautions { li { (text(caution)) } } }
        }
    }
}

fn number(figure: &Figure) -> Markup {
    html! {
        div {
            dt { (figure.label) ":" }
            dd { (figure.thou) }
            dd .small { (figure.behind) }
        }
    }
}

fn listed(title: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h3 { (title) ":" }
            ul { @for line in lines { li { (text(line)) } } }
        }
    }
}

fn text(line: &str) -> String {
    shown::free(&without_options(line))
}
