//! Corners of the face, dragged and moved by keys.

use serde_json::{Value, json};

use super::flow::state;
use super::phone::{Kind, Phone};
use super::read_heron;
use crate::phone::samples::heron_settings;
use crate::phone::server::Server;

/// The rendered face's corners and size, px; `truth.json` of the samples.
fn truth() -> ([[f64; 2]; 4], [f64; 2]) {
    let text = std::fs::read(super::sample("truth.json")).expect("a file");
    let truth: Value = serde_json::from_slice(&text).expect("JSON");
    let photos = truth["photos"].as_array().expect("photos");
    let photo = photos
        .iter()
        .find(|p| p["file"] == "heron-too-much-taper/jaw1.jpg")
        .expect("the photo");
    let read = |name: &str| photo[name].clone();
    let corners = serde_json::from_value(read("corners_px")).expect("corners");
    (
        corners,
        serde_json::from_value(read("size_px")).expect("a size"),
    )
}

/// A box of the window, CSS pixels: left, top, width, height.
fn area(phone: &Phone, css: &str) -> [f64; 4] {
    let script = format!(
        "const b = document.querySelector('{css}').getBoundingClientRect(); return [b.left, b.top, b.width, b.height]"
    );
    serde_json::from_value(phone.run(&script)).expect("a box")
}

/// The page with the corners of jaw 1 opened, in the middle of the window.
fn unfold(phone: &Phone) {
    phone.click("#jaw-1 .mend > summary");
    let there = "const i = document.querySelector('#jaw-1 .stage img'); return Boolean(i && i.complete && i.naturalWidth)";
    phone.until("the photo", || phone.run(there).as_bool().filter(|b| *b));
    centre(phone);
}

fn centre(phone: &Phone) {
    phone.run("document.querySelector('#jaw-1 .stage').scrollIntoView({ block: 'center' })");
}

/// Where a place of the photo is seen.
fn seen(phone: &Phone, at: [f64; 2]) -> [f64; 2] {
    let ([left, top, width, height], (_, size)) = (area(phone, "#jaw-1 .stage"), truth());
    [
        left + at[0] * width / size[0],
        top + at[1] * height / size[1],
    ]
}

/// Where the field says that the corners are.
fn corners(phone: &Phone) -> Vec<Vec<f64>> {
    let text = phone.run("return document.querySelector('#jaw-1 input[name=corners]').value");
    let pair = |p: &str| p.split(',').map(|v| v.parse().expect("a number")).collect();
    text.as_str().expect("text").split(' ').map(pair).collect()
}

fn corner(phone: &Phone, index: usize) -> [f64; 2] {
    let corners = corners(phone);
    [corners[index][0], corners[index][1]]
}

/// The magnifier is seen, and not where the finger is.
fn loupe_is_free(phone: &Phone, finger: [f64; 2]) {
    let [left, top, width, height] = area(phone, "#jaw-1 .loupe");
    assert!(width > 100.0 && height > 100.0, "no magnifier");
    let under =
        (left..left + width).contains(&finger[0]) && (top..top + height).contains(&finger[1]);
    assert!(!under, "the magnifier is under the finger");
    assert!(
        left >= 0.0 && left + width <= 360.0 && top >= 0.0,
        "outside the window: {left} {top}"
    );
}

fn drag(phone: &Phone, index: usize, photo_place: [f64; 2]) {
    let (from, to) = (seen(phone, corner(phone, index)), seen(phone, photo_place));
    let half = [f64::midpoint(from[0], to[0]), f64::midpoint(from[1], to[1])];
    let there = || near(corner(phone, index), photo_place, phone).then_some(());
    phone.drag(&[from, half, to], || {
        // A move is handed over with the next frame.
        phone.until("the corner", there);
        loupe_is_free(phone, to);
        phone.shot("loupe");
    });
}

/// One CSS pixel and a rounding, in the photo's pixels.
fn near(a: [f64; 2], b: [f64; 2], phone: &Phone) -> bool {
    let pixel = truth().1[0] / area(phone, "#jaw-1 .stage")[2];
    (a[0] - b[0]).abs() <= 2.0 * pixel && (a[1] - b[1]).abs() <= 2.0 * pixel
}

