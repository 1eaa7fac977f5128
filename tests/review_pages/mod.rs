//! The report folder of a review: complete, escaped, linked, the same each time, and small.

mod browser;
mod findings;
mod pages;
mod shop;

use std::collections::BTreeMap;

use jiff::civil::date;
use seepline::Rules;
use seepline::report::{Page, ReviewHeading, review_pages};
use shop::Shop;

pub(crate) fn heading() -> ReviewHeading<'static> {
    ReviewHeading {
        title: "checks of the north lathe",
        when: date(2026, 3, 4).at(10, 11, 12, 0),
        note: None,
    }
}

pub(crate) fn pages(shop: &Shop) -> Vec<Page> {
    review_pages(&shop.photos, &shop.checks, Rules::built_in(), heading()).collect()
}

/// By path; each path once.
pub(crate) fn folder(shop: &Shop) -> BTreeMap<String, String> {
    let mut folder = BTreeMap::new();
    for page in pages(shop) {
        let text = String::from_utf8(page.bytes).expect("UTF-8");
        let twice = folder.insert(page.path.clone(), text);
        assert!(twice.is_none(), "{} twice", page.path);
    }
    folder
}
