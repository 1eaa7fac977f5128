//! `seepline practice`, driven by pipes as by a keyboard.

use std::collections::HashMap;
use std::fs;
use std::path::Path;

use serde_json::Value;

use super::{full_length, tip_only};
use crate::support::bench::Bench;
use crate::support::exif_notes;
use crate::support::program::{Ran, Run, contains, signal};
use crate::support::samples::sample;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-images");

/// Runs a round with these lines typed.
fn practise(bench: &Bench, more: &str, typed: &str) -> Ran {
    bench
        .command()
        .args(["practice", "--by", "AB"])
        .args(more.split_whitespace())
        .ran_with(typed)
}

/// The photo's pixels as they are seen.
fn upright(file: &str) -> image::RgbImage {
    seepline::read_photo(&fs::read(file).unwrap())
        .unwrap()
        .pixels
}

/// With single blanks, however its lines are broken.
fn unbroken(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A folder with some of the samples, and their rows of the table.
fn some_samples(bench: &Bench, files: &[&str]) -> String {
    let folder = bench.folder.path().join("photos");
    fs::create_dir_all(&folder).unwrap();
    let text = fs::read_to_string(sample("truth.json")).unwrap();
    let table: Value = serde_json::from_str(&text).unwrap();
    let mut rows = Vec::new();
    for row in table["photos"].as_array().unwrap() {
        let file = row["file"].as_str().unwrap();
        let Some(name) = files.iter().find(|f| file.ends_with(**f)) else {
            continue;
        };
        fs::copy(sample(file), folder.join(name)).unwrap();
        let mut row = row.clone();
        row["file"] = (*name).into();
        rows.push(row);
    }
    assert_eq!(rows.len(), files.len());
    let table = serde_json::json!({"photos": rows}).to_string();
    fs::write(folder.join("truth.json"), table).unwrap();
    folder.display().to_string()
}

#[test]
fn a_round_asks_reveals_scores_and_names_the_confusion() {
    let bench = Bench::bare();
    // truth.json: edges-only, which is no matter of taper.
    let folder = some_samples(&bench, &["edges-only-in-a-hand.jpg"]);
    let round = practise(
        &bench,
        &format!("--photos {folder} --seed 7"),
        "tips\nedges-only\n1thou\n-1thou\n",
    )
    .success();
    let text = round.out();
    for part in [
        "ordered by --seed 7",
        "1 of 1",
        "“tips” is no pattern",
        "does not say which way",
        "THE CALL WOULD CUT FOR NOTHING",
        "What was right",
        "as the table that came with the photos says",
        "Decides it:",
        "Pattern right: 1 of 1",
        "Calls edges-only a taper matter (1 of 1)",
        "show little",
    ] {
        assert!(unbroken(&text).contains(part), "{part}: {text}");
    }
    // The answer is revealed after the call.
    let (question, answer) = text.split_once("Change? ").unwrap();
    assert!(!question.contains("CUT FOR NOTHING") && answer.contains("CUT FOR NOTHING"));
    let calls = bench.calls();
    assert_eq!(calls.len(), 1);
    assert_eq!(
        (&calls[0]["kind"], &calls[0]["change"]),
        (&"practice".into(), &"-25.4um".into())
    );
    assert_eq!(calls[0]["told"]["truth"]["pattern"], "edges-only");
    assert_eq!(calls[0]["told"]["program"]["pattern"], "edges-only");
}

/// What the program reads is filed with the answer; how it would change the taper goes nowhere while that is kept back.
#[test]
fn what_is_kept_back_is_not_filed_with_an_answer() {
    let bench = Bench::bare();
    let folder = bench.folder.path().join("photos");
    fs::create_dir(&folder).unwrap();
    fs::copy(
        sample("heron-too-much-taper/jaw2.jpg"),
        folder.join("tip-only.jpg"),
    )
    .unwrap();
    // As `sample-images/truth.json` has it.
    let table = r#"{"photos": [{"file": "tip-only.jpg", "readable": true, "pattern": "tip-only", "taper_error_um": 53.9}]}"#;
    fs::write(folder.join("truth.json"), table).unwrap();
    let mut before = Vec::new();
    let mut told = || {
        let more = format!("--photos {}", folder.display());
        practise(&bench, &more, "tip-only\n-9thou\n").success();
        // Not the last one: calls of one second stand in the order of their ids, which are random.
        let calls = bench.calls();
        let new = calls.iter().find(|call| !before.contains(*call)).cloned();
        before = calls;
        new.expect("a call")["told"]["program"].clone()
    };
    assert!(told()["change"].is_object());
    bench.run("people lead JK on").success();
    bench.run("prove-out begin --by JK --hold").success();
    assert!(told().is_null());
}

#[test]
fn the_end_of_the_input_ends_with_the_score_so_far_and_loses_nothing() {
    let bench = Bench::bare();
    let more = format!("--photos {SAMPLES} --seed 3 --count 5");
    // Two whole answers, and one cut off after its pattern.
    let round = practise(&bench, &more, "mixed\nnone\nmixed\nnone\nmixed\n").success();
    let text = round.out();
    assert!(
        text.contains("Pattern right:") && text.contains("of 2"),
        "{text}"
    );
    assert_eq!(bench.calls().len(), 2);
    let none = practise(&bench, &more, "").success();
    assert!(none.out().contains("Nothing was answered."));
    assert_eq!(bench.calls().len(), 2);
}

/// Neither name, time nor place: the picture is all there is.
#[test]
fn the_pictures_tell_nothing_but_what_is_seen() {
    let bench = Bench::bare();
    let folder = bench.folder.path().join("photos");
    fs::create_dir(&folder).unwrap();
    let pixels = upright(&sample("singles/middle-only-on-the-chuck.jpg"));
    let bytes = exif_notes::jpeg(&pixels, 90, Some(exif_notes::location()));
    let place = exif_notes::PLACE_NAME.as_bytes();
    assert!(bytes.windows(place.len()).any(|w| w == place));
    fs::write(folder.join("middle-only.jpg"), bytes).unwrap();
    // The tip points left in it.
    let table = r#"{"photos": [{"file": "middle-only.jpg", "readable": true, "pattern": "middle-only", "tip": "left"}]}"#;
    fs::write(folder.join("truth.json"), table).unwrap();
    let pictures = bench.folder.path().join("pictures");
    let more = format!(
        "--photos {} --pictures {}",
        folder.display(),
        pictures.display()
    );
    let round = practise(&bench, &more, "").success();
    let text = round.out();
    let question = text.split("Change:").nth(1).unwrap();
    assert!(!question.contains("middle-only"), "{question}");
    let files: Vec<_> = fs::read_dir(&pictures)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    let [file] = &files[..] else {
        panic!("{files:?}");
    };
    assert!(file.display().to_string().ends_with("-1.jpg"), "{files:?}");
    let copy = fs::read(&files[0]).unwrap();
    let exif = exif::Reader::new().read_from_container(&mut std::io::Cursor::new(&copy));
    assert!(exif.is_err(), "no EXIF data at all");
    assert!(!copy.windows(place.len()).any(|w| w == place));
    // Turned so that the tip is up: a picture that was wide is tall.
    let turned = image::load_from_memory(&copy).unwrap();
    assert_eq!(
        pixels.width() > pixels.height(),
        turned.width() < turned.height()
    );
}

#[test]
fn pictures_of_a_round_are_gone_after_it() {
    let bench = Bench::bare();
    let passing = bench.folder.path().join("passing");
    fs::create_dir(&passing).unwrap();
    let folder = some_samples(&bench, &["held-off-by-a-chip.jpg"]);
    let mut command = bench.command();
    let round = command
        .env("TMPDIR", &passing)
        .args(["practice", "--by", "AB", "--photos", &folder])
        .ran_with("held-off\nnone\n")
        .success();
    assert!(round.out().contains(&passing.display().to_string()));
    assert_eq!(fs::read_dir(&passing).unwrap().count(), 0);
}

#[cfg(unix)]
#[test]
fn a_round_that_is_stopped_keeps_its_answers_and_leaves_no_pictures() {
    use std::io::{Read, Write};
    use std::process::Stdio;

    let bench = Bench::bare();
    let passing = bench.folder.path().join("passing");
    fs::create_dir(&passing).unwrap();
    let files = ["held-off-by-a-chip.jpg", "ends-only-small-picture.jpg"];
    let folder = some_samples(&bench, &files);
    let mut round = bench
        .command()
        .env("TMPDIR", &passing)
        .args(["practice", "--by", "AB", "--photos", &folder])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut typed = round.stdin.take().unwrap();
    typed.write_all(b"held-off\nnone\n").unwrap();
    let mut told = Vec::new();
    let mut out = round.stdout.take().unwrap();
    while !String::from_utf8_lossy(&told).contains("2 of 2.") {
        let mut bytes = [0; 4096];
        let count = out.read(&mut bytes).unwrap();
        assert!(count > 0, "{}", String::from_utf8_lossy(&told));
        told.extend(&bytes[..count]);
    }
    assert_eq!(fs::read_dir(&passing).unwrap().count(), 1);
    signal(&round, "-INT");
    assert_eq!(round.wait().unwrap().code(), Some(130));
    assert_eq!(fs::read_dir(&passing).unwrap().count(), 0);
    assert_eq!(bench.calls().len(), 1);
}

/// Patterns of the samples that a round named as right, by how often.
fn asked(calls: &[Value]) -> HashMap<String, usize> {
    let mut of = HashMap::new();
    for call in calls {
        let pattern = call["told"]["truth"]["pattern"].as_str().unwrap();
        *of.entry(pattern.to_owned()).or_default() += 1;
    }
    of
}

/// Over all that the samples hold: eleven patterns, three of which have several photos.
#[test]
fn a_round_goes_over_all_patterns_alike() {
    let bench = Bench::bare();
    let more = format!("--photos {SAMPLES} --seed 11 --count 11");
    practise(&bench, &more, &"unreadable\nnone\n".repeat(11)).success();
    let of = asked(&bench.calls());
    assert_eq!(of.len(), 11, "{of:?}");
    assert!(of.values().all(|n| *n == 1), "{of:?}");
}

#[test]
fn what_was_missed_comes_back_in_the_next_round() {
    let bench = Bench::bare();
    let files = [
        "one-side-on-the-chuck.jpg",
        "centre-only-green.jpg",
        "ends-only-small-picture.jpg",
    ];
    let folder = some_samples(&bench, &files);
    let more = format!("--photos {folder} --seed 5");
    // The right answers are one of each; whatever the order, one of the three is right each time.
    practise(&bench, &more, &"one-side\nnone\n".repeat(3)).success();
    let first = bench.calls();
    assert_eq!(asked(&first).len(), 3);
    practise(
        &bench,
        &format!("{more} --count 2"),
        &"one-side\nnone\n".repeat(2),
    )
    .success();
    // Calls of one second stand in any order.
    let session = &first[0]["session"];
    let mut second = bench.calls();
    second.retain(|call| call["session"] != *session);
    let of = asked(&second);
    // One-side was known and is in the second box: it waits for the round after.
    assert!(
        of.contains_key("centre-only") && of.contains_key("ends-only"),
        "{of:?}"
    );
    let sessions: Vec<&Value> = bench_sessions(&second);
    assert_eq!(sessions.len(), 1);
}

fn bench_sessions(calls: &[Value]) -> Vec<&Value> {
    let mut sessions: Vec<&Value> = calls.iter().map(|c| &c["session"]).collect();
    sessions.dedup();
    sessions
}

#[test]
fn the_shops_finished_checks_are_asked_with_how_it_is_known() {
    let bench = Bench::new();
    // The tip-only jaw, as if photographed on 4 March, before the full-length one.
    let pixels = upright(&tip_only()[0]);
    let early = bench.folder.path().join("jaw1.jpg");
    fs::write(
        &early,
        exif_notes::jpeg(&pixels, 90, Some(exif_notes::location())),
    )
    .unwrap();
    let early = [early.display().to_string()];
    bench.read(&early, "--jaws heron --taper 3thou").success();
    // Not finished yet.
    practise(&bench, "", "")
        .code(2)
        .stderr(contains("nothing to practise on"));
    bench
        .read(&full_length(), "--jaws heron --taper 0.5thou")
        .success();
    let round = practise(&bench, "--seed 1", &"tip-only\n-2.5thou\n".repeat(2)).success();
    let text = unbroken(&round.out());
    assert!(
        text.contains("1 of 2.") && text.contains("2 of 2."),
        "{text}"
    );
    assert!(text.contains("as later cuts of the set proved"), "{text}");
    assert!(
        text.contains("Cuts again where it is full-length already (1 of 1)"),
        "{text}"
    );
    // The photo's own name is nowhere.
    assert!(!text.contains("jaw1"), "{text}");
    let calls = bench.calls();
    assert!(
        calls.iter().all(|c| c["item"]["check"].is_string()),
        "{calls:?}"
    );
    // Practice is apart from the check itself, which may still be called.
    bench
        .read(
            &early,
            "--jaws heron --call tip-only --change=-2thou --by AB",
        )
        .success()
        .stdout(contains("Was right:").and(contains("as later cuts")));
}

#[test]
fn a_photo_that_is_gone_is_passed_over() {
    let bench = Bench::new();
    bench
        .read(&full_length(), "--jaws heron --taper 2thou")
        .success();
    let photos = bench.archive().join("photos");
    for folder in fs::read_dir(&photos).unwrap() {
        let folder = folder.unwrap().path();
        if folder.file_name() != Some("incoming".as_ref()) {
            fs::remove_dir_all(folder).unwrap();
        }
    }
    practise(&bench, "", "full-length\n0\n")
        .success()
        .stdout(contains("Nothing was answered"))
        .stderr(contains("passed over"));
    assert!(Path::new(&photos).exists());
}
