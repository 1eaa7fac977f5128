use std::io::Write as _;
use std::path::Path;

use super::*;
use crate::reading::geometry::{Point, Quad};
use crate::reading::inspect::{Inspection, Request, inspect, joined};
use crate::reading::network::{JUDGE_COLS, JUDGE_ROWS};
use crate::reading::{photo, profile};

const NAMES: [&str; 33] = [
    "judge full-length",
    "judge tip-only",
    "judge base-only",
    "judge ends-only",
    "judge middle-only",
    "judge centre-only",
    "judge edges-only",
    "judge one-side",
    "judge held-off",
    "judge mixed",
    "confidence",
    "separation",
    "hue shift",
    "undecided",
    "opinions apart",
    "transfer",
    "jaw",
    "alike",
    "seam",
    "outline seen",
    "outline",
    "sharpness",
    "unlike ends",
    "judged",
    "least judged",
    "overall",
    "tip third",
    "middle third",
    "base third",
    "judge of the second map",
    "judge of the mirror image",
    "border seam",
    "border jaw",
];

#[test]
fn every_path_through_the_model_ends() {
    assert_eq!(MODEL.features, NAMES);
    for tree in &MODEL.trees {
        for (at, node) in tree.iter().enumerate() {
            match *node {
                Node::Leaf(value) => assert!(value.is_finite()),
                Node::Split(feature, most, low, high) => {
                    assert!(feature < NAMES.len() && most.is_finite());
                    assert!(low > at && high > at && low < tree.len() && high < tree.len());
                }
            }
        }
    }
}

#[derive(serde::Deserialize)]
struct Known {
    seen: Vec<f32>,
    chance: f64,
}

/// By scikit-learn 1.9.1's `HistGradientBoostingClassifier.predict_proba`, of which `src/recipe/trust.py` wrote the trees down.
#[test]
fn says_what_the_library_says_that_fitted_it() {
    let known: Vec<Known> = serde_json::from_str(include_str!("known.json")).expect("in order");
    assert!(known.len() >= 5);
    for Known { seen, chance } in known {
        let ours = MODEL.chance(&seen);
        assert!((ours - chance).abs() < 1e-3, "{ours} is not {chance}");
    }
}

/// What the judge was asked of an inspection, in steps of 1/255: share covered, share judged.
fn asked_of_the_judge(of: &Inspection) -> Option<Vec<u8>> {
    let map = of.compound.as_ref()?;
    let coarse = pattern::coarse(&map.cover, &map.judged, of.request.method);
    let planes = coarse.iter().take(2 * JUDGE_ROWS * JUDGE_COLS);
    Some(planes.map(|v| (v * 255.0).round() as u8).collect())
}

/// The cues of an inspection, as they are weighed; `None` where there was no face to ask.
fn weighed(of: &Inspection) -> Option<(String, Vec<f32>)> {
    let (map, cues) = (of.compound.as_ref()?, of.cues.as_ref()?);
    let method = of.request.method;
    let judged = pattern::judge(map, method);
    let seen = Seen::of(map, cues, &profile::profile(map), &judged, method);
    let named = serde_json::to_value(judged.pattern).expect("a word");
    Some((
        named.as_str().expect("a word").to_owned(),
        seen.with(joined::border(of)?),
    ))
}

fn request(truth: &serde_json::Value, by_corners: bool) -> Request {
    let tip: Result<Option<_>, _> = serde_json::from_value(truth["tip_direction"].clone());
    let corners: Result<Option<[[f64; 2]; 4]>, _> =
        serde_json::from_value(truth["face_corners_px"].clone());
    Request {
        method: serde_json::from_value(truth["method"].clone()).expect("a method"),
        tip: tip.expect("a direction, or none").filter(|_| !by_corners),
        corners: corners
            .expect("four corners, or none")
            .filter(|_| by_corners)
            .map(|c| Quad(c.map(|[x, y]| Point::new(x, y)))),
    }
}

fn line(path: &Path, by_corners: bool) -> Option<serde_json::Value> {
    let text = std::fs::read_to_string(path).expect("readable");
    let truth: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let asked = request(&truth, by_corners);
    if by_corners && asked.corners.is_none() {
        return None;
    }
    let name = truth["photo"].as_str()?;
    let bytes = std::fs::read(path.with_file_name(name)).expect("the photo beside it");
    let photo = photo::read_photo(&bytes).ok()?;
    let inspection = inspect(photo, &asked);
    let (pattern, seen) = weighed(&inspection)?;
    Some(
        serde_json::json!({"photo": name, "pattern": pattern, "names": NAMES.to_vec(), "seen": seen, "asked": asked_of_the_judge(&inspection)}),
    )
}

/// Writes what `src/recipe/judge.py` teaches the judge and `trust.py` fits the model to: of each photo with its truth beside it in the
/// folder `SEEPLINE_SEEN`, into the file `SEEPLINE_SEEN_TO`; the face searched, or with `SEEPLINE_SEEN_BY=corners` given.
#[test]
#[ignore = "needs a folder of photos with truth"]
fn what_readings_show() {
    let folder = std::env::var("SEEPLINE_SEEN").expect("a folder");
    let out = std::env::var("SEEPLINE_SEEN_TO").expect("a file");
    let by_corners = std::env::var("SEEPLINE_SEEN_BY").is_ok_and(|by| by == "corners");
    let mut out = std::fs::File::create(out).expect("can be written");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "json") && !p.ends_with("index.json"))
        .collect();
    paths.sort();
    for line in paths.iter().filter_map(|p| line(p, by_corners)) {
        writeln!(out, "{line}").expect("can be written");
    }
}
