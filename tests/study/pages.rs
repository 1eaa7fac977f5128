//! The pages: whole, escaped, without scripts or anything to load.
//! `SEEPLINE_STUDY=DIR cargo test --test study write_a_study -- --ignored` writes one to look at.

use std::fs;
use std::path::PathBuf;

use super::shop::{Study, index};

/// Nothing runs and nothing is fetched but the pictures beside the page.
fn alone(page: &str) {
    for wrong in [
        "<script",
        "http:",
        "https:",
        "//",
        "@import",
        "url(",
        "onload",
        "javascript",
    ] {
        assert!(!page.contains(wrong), "{wrong}");
    }
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"));
}

#[test]
fn the_page_to_look_at_shows_every_number_once() {
    let study = Study::of_greys(5, "AB", 2);
    let page = fs::read_to_string(study.path("reader-AB/look.html")).expect("a page");
    alone(&page);
    for number in 1..=10 {
        let picture = format!("src=\"photos/{number:03}.jpg\"");
        assert_eq!(page.matches(&picture).count(), 1);
        assert!(
            study
                .path(&format!("reader-AB/photos/{number:03}.jpg"))
                .exists()
        );
    }
    assert_eq!(page.matches("loading=\"lazy\"").count(), 10);
    assert_eq!(page.matches("width=\"48\" height=\"64\"").count(), 10);
    assert!(page.contains("tip points up") && page.contains("compound means a gap"));
    let sheet = fs::read_to_string(study.path("reader-AB/answer-sheet.html")).expect("a page");
    alone(&sheet);
    assert_eq!(sheet.matches("<tr>").count(), 11);
    let csv = fs::read_to_string(study.path("reader-AB/answers.csv")).expect("a sheet");
    assert_eq!(csv.lines().nth(1), Some("AB,001,,,"));
    assert_eq!(csv.lines().count(), 11);
}

fn filled() -> Study {
    let study = Study::of_greys(40, "AB,CD,7", 2);
    let words = [
        "full-length",
        "tip-only",
        "base-only",
        "one-side",
        "edges-only",
        "ends-only",
        "held-off",
        "unreadable",
    ];
    let right = |photo: usize| words[photo % words.len()];
    // AB slips now and then, CD mixes up the ends of every third, 7 calls edges-only a taper matter.
    study.fill(|place| {
        let photo = index(&place.photo);
        let at = photo + place.round as usize;
        let called = match (place.reader.as_str(), right(photo)) {
            ("AB", _) if at.is_multiple_of(11) => "full-length",
            ("CD", "tip-only") if at.is_multiple_of(3) => "base-only",
            ("CD", "base-only") if at.is_multiple_of(3) => "tip-only",
            ("7", "edges-only") => "tip-only",
            ("7", _) if at.is_multiple_of(7) => return None,
            (_, same) => same,
        };
        let change = if called == "tip-only" { "-1thou" } else { "" };
        Some((called.into(), change.into()))
    });
    let lines = (0..40).map(|p| {
        let change = if right(p) == "tip-only" {
            "-1.5thou"
        } else {
            ""
        };
        format!(
            "{p:02}.png,{},{change},{}\n",
            right(p),
            ["later-cuts", "lead", ""][p % 3]
        )
    });
    study.truth(&format!(
        "photo,pattern,change_per_side,rests_on\n{}",
        lines.collect::<String>()
    ));
    study
}

#[test]
fn the_report_says_the_wrong_way_first_and_names_the_habit() {
    let study = filled();
    let assert = study
        .report(&["--truth", "right.csv", "--html", "report.html"])
        .code(0);
    let text = assert.out();
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let place = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what}: {text}"));
    assert!(place("Wrong-way calls: CD (") < place("Effectiveness"));
    assert!(text.contains("edges-only called tip-only 10 times: a matter of seat, bore or wear was called one of taper"));
    assert!(text.contains("later cuts proved it") && text.contains("limit at least 90 %: "));
    let page = fs::read_to_string(study.folder.path().join("report.html")).expect("a page");
    alone(&page);
    assert!(
        page.find("Wrong-way calls: CD").expect("on top")
            < page.find("Effectiveness").expect("a figure")
    );
    for reader in ["AB", "CD", "7", "seepline"] {
        assert!(page.contains(&format!("<h2>{reader}<span")), "{reader}");
    }
}

#[test]
fn small_numbers_are_said_to_be_small() {
    let study = Study::of_greys(4, "AB,CD", 1);
    study.fill(|place| {
        Some((
            ["tip-only", "full-length"][index(&place.photo) % 2].into(),
            String::new(),
        ))
    });
    study.truth(
        "photo,pattern\n00.png,tip-only\n01.png,full-length\n02.png,tip-only\n03.png,full-length\n",
    );
    let assert = study.report(&["--truth", "right.csv"]).code(0);
    let text = assert
        .out()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(text.contains("These are small numbers: 4 photos"), "{text}");
    assert!(
        text.contains("rests on too little to be called good or poor"),
        "{text}"
    );
    assert!(
        text.contains("No wrong-way call in 2; with so many, up to 66 % could still be"),
        "{text}"
    );
}

#[test]
fn hostile_words_on_a_sheet_are_escaped() {
    let study = Study::of_greys(3, "AB", 1);
    study.write(
        "reader-AB/answers.csv",
        "number,pattern\n1,<script>alert(1)</script>\n2,tip-only\n3,\u{1b}[31mred\n",
    );
    let assert = study.report(&["--html", "report.html"]).code(1);
    let out = assert.output;
    assert!(!out.stdout.contains(&0x1b) && !out.stderr.contains(&0x1b));
    let page = fs::read_to_string(study.folder.path().join("report.html")).expect("a page");
    assert!(page.contains("&lt;script&gt;") && !page.contains("<script"));
}

#[test]
#[ignore = "writes a folder to look at"]
fn write_a_study() {
    let to = PathBuf::from(std::env::var("SEEPLINE_STUDY").expect("SEEPLINE_STUDY names a folder"));
    let study = filled();
    study
        .report(&["--truth", "right.csv", "--html", "report.html"])
        .code(0);
    for file in [
        "study/reader-AB/look.html",
        "study/reader-AB/answer-sheet.html",
        "report.html",
    ] {
        let name = file.rsplit('/').next().expect("a name");
        fs::copy(study.folder.path().join(file), to.join(name)).expect("copied");
    }
}
