//! Files that could not be read, and what to do about each.

use std::io;

use maud::html;

use super::layout::{self, From};
use super::{ROWS_A_PAGE, Review, shown};
use crate::review::PhotoLine;

pub(super) fn page(review: &Review<'_>, page: usize) -> io::Result<String> {
    let broken = &review.totals.broken;
    let all = broken.len();
    let rows = broken.iter().skip(page * ROWS_A_PAGE).take(ROWS_A_PAGE);
    let rows = rows.map(|at| review.lines.photo(*at));
    let rows: Vec<PhotoLine> = rows.collect::<io::Result<_>>()?;
    let pager = layout::pager("files", page, all);
    let body = html! {
        h1 { "Broken files" }
        @if all == 0 {
            p { "Every file could be read." }
        } @else {
            p { (shown::count(all, "file")) " could not be read; the others were read all the same." }
            (pager)
            table .stack {
                thead { tr { th scope="col" { "File" } th scope="col" { "What is wrong, and what to do" } } }
                tbody { @for photo in &rows {
                    tr {
                        th scope="row" { bdi { (shown::free(&photo.file)) } }
                        td data-label="What is wrong" { (shown::free(photo.error.as_deref().unwrap_or_default())) }
                    }
                } }
            }
            (pager)
        }
    };
    Ok(layout::page(review, From::Top, "Broken files", body))
}
