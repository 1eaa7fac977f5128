//! The report folder of a review: complete, escaped, linked, the same each time, and small.

mod browser;
mod findings;
mod pages;
mod shop;

use std::collections::BTreeMap;

use jiff::civil::date;
use seepline::report::{Page, ReviewHeading, review_pages};
use seepline::{About, Asked, Question, Questions, Rules};
use shop::Shop;

pub(crate) fn heading() -> ReviewHeading<'static> {
    ReviewHeading {
        title: "checks of the north lathe",
        when: date(2026, 3, 4).at(10, 11, 12, 0),
        note: None,
    }
}

pub(crate) fn pages(shop: &Shop) -> Vec<Page> {
    let questions = questions(shop);
    review_pages(
        &shop.photos,
        &shop.checks,
        &questions,
        Rules::built_in(),
        heading(),
    )
    .collect()
}

/// The tip of every twentieth photo.
pub(crate) fn questions(shop: &Shop) -> Questions {
    let photos = (0..shop.photos.len()).step_by(20);
    let asked = photos.map(|photo| Question {
        photo: Asked {
            photo,
            line: None,
            jaw: None,
        },
        about: About::Tip { said: None },
    });
    Questions {
        asked: asked.collect(),
        ..Questions::default()
    }
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
