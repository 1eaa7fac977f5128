//! `read --call`: the call beside the reading, on the photos of `sample-images`.

use super::{full_length, tip_only};
use crate::support::bench::Bench;
use crate::support::program::{Run, contains};
use crate::support::samples::sample;

#[test]
fn call_and_reading_stand_side_by_side_with_what_decides() {
    let bench = Bench::bare();
    let read = bench
        .read(
            &tip_only(),
            "--taper 3thou --call tip-only --change=-1thou --by ab",
        )
        .success();
    let text = read.out();
    let (_, beside) = text
        .split_once("THE SAME WAY")
        .expect("both, after the advice");
    let line = |part: &str| {
        let found = beside.lines().find(|l| l.contains(part));
        found.unwrap_or_else(|| panic!("{part}: {beside}"))
    };
    assert!(line("Called by AB").contains("Read by the program"));
    assert!(line("  Pattern").matches("tip-only").count() == 2);
    assert!(line("  Taper ").matches("take off").count() == 2);
    // A taper of t per side is 2t on the diameter (common practice).
    assert!(line("  Per side").contains("-1.0 thou"), "{text}");
    assert!(line("  On diameter").contains("-2.0 thou"), "{text}");
    // truth.json: compound from 0.23 to 1 of the length; the edge is read to about 0.02.
    let decides = line("Decides it:");
    let per_cent: f64 = decides
        .split("clean from the tip to ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next()?.parse().ok())
        .unwrap_or_else(|| panic!("{decides}"));
    assert!((per_cent - 23.0).abs() <= 4.0, "{decides}");
    assert!(text.contains("compound from there to the"), "{text}");
    // Without an archive it is only shown.
    assert!(!bench.archive().exists());
}

#[test]
fn a_call_the_wrong_way_is_said_to_be_one() {
    let bench = Bench::bare();
    bench
        .read(&tip_only(), "--call base-only --change=+1thou --by AB")
        .success()
        .stdout(
            contains("THE CALL GOES THE WRONG WAY").and(contains("Called base-only, which shows")),
        );
}

#[test]
fn an_opinion_of_the_taper_where_it_is_right_is_a_cut_for_nothing() {
    let bench = Bench::bare();
    let read = bench
        .read(
            &full_length(),
            "--call tip-only --change=-1thou --by AB --json",
        )
        .success();
    let json: serde_json::Value = serde_json::from_str(&read.out()).unwrap();
    let call = &json["call"];
    assert_eq!(call["comparison"]["outcome"], "change-for-nothing");
    assert_eq!(call["comparison"]["same_pattern"], false);
    assert_eq!(
        (&call["by"], &call["asks"]),
        (&"AB".into(), &"change".into())
    );
    assert_eq!(call["change"]["on_diameter_thou"], -2.0);
    assert_eq!(json["check"]["pattern"], "full-length");
}

/// The program cannot tell; somebody who saw the jaws may be right.
#[test]
fn a_refusal_says_nothing_against_a_call() {
    let bench = Bench::bare();
    let photos = [sample("singles/refused-smeared.jpg")];
    let tip_only = "--call tip-only --change=-1thou --by AB";
    for photos in [&photos[..], &["missing.jpg".to_owned()]] {
        let text = bench.read(photos, tip_only).failure().out();
        assert!(text.contains("NOTHING TO HOLD IT AGAINST YET"), "{text}");
        assert!(!text.contains("FOR NOTHING"), "{text}");
    }
    let unreadable = "--call unreadable --change none --by AB";
    let text = bench.read(&photos, unreadable).failure().out();
    assert!(text.contains("CALL AND READING AGREE"), "{text}");
}

#[test]
fn the_call_is_filed_with_the_check_and_stands() {
    let bench = Bench::new();
    let (photos, call) = (
        tip_only(),
        "--jaws heron --call tip-only --change less_1thou --by AB",
    );
    let call: Vec<String> = call.split(' ').map(|w| w.replace('_', " ")).collect();
    let with_call = |words: &[String]| {
        let mut command = bench.command();
        command
            .arg("read")
            .args(&photos)
            .args(["--tip", "up"])
            .args(words);
        command.ran()
    };
    with_call(&call)
        .success()
        .stdout(contains("the call of AB filed with it"));
    // The first one is shown, and not the reading.
    with_call(&call)
        .code(2)
        .stdout("")
        .stderr(contains("called already").and(contains("tip-only, take off: -1.0 thou")));
    // Somebody else may call, and looking again shows the call that stands.
    bench
        .read(
            &photos,
            "--jaws heron --call edges-only --change none --by CD",
        )
        .success()
        .stdout(contains("THE CALL MISSES A CHANGE"));
    bench
        .read(&photos, "--jaws heron --by AB")
        .success()
        .stdout(contains("Called by AB"));
    let calls = bench.calls();
    assert_eq!(calls.len(), 2);
    // Calls of one second have no order.
    let of_ab = calls.iter().find(|c| c["by"] == "AB").expect("a call");
    assert_eq!(
        (&of_ab["kind"], &of_ab["change"]),
        (&"check".into(), &"-25.4um".into())
    );
    assert!(calls.iter().all(|c| c["revealed"].is_string()));
}

#[test]
fn whoever_must_call_first_sees_no_reading_before() {
    let bench = Bench::new();
    bench.run("people call-first AB on").success();
    let photos = tip_only();
    for more in ["--by AB", "--jaws heron --by ab"] {
        bench
            .read(&photos, more)
            .code(2)
            .stdout("")
            .stderr(contains("AB calls before the reading is shown").and(contains("edges-only")));
    }
    assert_eq!(bench.calls(), Vec::<serde_json::Value>::new());
    // Others, and whoever does not say who they are, read as ever.
    bench.read(&photos, "--by CD").success();
    bench.read(&photos, "").success();
    bench
        .read(
            &photos,
            "--jaws heron --by AB --call tip-only --change=-2thou",
        )
        .success()
        .stdout(contains("CALL AND READING AGREE"));
    bench.read(&photos, "--jaws heron --by AB").success();
    bench.run("people call-first AB off").success();
    bench.read(&full_length(), "--by AB").success();
}

#[test]
fn a_call_fits_the_screen() {
    let bench = Bench::bare();
    let read = bench
        .read(&tip_only(), "--call mixed --change none --by AB12CD34")
        .success();
    for line in read.out().lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
