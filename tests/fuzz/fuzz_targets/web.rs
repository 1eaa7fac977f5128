//! Any request of a phone has an answer that is no fault of the program's. The first line is method and path, in
//! which CHECK, PHOTO, SET and FILED stand for ids, the second the type of the body, the third the cookie that
//! remembers what was chosen last; the rest is the body. Who is not paired gets nothing at all.
//!
//! What runs beside a request, such as the reading of a photo, ends in an answer of status 500 when it panics;
//! a panic of a decoder that the photo boundary catches is no fault.

#![no_main]

use std::cell::RefCell;
use std::str;

use libfuzzer_sys::fuzz_target;
use seepline::fuzzing::{Answered, Page};

/// A photo of a jaw that is read fast.
const PHOTO: &[u8] = include_bytes!("../../reference/photos/sampled-420.jpg");

thread_local! {
    static PAGE: RefCell<Page> = RefCell::new(open());
}

fuzz_target!(
    init: seepline::fuzzing::only_others_may_panic(),
    |bytes: &[u8]| {
        let mut parts = bytes.splitn(4, |b| *b == b'\n');
        let mut line = || str::from_utf8(parts.next().unwrap_or_default()).ok();
        let (Some(first), Some(kind), Some(last)) = (line(), line(), line()) else {
            return;
        };
        let body = parts.next().unwrap_or_default();
        if let Some((method, path)) = first.split_once(' ') {
            PAGE.with_borrow_mut(|page| asked(page, [method, path, kind, last], body));
        }
    }
);

fn asked(page: &mut Page, [method, path, kind, last]: [&str; 4], body: &[u8]) {
    let stranger = page.ask(method, path, kind, last, body.to_vec(), false);
    if stranger.status == 0 {
        return;
    }
    sound(&stranger);
    assert!((400..500).contains(&stranger.status), "{stranger:?}");
    let answered = page.ask(method, path, kind, last, body.to_vec(), true);
    sound(&answered);
    page.renew().expect("a check under way");
}

fn sound(answered: &Answered) {
    let Answered {
        status,
        headers,
        body,
    } = answered;
    assert!(*status < 500, "{answered:?}");
    for name in [
        "content-security-policy",
        "x-content-type-options",
        "cache-control",
    ] {
        assert!(headers.contains_key(name), "{name}: {answered:?}");
    }
    let kind = headers
        .get("content-type")
        .map_or(&b""[..], |v| v.as_bytes());
    if kind.starts_with(b"application/json") && !body.is_empty() {
        serde_json::from_slice::<serde_json::Value>(body).expect("JSON");
    }
    if kind.starts_with(b"text/html") {
        let page = str::from_utf8(body).expect("UTF-8");
        assert!(!page.contains('\u{1b}') && !page.contains('\0'));
    }
    if let Some(place) = headers.get("location") {
        let place = place.to_str().expect("an address");
        assert!(
            place.starts_with('/') && !place.starts_with("//"),
            "{place}"
        );
    }
}

fn open() -> Page {
    let folder = std::env::temp_dir().join(format!("seepline-fuzz-web-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    Page::open(&folder, PHOTO.to_vec()).expect("a page")
}
