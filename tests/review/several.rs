//! Several photos of one jaw: a review reads them as `read --jaw` does, once.

use std::fs;
use std::io::Cursor;
use std::path::Path;

use image::ImageFormat;
use serde_json::Value;

use super::advice::{compare, read};
use super::shop::{Shop, read_now, text};
use crate::pipeline::joined::two_sides;

const TOGETHER: &str = "1 jaw read from its several photos together";

/// A jaw from two sides, in each of which a part is burnt out, and another jaw.
fn shop() -> Shop {
    let shop = Shop::new();
    for (photo, name) in two_sides().iter().zip(["tip", "base"]) {
        let mut bytes = Cursor::new(Vec::new());
        photo.pixels.write_to(&mut bytes, ImageFormat::Png).unwrap();
        shop.write(&format!("heron/{name}.png"), bytes.get_ref());
    }
    shop.put("heron-too-much-taper/jaw2.jpg", "heron/jaw2.jpg");
    say(&shop, [Some(1), Some(1), Some(2)]);
    shop
}

/// Whose jaw base, tip and jaw2 are.
fn say(shop: &Shop, jaws: [Option<u8>; 3]) {
    let line = |(file, jaw): (&str, Option<u8>)| {
        let jaw = jaw.map(|j| j.to_string()).unwrap_or_default();
        format!("{file},a,{jaw},3thou\n")
    };
    let lines = ["base.png", "tip.png", "jaw2.jpg"].into_iter().zip(jaws);
    let table: String = lines.map(line).collect();
    fs::write(
        shop.path("groups.csv"),
        format!("file,check,jaw,taper\n{table}"),
    )
    .unwrap();
}

fn review(shop: &Shop, into: &str, more: &str) -> String {
    let line = format!("checks --tip up --into {into} --groups groups.csv {more}");
    let output = shop.run("review", &line);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.code().is_some_and(|c| c < 2), "{errors}");
    String::from_utf8(output.stdout).unwrap()
}

fn check(shop: &Shop, into: &str) -> Value {
    let checks = shop.lines(into, "check");
    assert_eq!(checks.len(), 1);
    checks[0].clone()
}

fn lines_in(place: &Path) -> usize {
    let kept = fs::read_to_string(place).unwrap_or_default();
    kept.lines().count()
}

#[test]
fn photos_of_one_jaw_are_read_together_as_read_does() {
    let shop = shop();
    let said = review(&shop, "out", "");
    assert!(said.contains(TOGETHER), "{said}");
    let check = check(&shop, "out");
    // The photo with a time is the first, as everywhere.
    let theirs = read(
        &shop,
        "out",
        &check,
        "--taper 3thou --jaw 2 --jaw 1 --jaw 1",
    );
    compare(&check, &theirs);
    // The sample's truth: see sample-images/README.md. Not every photo by itself shows it.
    assert_eq!(check["pattern"], "tip-only");
    let photos = shop.lines("out", "photo");
    assert!(!photos.iter().all(|p| p["pattern"] == "tip-only"));
    let (ours, theirs) = (&check["jaws"][0], &theirs["jaws"][0]);
    assert_eq!(ours["photos"], serde_json::json!([1, 2]));
    for field in ["pattern", "warnings"] {
        assert_eq!(ours["reading"][field], theirs[field]);
    }
    let page = fs::read_to_string(
        shop.path("out/checks")
            .join(text(&check["check"]) + ".html"),
    )
    .unwrap();
    assert!(
        page.contains("Photos 2 and 3 were read together: they are said to be of jaw 1"),
        "{page}"
    );
    // Counted as the advice counts them.
    assert!(page.contains("<h3>Jaw 2: tip-only</h3>"), "{page}");
    // Every photo of the check tells of its jaw, so that the run is no failure.
    let output = shop.run("review", "checks --tip up --into out --groups groups.csv");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn what_was_read_together_is_not_read_again() {
    let shop = shop();
    review(&shop, "out", "--threads 1");
    let first = shop.result("out");
    let kept = shop.path("out/jaws.jsonl");
    assert_eq!(lines_in(&kept), 1);
    let nothing = |said: &str| {
        assert_eq!(read_now(said), 0, "{said}");
        assert!(!said.contains("together"), "{said}");
    };
    nothing(&review(&shop, "out", "--threads 4"));
    assert_eq!(shop.result("out"), first);
    // Another number for the same jaw, and one less for the other.
    say(&shop, [Some(3), Some(3), None]);
    nothing(&review(&shop, "out", ""));
    // Three jaws, as it was before somebody said it, and back.
    say(&shop, [None; 3]);
    nothing(&review(&shop, "out", ""));
    assert_ne!(shop.result("out"), first);
    say(&shop, [Some(1), Some(1), Some(2)]);
    nothing(&review(&shop, "out", ""));
    assert_eq!(shop.result("out"), first);
    // As a kill in the midst of writing leaves it.
    let line = fs::read(&kept).unwrap();
    fs::write(&kept, &line[..line.len() / 2]).unwrap();
    let said = review(&shop, "out", "--threads 4");
    assert!(read_now(&said) == 0 && said.contains(TOGETHER), "{said}");
    assert_eq!(shop.result("out"), first);
    assert_eq!(fs::read(&kept).unwrap(), line);
}

#[test]
fn parts_joined_read_them_as_a_single_run_does() {
    let shop = shop();
    review(&shop, "whole", "");
    for part in 1..=2 {
        let said = review(&shop, &format!("part{part}"), &format!("--part {part}/2"));
        assert!(!said.contains("together"), "{said}");
    }
    for read in [true, false] {
        let output = shop.run("join", "part1 part2 --into joined");
        assert_eq!(output.status.code(), Some(0));
        let said = String::from_utf8(output.stdout).unwrap();
        assert_eq!(said.contains(TOGETHER), read, "{said}");
        assert_eq!(shop.result("joined"), shop.result("whole"));
    }
}

#[test]
fn a_photo_that_is_gone_by_then_is_said() {
    let shop = shop();
    for part in 1..=2 {
        review(&shop, &format!("part{part}"), &format!("--part {part}/2"));
    }
    // Another photo under that name is not the one that was read.
    let tip = shop.photo("heron/tip.png");
    fs::write(&tip, b"another").unwrap();
    let output = shop.run("join", "part1 part2 --into joined");
    assert_eq!(output.status.code(), Some(1));
    let check = check(&shop, "joined");
    let first = text(&check["look_at_first"][0]);
    assert!(
        first.contains("2 photos are said to be of jaw 1") && first.contains("not all of them"),
        "{first}"
    );
    assert!(check.get("jaws").is_none());
    // The surest of them names no pattern that the sample has.
    assert_ne!(check["pattern"], "full-length");
}
