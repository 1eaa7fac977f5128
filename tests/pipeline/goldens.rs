//! What every stage made of three samples, kept in `goldens/`, one file a sample.
//!
//! A self-made golden proves sameness, not truth: that a stage still does what it did, so that a change
//! of one stage shows where it begins. Truth is compared in `truth.rs` and `tests/reference`.
//!
//! After a change that is meant (new weights always are one), write them anew and read the difference:
//!
//! ```text
//! SEEPLINE_GOLDENS=write cargo test --test all goldens && git diff tests/pipeline/goldens
//! ```
//!
//! Words, counts and sizes must be exact. Numbers are kept to three decimals and may differ by
//! [`STEP`] or [`STEP_PX`]: on processors with other vector widths the networks sum in another order, which
//! changes single-precision sums in their sixth digit. Shares then change by less than a thousandth, and
//! one cell that flips over a threshold changes the mean of its block of 256 by 0.004. Comparing with a
//! step, not after rounding, keeps a value on the edge between two roundings from failing.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use image::imageops;
use seepline::{CompoundMap, Inspection, PerSide, RectifiedFace, UprightPhoto};
use serde_json::{Map, Value, json};

use super::compare::advice;
use super::samples::{Sample, sample};

/// Largest difference of a share, a density or a light, and of a change in thousandths of an inch.
const STEP: f64 = 0.005;
/// Largest difference of a place in the picture, of some 1600 px: a two-thousandth of a face.
const STEP_PX: f64 = 0.2;
/// Asks for writing instead of comparing.
const WRITE: &str = "SEEPLINE_GOLDENS";

#[test]
fn too_much_taper() {
    same_as_golden("heron-too-much-taper/jaw2");
}

#[test]
fn one_side() {
    same_as_golden("one-side-on-the-chuck");
}

#[test]
fn never_painted() {
    same_as_golden("refused-nothing-was-painted");
}

fn same_as_golden(part: &str) {
    let sample = sample(part);
    let actual = stages(sample);
    let file = golden(part);
    if std::env::var(WRITE).is_ok_and(|v| v == "write") {
        let text = serde_json::to_string_pretty(&actual).expect("JSON");
        std::fs::write(&file, text + "\n").expect("written");
    }
    let text = std::fs::read_to_string(&file)
        .unwrap_or_else(|e| panic!("{}: {e}; write it with {WRITE}=write", file.display()));
    let expected: Value = serde_json::from_str(&text).expect("JSON");
    let mut differences = String::new();
    compare("", &expected, &actual, &mut differences);
    assert!(
        differences.is_empty(),
        "{}\n{:<42} {:>16} {:>16} {:>10}\n{differences}",
        file.display(),
        "place",
        "expected",
        "actual",
        "difference"
    );
}

fn golden(part: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pipeline/goldens");
    folder.join(part.replace('/', "-") + ".json")
}

/// The stages in their order.
fn stages(sample: &Sample) -> Value {
    let Inspection {
        photo,
        rectified,
        compound,
        reading,
        ..
    } = &sample.inspection;
    json!({
        "1 photo": photo_stage(photo),
        "2 face": reading.face.as_ref().map(|face| json!({
            "corners_px": face.corners.0.map(|p| numbers(&[p.x, p.y])),
            "tip_and_base_middle_px": [
                numbers(&[face.tip_middle.x, face.tip_middle.y]),
                numbers(&[face.base_middle.x, face.base_middle.y]),
            ],
            "confidence_and_tip_support": numbers(&[face.confidence, face.tip_support]),
        })),
        "3 rectified": rectified.as_ref().map(rectified_stage),
        "4 compound": compound.as_ref().map(compound_stage),
        "5 profile": reading.profile.as_ref().map(|profile| json!({
            "along": profile.along.iter().map(|v| v.map(rounded)).collect::<Vec<_>>(),
            "across": profile.across.iter().map(|v| v.map(rounded)).collect::<Vec<_>>(),
            "thirds": numbers(&profile.thirds),
            "judged": rounded(profile.judged),
        })),
        "6 reading": {
            "pattern": reading.pattern,
            "confidence": rounded(reading.confidence),
            "bands": reading.bands.iter().map(|b| numbers(&[b.from, b.to])).collect::<Vec<_>>(),
            "refusal": reading.refusal.as_ref().map(|r| r.reason),
            "tip_contradicted": reading.tip_contradicted,
            "method_contradicted": reading.method_contradicted,
        },
        "7 advice": advice_stage(sample),
    })
}

