//! Two photos of one jaw, each with a part burnt out that the other shows: what they say together against the renderer's
//! truth, and that together they never turn a cut round.

use std::path::Path;

use seepline::{Inspection, Joined, Pattern, Quad, UprightPhoto, join};
use serde_json::{Value, json};

use super::compare::cuts_nothing;
use super::half_seen::{TOLD_BY_ENDS, burnt, part, read, told_by_its_ends};
use super::samples::Sample;
use crate::support::program::{Run, contains, lacks, seepline};

/// The same photo twice, the tip's end burnt out in one and the base's in the other.
fn from_two_sides(sample: &Sample) -> [Inspection; 2] {
    let face = sample.truth.corners().expect("corners");
    [(0.0, 0.34), (0.66, 1.0)].map(|(from, to)| {
        let photo = burnt(&sample.inspection.photo, &part(&face, from, to));
        read(sample, photo, face)
    })
}

fn together(photos: &[Inspection]) -> Joined {
    join(&photos.iter().collect::<Vec<_>>())
}

#[test]
fn what_is_burnt_out_in_one_photo_the_other_shows() {
    let (mut right, mut tried) = (0, 0);
    for sample in told_by_its_ends() {
        let photos = from_two_sides(sample);
        let told = |p: &Inspection| TOLD_BY_ENDS.contains(&p.reading.pattern);
        assert!(!photos.iter().any(told), "{}", sample.name());
        let reading = together(&photos).reading;
        let agrees = Some(reading.pattern) == sample.truth.pattern;
        // A refusal costs a photo; another cut would cost jaws.
        assert!(
            agrees || cuts_nothing(&reading),
            "{}: {reading:?}",
            sample.name()
        );
        right += usize::from(agrees);
        tried += 1;
    }
    assert!(tried >= 5 && right * 2 > tried, "{right} of {tried}");
}

#[test]
fn a_part_that_is_burnt_out_in_both_is_no_evidence() {
    for sample in told_by_its_ends() {
        for one in from_two_sides(sample) {
            let reading = together(&[one.clone(), one.clone()]).reading;
            assert_eq!(reading.pattern, one.reading.pattern, "{}", sample.name());
            assert!(
                !TOLD_BY_ENDS.contains(&reading.pattern),
                "{}",
                sample.name()
            );
        }
    }
}

#[test]
fn the_same_jaw_turned_end_for_end_cuts_nothing() {
    let mut turned = 0;
    for sample in told_by_its_ends() {
        let face = sample.truth.corners().expect("corners");
        let photo = || sample.inspection.photo.clone();
        let [right, wrong] = [face, face.with_tip_side(2)].map(|c| read(sample, photo(), c));
        let matters = matches!(wrong.reading.pattern, Pattern::TipOnly | Pattern::BaseOnly);
        let reading = together(&[right, wrong]).reading;
        assert!(
            !matters || cuts_nothing(&reading),
            "{}: {reading:?}",
            sample.name()
        );
        turned += usize::from(matters);
    }
    assert!(turned > 0, "nothing was tried");
}

#[test]
fn a_photo_beside_itself_says_what_it_says_alone() {
    for sample in told_by_its_ends() {
        let alone = &sample.inspection;
        let reading = join(&[alone, alone]).reading;
        assert_eq!(reading.pattern, alone.reading.pattern, "{}", sample.name());
        assert!((reading.confidence - alone.reading.confidence).abs() < 1e-6);
    }
}

/// `x,y x,y x,y x,y` in the pixels of a picture that is written at working size.
fn corners(face: &Quad, scale: f64) -> String {
    let corner = |p: &seepline::Point| format!("{:.0},{:.0}", p.x * scale, p.y * scale);
    face.0.iter().map(corner).collect::<Vec<_>>().join(" ")
}

/// The first two jaws of a check.
fn herons() -> [&'static Sample; 2] {
    let heron = |s: &&Sample| s.path.to_string_lossy().contains("heron-too-much-taper");
    let jaws: Vec<&Sample> = told_by_its_ends().filter(heron).take(2).collect();
    [jaws[0], jaws[1]]
}