#[test]
fn a_wrong_corner_is_dragged_to_the_right_place() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let (client, check) = (server.phone(), server.begin(heron_settings()));
    read_heron(&phone, &check, 1);
    let read = || state(&client, &check)["report"]["photos"][0].clone();
    let tip = |photo: &Value| photo["contact"]["tip"].as_f64();
    let found = read();
    let (right, _) = truth();
    // Far down the face: most of the clean third is left out.
    let wrong = [right[0][0] + 60.0, right[0][1] + 400.0];
    unfold(&phone);
    drag(&phone, 0, wrong);
    assert!(
        near(corner(&phone, 0), wrong, &phone),
        "{:?}",
        corner(&phone, 0)
    );
    read_again(&phone);
    let missed = read();
    assert_eq!(missed["face"]["found_by"], "given");
    centre(&phone);
    drag(&phone, 0, right[0]);
    read_again(&phone);
    let mended = read();
    phone.shot("mended");
    assert_eq!(mended["pattern"], "tip-only");
    // sample-images/README.md has the true share of the tip's third clean: 0.71.
    let off = |photo: &Value| tip(photo).map_or(1.0, |t| (t - 0.708).abs());
    assert!(off(&mended) < 0.1, "{mended}");
    assert!(off(&missed) > off(&mended) + 0.1, "{missed}");
    assert!((off(&found) - off(&mended)).abs() < 0.1, "{found}");
    phone.click("#jaw-1 .corners > .ends button:last-child");
    phone.until("the search", || {
        (read()["face"]["found_by"] == "search").then_some(())
    });
}

fn read_again(phone: &Phone) {
    phone.run("window.picture = document.querySelector('#jaw-1 .picture').src");
    phone.click("#jaw-1 .corners > .ends .main");
    let anew = "return document.querySelector('#jaw-1 .picture').src !== window.picture";
    phone.until("another reading", || {
        phone.run(anew).as_bool().filter(|b| *b)
    });
    phone.wait_read(1);
    phone.wait("#jaw-1 .stage");
}

#[test]
fn keys_move_a_corner_escape_undoes_and_none_leaves_the_photo() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(heron_settings());
    read_heron(&phone, &check, 1);
    unfold(&phone);
    let handle = |i: usize| format!("#jaw-1 .handle:nth-of-type({i})");
    let first = corner(&phone, 0);
    let names = phone.run("return [...document.querySelectorAll('#jaw-1 .handle')].map(h => h.getAttribute('aria-label'))");
    assert_eq!(
        names,
        json!(["Tip left", "Tip right", "Base right", "Base left"])
    );
    // Three to the right, one down; then ten to the left (W3C, WebDriver, “Keyboard actions”).
    phone.keys(&handle(1), "\u{E014}\u{E014}\u{E014}\u{E015}");
    let close = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) < 0.2;
    assert!(close(corner(&phone, 0), [first[0] + 3.0, first[1] + 1.0]));
    phone.keys(&handle(1), "\u{E008}\u{E012}");
    assert!(close(corner(&phone, 0), [first[0] - 7.0, first[1] + 1.0]));
    phone.keys(&handle(1), "\u{E00C}");
    phone.keys(&handle(1), "\u{E00C}");
    assert!(close(corner(&phone, 0), first), "{:?}", corner(&phone, 0));
    // To the left, out of the photo.
    let [left, top, ..] = area(&phone, "#jaw-1 .stage");
    let from = seen(&phone, corner(&phone, 3));
    phone.drag(&[from, [left.max(1.0), from[1]], [1.0, top + 200.0]], || ());
    let edge = corner(&phone, 3)[0];
    assert!((0.0..20.0).contains(&edge), "{edge}");
    let all = corners(&phone);
    let (_, [width, height]) = truth();
    assert!(
        all.iter()
            .all(|c| (0.0..=width).contains(&c[0]) && (0.0..=height).contains(&c[1])),
        "{all:?}"
    );
}
