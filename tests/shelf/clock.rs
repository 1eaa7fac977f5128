//! A machine's clock that was put back, or was ahead: no check is taken for one of another cut, whose taper
//! would be wrong.

use std::fs;

use super::with_heron;
use crate::support::bench::Bench;
use crate::support::program::contains;
use crate::support::samples::jaws;

/// The sample without its EXIF data, so that the clock alone says when it was taken: the APP1 segment is
/// left out (JPEG, ITU-T T.81, B.1.1.4; EXIF is in APP1, CIPA DC-008, 4.5.4).
fn without_a_time(shop: &Bench, photo: &str) -> String {
    let mut bytes = fs::read(photo).expect("the sample");
    let mut at = 2;
    while bytes[at + 1] != 0xda {
        let length = usize::from(u16::from_be_bytes([bytes[at + 2], bytes[at + 3]]));
        if bytes[at + 1] == 0xe1 {
            bytes.drain(at..at + 2 + length);
        } else {
            at += 2 + length;
        }
    }
    let place = shop.place("without-a-time.jpg");
    fs::write(&place, bytes).expect("a file");
    place
}

#[test]
fn a_cut_noted_while_the_clock_is_behind_is_not_put_before_the_last() {
    let shop = with_heron();
    shop.run("cut add heron --taper 4thou --made 2199-01-02T08:00:00")
        .success();
    shop.run("cut add heron --taper 2thou")
        .code(2)
        .stderr(contains("set the clock").and(contains("2199-01-02")));
    // Said when, it is taken, and is the last.
    shop.run("cut add heron --taper 2thou --made 2199-01-02T09:00:00")
        .success();
    let history = shop.json("history heron");
    let cuts = history["timeline"]["cuts"].as_array().expect("cuts");
    assert_eq!(cuts.len(), 2);
}

#[test]
fn photos_are_not_taken_for_those_of_an_older_cut_while_the_last_is_to_come() {
    let shop = with_heron();
    shop.run("cut add heron --taper 4thou --made 2020-01-02T08:00:00")
        .success();
    let cut = shop.json("cut add heron --taper 2thou --made 2199-01-02T08:00:00");
    // Of 2026, by their EXIF data (sample-images/README.md).
    let photos = jaws("heron-too-much-taper");
    shop.read(&photos, "--jaws heron")
        .code(2)
        .stderr(contains("the last cut is noted for 2199-01-02").and(contains("Set the clock")));
    assert!(shop.checks("heron").is_empty());
    // Put right, the check counts for it.
    let id = cut["id"].as_str().expect("an id");
    shop.run(&format!("cut change {id} --made 2026-01-02T08:00:00"))
        .success();
    shop.read(&photos, "--jaws heron")
        .success()
        .stdout(contains("0.0020 in (0.051 mm) per side"));
    assert_eq!(shop.checks("heron")[0]["cut"], cut["id"]);
}

#[test]
fn a_photo_without_a_time_comes_after_what_was_filed_before() {
    let shop = with_heron();
    shop.run("cut add heron --taper 4thou --made 2020-01-02T08:00:00")
        .success();
    // The clock was ahead when this one was noted.
    let cut = shop.json("cut add heron --taper 3thou --made 2199-01-02T08:00:00");
    let photos = jaws("heron-too-much-taper");
    let photo = without_a_time(&shop, &photos[0]);
    shop.read(&[photo], "--jaws heron")
        .success()
        .stdout(contains("set the clock"));
    let checks = shop.checks("heron");
    assert_eq!(checks[0]["cut"], cut["id"]);
    assert_eq!(checks[0]["made"], "2199-01-02T08:00:01");
}