/// The first jaw of a check from two sides, the tip's end burnt out in one and the base's in the other.
pub(crate) fn two_sides() -> [UprightPhoto; 2] {
    let [first, _] = herons();
    let face = first.truth.corners().expect("corners");
    [(0.0, 0.34), (0.66, 1.0)]
        .map(|(from, to)| burnt(&first.inspection.photo, &part(&face, from, to)))
}

/// [`two_sides`] as `tip.png` and `base.png`, then the second jaw as it is; and what else `read` must be told of them.
pub(crate) fn two_sides_and_another(folder: &Path) -> Vec<String> {
    let [first, second] = herons();
    let photo = |s: &Sample| s.inspection.photo.clone();
    let face = |s: &Sample| s.truth.corners().expect("corners");
    let [tip, base] = two_sides();
    let mut said = vec!["read".to_owned()];
    let photos = [
        ("tip.png", tip, first),
        ("base.png", base, first),
        ("other.png", photo(second), second),
    ];
    for (name, photo, of) in photos {
        photo.pixels.save(folder.join(name)).expect("written");
        said.extend([
            name.to_owned(),
            "--corners".to_owned(),
            corners(&face(of), photo.scale()),
        ]);
    }
    said
}

#[test]
fn read_joins_the_photos_that_are_said_to_be_of_one_jaw() {
    let folder = tempfile::tempdir().expect("a folder");
    let said = two_sides_and_another(folder.path());
    let read = |more: &[&str]| {
        let mut command = seepline(folder.path());
        command.env("NO_COLOR", "1").args(&said).args(more);
        command
    };
    // Each for itself: an end is missing.
    let apart: Value = read(&["--json"]).ran().code(1).json();
    assert!((0..2).all(|i| apart["photos"][i]["pattern"] != "tip-only"));
    assert!(apart.get("jaws").is_none() && apart["photos"][0].get("jaw").is_none());

    let of_two_jaws = ["--jaw", "1", "--jaw", "1", "--jaw", "2"];
    let joined: Value = read(&[&of_two_jaws[..], &["--json"]].concat())
        .ran()
        .code(0)
        .json();
    let photos = joined["photos"].as_array().expect("photos");
    assert_eq!(
        photos.iter().map(|p| p["jaw"].clone()).collect::<Vec<_>>(),
        [1, 1, 2]
    );
    // A photo's entry stays what the photo says by itself.
    assert_eq!(photos[0]["refusal"], apart["photos"][0]["refusal"]);
    let jaws = joined["jaws"].as_array().expect("jaws");
    assert_eq!(jaws.len(), 1);
    assert_eq!(jaws[0]["photos"], json!([0, 1]));
    assert_eq!(
        (&jaws[0]["jaw"], &jaws[0]["pattern"]),
        (&json!(1), &json!("tip-only"))
    );
    assert_eq!(
        (&jaws[0]["refusal"], &jaws[0]["left_out"]),
        (&json!(null), &json!([]))
    );
    assert_eq!(joined["check"]["pattern"], "tip-only");

    let text = read(&of_two_jaws).ran().code(0);
    text.stdout(contains("3 photos of 2 jaws"))
        .stdout(contains("1. tip.png, base.png"))
        .stdout(contains("tip.png alone: "))
        .stdout(contains("2. other.png"))
        .stdout(lacks("\n3. "));
}

#[test]
fn a_jaw_is_said_once_per_photo() {
    let folder = tempfile::tempdir().expect("a folder");
    let refused = |jaws: &[&str], remedy: &str| {
        let mut command = seepline(folder.path());
        command.args(["read", "a.jpg", "b.jpg", "c.jpg"]);
        command.args(jaws.iter().flat_map(|jaw| ["--jaw", jaw]));
        command.ran().code(2).stdout("").stderr(contains(remedy));
    };
    refused(
        &["1", "1"],
        "2 --jaw for 3 photos; give --jaw once per photo",
    );
    refused(&["0", "1", "2"], "0 is not in");
    refused(&["heron", "1", "2"], "invalid digit");
}
