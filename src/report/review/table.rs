//! The table of all checks: a form to filter, and a table that the script fills.

use maud::{Markup, html};

use super::layout::{self, From};
use super::{Review, data, shown};

pub(super) const SCRIPT: &str = include_str!("table.js");

/// Key in a row, and what stands above.
const COLUMNS: [(&str, &str); 6] = [
    ("date", "Check"),
    ("set", "Jaw set"),
    ("pattern", "Pattern"),
    ("change", "Advice"),
    ("confidence", "Confidence"),
    ("flags", "Look at"),
];

pub(super) fn page(review: &Review<'_>) -> String {
    let scripts = html! {
        // Deferred scripts run in this order: the variable, its rows, then what shows them.
        script defer src="data/names.js" {}
        @for chunk in 0..data::chunks(review) { script defer src=(data::chunk_path(chunk)) {} }
        script defer src="table.js" {}
    };
    let body = html! {
        h1 { "All checks" }
        noscript {
            p .note { "Sorting and filtering need JavaScript. Every check is also listed under its jaw set: " a href="sets.html" { "all jaw sets" } "." }
        }
        (form())
        div .status { p #count role="status" { (shown::count(review.order.len(), "check")) } (turn()) }
        table #checks .stack {
            thead { tr {
                @for (key, title) in COLUMNS { th scope="col" data-sort=(key) { button type="button" { (title) } } }
                th scope="col" { "Done" }
                th scope="col" { "Photos" }
            } }
            tbody {}
        }
        div .status { (turn()) }
    };
    layout::whole(review, From::Top, "All checks", &scripts, body)
}

/// Choices are filled in by the script, which knows them from the data.
fn form() -> Markup {
    html! {
        form #filter role="search" aria-label="Filter the checks" {
            label { "Jaw set, file, what was done, or check id " input name="find" type="search" list="sets" autocomplete="off"; }
            datalist #sets {}
            label { "Pattern " select name="pattern" { option value="" { "any" } } }
            label { "Look at " select name="look" { option value="" { "anything" } } }
            label { "Refused because " select name="reason" { option value="" { "any or no reason" } } }
            label { "From " input name="from" type="date"; }
            label { "To " input name="to" type="date"; }
            label { "Confidence below, in % " input name="below" type="number" min="0" max="101" step="1"; }
            label { "Rows " select name="rows" { option { "50" } option { "100" } option { "500" } } }
            button type="reset" { "Clear" }
        }
    }
}

fn turn() -> Markup {
    html! {
        nav .pager .turn aria-label="Pages of the table" {
            button type="button" data-turn="first" { "First" }
            button type="button" data-turn="back" { "Previous" }
            span data-page {}
            button type="button" data-turn="on" { "Next" }
            button type="button" data-turn="last" { "Last" }
        }
    }
}