fn photo_stage(photo: &UprightPhoto) -> Value {
    let cells = imageops::thumbnail(&photo.pixels, 4, 4);
    json!({
        "size_px": photo.size_px,
        "working_px": [photo.pixels.width(), photo.pixels.height()],
        "taken": photo.taken,
        "focal_35mm": photo.focal_35mm,
        "mean_levels": cells.pixels().map(|p| p.0).collect::<Vec<_>>(),
    })
}

/// Mean linear light of 8 × 6 blocks.
fn rectified_stage(face: &RectifiedFace) -> Value {
    let (rows, columns, _) = face.linear_rgb.dim();
    let light = |(r, c)| {
        (0..3)
            .map(|k| f64::from(face.linear_rgb[[r, c, k]]))
            .sum::<f64>()
            / 3.0
    };
    json!({
        "cells": [rows, columns],
        "inside": face.inside.iter().filter(|v| **v).count(),
        "light": blocks((rows, columns), light),
    })
}

/// Mean cover, density and judged share of 8 × 6 blocks.
fn compound_stage(map: &CompoundMap) -> Value {
    let size = map.cover.dim();
    json!({
        "cells": [size.0, size.1],
        "cover": blocks(size, |at| f64::from(map.cover[at])),
        "density": blocks(size, |at| f64::from(map.density[at])),
        "judged": blocks(size, |at| f64::from(u8::from(map.judged[at]))),
        "burnt_black_hidden": numbers(&[map.burnt, map.black, map.hidden].map(f64::from)),
    })
}

fn advice_stage(sample: &Sample) -> Value {
    let advice = advice(vec![sample.reading()]);
    let change = advice.taper_change.map(|c| {
        let thou = [c.change, c.low, c.high].map(PerSide::thou);
        numbers(&thou)
    });
    json!({ "action": advice.action, "change_low_high_thou": change })
}

/// Means over 8 × 6 blocks of a grid, one line of blocks each.
fn blocks(size: (usize, usize), value: impl Fn((usize, usize)) -> f64) -> Vec<Value> {
    let (down, across) = (size.0 / 8, size.1 / 6);
    let block = |r: usize, c: usize| {
        let cells = (0..down * across).map(|i| (r * down + i / across, c * across + i % across));
        cells.map(&value).sum::<f64>() / (down * across) as f64
    };
    let line = |r| numbers(&std::array::from_fn::<f64, 6, _>(|c| block(r, c)));
    (0..8).map(line).collect()
}

fn numbers(values: &[f64]) -> Value {
    values.iter().copied().map(rounded).collect()
}

fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

/// One line per place that differs.
fn compare(place: &str, expected: &Value, actual: &Value, out: &mut String) {
    match (expected, actual) {
        (Value::Object(a), Value::Object(b)) => compare_objects(place, a, b, out),
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                compare(&format!("{place}[{i}]"), a, b, out);
            }
        }
        (Value::Number(a), Value::Number(b)) if a.is_f64() && b.is_f64() => {
            let off = b.as_f64().expect("a float") - a.as_f64().expect("a float");
            let step = if place.contains("_px") { STEP_PX } else { STEP };
            if off.abs() > step {
                let _ = writeln!(out, "{place:<42} {a:>16} {b:>16} {off:>10.3}");
            }
        }
        (a, b) if a == b => {}
        (a, b) => {
            let _ = writeln!(
                out,
                "{place:<42} {:>16} {:>16}",
                a.to_string(),
                b.to_string()
            );
        }
    }
}

fn compare_objects(
    place: &str,
    expected: &Map<String, Value>,
    actual: &Map<String, Value>,
    out: &mut String,
) {
    let keys: std::collections::BTreeSet<_> = expected.keys().chain(actual.keys()).collect();
    for key in keys {
        let of = |map: &Map<String, Value>| map.get(key).cloned().unwrap_or(Value::Null);
        compare(&format!("{place}/{key}"), &of(expected), &of(actual), out);
    }
}

/// The comparison itself must be able to fail, at every kind of value.
#[test]
fn differences_are_shown() {
    let golden = json!({ "a": [1.0, 2.0], "at_px": [5.0, 5.0], "word": "tip-only", "count": 3, "gone": 0.5 });
    let other =
        json!({ "a": [1.004, 2.006], "at_px": [5.1, 5.3], "word": "base-only", "count": 4 });
    let mut shown = String::new();
    compare("", &golden, &other, &mut shown);
    let places: Vec<_> = shown
        .lines()
        .filter_map(|l| l.split_whitespace().next())
        .collect();
    assert_eq!(places, ["/a[1]", "/at_px[1]", "/count", "/gone", "/word"]);
}
