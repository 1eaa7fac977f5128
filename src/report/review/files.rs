//! Files that could not be read, and what to do about each.

use maud::html;

use super::layout::{self, From};
use super::{ROWS_A_PAGE, Review, shown};
use crate::review::PhotoLine;

pub(super) fn broken<'r>(review: &'r Review<'_>) -> impl Iterator<Item = &'r PhotoLine> {
    let photos = review.photos.iter().copied();
    photos.filter(|p| p.error.is_some())
}

pub(super) fn page(review: &Review<'_>, page: usize) -> String {
    let all = broken(review).count();
    let rows = broken(review).skip(page * ROWS_A_PAGE).take(ROWS_A_PAGE);
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
                tbody { @for photo in rows {
                    tr {
                        th scope="row" { bdi { (shown::free(&photo.file)) } }
                        td data-label="What is wrong" { (shown::free(photo.error.as_deref().unwrap_or_default())) }
                    }
                } }
            }
            (pager)
        }
    };
    layout::page(review, From::Top, "Broken files", body)
}
