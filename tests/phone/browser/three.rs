//! Three photos in a row with nothing said of them: what the pictures show plainly needs no tap, and where all ends are in
//! doubt one tap settles them.

use std::path::PathBuf;

use serde_json::{Value, json};
use tempfile::TempDir;

use super::phone::{Kind, Phone};
use super::{heron, open};
use crate::phone::server::Server;

const KINDS: [Kind; 2] = [Kind::Phone, Kind::Desk];

/// Picks them at once, in the answer's place. Who opened the browser's dialog there has the focus there, which not every
/// version of the driver gives with the files.
fn pick(phone: &Phone, photos: &[PathBuf]) {
    phone.run("document.querySelector('#answer .several input').focus()");
    let files: Vec<String> = photos.iter().map(|p| p.display().to_string()).collect();
    phone.keys("#answer .several input", &files.join("\n"));
}

/// That part of the answer stands whole in the window, and the jaws stand below the answer.
fn stands_on_the_first_screen(phone: &Phone, what: &str) {
    let script = format!(
        "const box = (css) => document.querySelector(css).getBoundingClientRect();
        return [box('#answer {what}').top, box('#answer {what}').bottom, innerHeight,
            box('#answer').bottom, box('#jaw-1').top]"
    );
    phone.until("the answer on the first screen", || {
        let places: Vec<f64> = serde_json::from_value(phone.run(&script)).ok()?;
        let [top, bottom, window, end, jaws] = places[..] else {
            return None;
        };
        (top >= 0.0 && bottom <= window && jaws > end).then_some(())
    });
}

#[test]
fn three_plain_photos_picked_at_once_need_no_tap() {
    let server = Server::start();
    for kind in KINDS {
        let Some(phone) = Phone::paired(&server, kind) else {
            return;
        };
        let check = server.begin(json!({ "taper": "0.003in" }));
        open(&phone, &check);
        phone.shot(&format!("{kind:?}-empty"));
        pick(&phone, &[1, 2, 3].map(heron));
        phone.wait("#answer[data-action=recut]");
        stands_on_the_first_screen(&phone, ".headline");
        stands_on_the_first_screen(&phone, ".figures");
        phone.shot(&format!("{kind:?}-answer"));
        let page = phone.text("#check");
        for word in ["take it again", "contradict"] {
            assert!(!page.to_lowercase().contains(word), "{word}: {page}");
        }
    }
}

/// The jaw's photo with the phone held upside down: its tip points down, which nobody said.
fn upside_down(folder: &TempDir, jaw: u8) -> PathBuf {
    let place = folder.path().join(format!("jaw{jaw}.png"));
    let photo = image::open(heron(jaw)).unwrap();
    // Its EXIF orientation, which is lost here, is a quarter turn; half a turn more, and the tip is below.
    photo.rotate270().save(&place).unwrap();
    place
}

#[test]
fn an_end_that_the_other_jaws_bear_out_needs_no_tap() {
    let server = Server::start();
    let folder = tempfile::tempdir().unwrap();
    let photos = [heron(1), upside_down(&folder, 2), heron(3)];
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(json!({ "taper": "0.003in" }));
    open(&phone, &check);
    pick(&phone, &photos);
    phone.wait("#answer[data-action=recut]");
    stands_on_the_first_screen(&phone, ".headline");
}

/// A finger's tap on the middle of it.
pub(super) fn tap(phone: &Phone, css: &str) {
    let script = format!(
        "const {{ left, top, width, height }} = document.querySelector('{css}').getBoundingClientRect();
        return [left + width / 2, top + height / 2]"
    );
    let place: [f64; 2] = serde_json::from_value(phone.run(&script)).unwrap();
    phone.drag(&[place], || ());
}

/// Goes there from where the focus is, in less than `most` keys; how many it took.
pub(super) fn by_tab(phone: &Phone, css: &str, most: usize) -> usize {
    let there = format!("return document.activeElement.matches('{css}')");
    for presses in 1..most {
        phone.press("\u{e004}");
        if phone.run(&there) == Value::Bool(true) {
            return presses;
        }
    }
    let at = phone.run("return document.activeElement.outerHTML");
    panic!("{css} is too far from {at}");
}

#[test]
fn where_all_ends_are_in_doubt_one_tap_or_three_keys_settle_them() {
    let server = Server::start();
    let folder = tempfile::tempdir().unwrap();
    let photos = [2, 3, 1].map(|jaw| upside_down(&folder, jaw));
    for kind in KINDS {
        let Some(phone) = Phone::paired(&server, kind) else {
            return;
        };
        let check = server.begin(json!({ "taper": "0.003in" }));
        open(&phone, &check);
        pick(&phone, &photos);
        phone.wait("#answer[data-action=settle]");
        stands_on_the_first_screen(&phone, ".headline");
        phone.shot(&format!("{kind:?}-question"));
        let asked = phone.text("#answer");
        assert!(asked.contains("Which end is the tip of jaw 1?"), "{asked}");
        for word in ["contradict", "again"] {
            assert!(!asked.contains(word), "{word}: {asked}");
        }
        // Both ends in sight, as they lie in the photo.
        let lower = ".which form:last-of-type button";
        stands_on_the_first_screen(&phone, lower);
        let lower = format!("#answer {lower}");
        if kind == Kind::Phone {
            tap(&phone, &lower);
        } else {
            let keys = by_tab(&phone, &lower, 12);
            assert!(keys <= 2, "{keys}");
            phone.press("\u{e007}");
        }
        phone.wait("#answer[data-action=recut]");
        stands_on_the_first_screen(&phone, ".headline");
        phone.shot(&format!("{kind:?}-settled"));
    }
}
