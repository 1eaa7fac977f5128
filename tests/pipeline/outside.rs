//! Pictures of others, none of which shows a jaw: refused with a remedy, or decoded as Pillow decodes them,
//! and never a reason to cut.
//!
//! ```text
//! python tests/reference/outside_pictures.py DIR > expected.jsonl
//! SEEPLINE_OUTSIDE_PHOTOS=DIR SEEPLINE_OUTSIDE_EXPECTED=expected.jsonl \
//!     cargo test --test all outside -- --ignored --nocapture
//! ```

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::path::Path;

use seepline::{
    Method, PhotoError, Reading, Request, TipDirection, UprightPhoto, inspect, read_photo,
};
use serde::Deserialize;
use walkdir::WalkDir;

use super::compare::change;

/// Levels of a mean colour. JPEG decoders may differ by one level a pixel (ITU-T T.83), and a palette or 16
/// bits may be rounded otherwise; a channel swapped, or transparency over another ground, gives tens of levels.
const LEVELS: f64 = 2.0;

#[derive(Deserialize)]
struct Expected {
    file: String,
    pillow: Option<Seen>,
}

#[derive(Debug, Deserialize)]
struct Seen {
    size: [u32; 2],
    mean: [f64; 3],
}

#[derive(Default)]
struct Counts {
    read: usize,
    refused: usize,
    compared: usize,
    differ: Vec<String>,
    only_pillow: usize,
    /// Files that Pillow opens, by why they were refused here.
    only_pillow_by_reason: BTreeMap<String, Vec<String>>,
    /// How many readings gave no pattern, by reason.
    no_pattern: BTreeMap<String, usize>,
    patterns: Vec<String>,
    changes: Vec<String>,
}

#[test]
#[ignore = "needs a folder of pictures"]
fn outside_pictures_are_refused_or_decoded_and_never_cut() {
    let folder = std::env::var_os("SEEPLINE_OUTSIDE_PHOTOS").expect("SEEPLINE_OUTSIDE_PHOTOS");
    let folder = Path::new(&folder);
    let expected = expected();
    let mut counts = Counts::default();
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.expect("a folder that can be listed");
        if !entry.file_type().is_file() {
            continue;
        }
        let path = entry.path();
        let name = path
            .strip_prefix(folder)
            .expect("below it")
            .to_string_lossy();
        let bytes = fs::read(path).expect("a readable file");
        one(&name, &bytes, expected.get(name.as_ref()), &mut counts);
    }
    let Counts {
        read,
        refused,
        compared,
        only_pillow,
        ..
    } = counts;
    println!(
        "{read} read, {refused} refused, of which Pillow opens {only_pillow}; {compared} compared"
    );
    println!("differ: {:#?}", counts.differ);
    for (reason, files) in &counts.only_pillow_by_reason {
        println!("{} only Pillow opens: {reason}: {files:?}", files.len());
    }
    println!("no pattern: {:#?}", counts.no_pattern);
    println!("patterns: {:#?}", counts.patterns);
    assert!(read > 0, "nothing was read");
    assert_eq!(counts.changes, [] as [String; 0]);
}

fn expected() -> HashMap<String, Expected> {
    let Some(place) = std::env::var_os("SEEPLINE_OUTSIDE_EXPECTED") else {
        return HashMap::new();
    };
    let text = fs::read_to_string(place).expect("a readable file");
    let lines = text
        .lines()
        .map(|line| serde_json::from_str::<Expected>(line).expect("JSON"));
    lines.map(|line| (line.file.clone(), line)).collect()
}

fn one(name: &str, bytes: &[u8], expected: Option<&Expected>, counts: &mut Counts) {
    let pillow = expected.and_then(|e| e.pillow.as_ref());
    let photo = match read_photo(bytes) {
        Ok(photo) => photo,
        Err(refused) => {
            assert!(
                refused.to_string().contains("; "),
                "{name}: {refused} names no remedy"
            );
            counts.refused += 1;
            if pillow.is_some() {
                counts.only_pillow += 1;
                let files = counts.only_pillow_by_reason.entry(kind(&refused));
                files.or_default().push(name.to_owned());
            }
            return;
        }
    };
    counts.read += 1;
    if let Some(pillow) = pillow {
        counts.compared += 1;
        counts.differ.extend(difference(name, &photo, pillow));
    }
    for method in [Method::Seep, Method::Transfer] {
        for tip in TIPS {
            let request = Request {
                method,
                tip,
                corners: None,
            };
            let reading = inspect(photo.clone(), &request).reading;
            note(
                &format!("{name}, {method:?}, tip {tip:?}"),
                &reading,
                counts,
            );
        }
    }
}

/// Not said, and each way: a wrong one must not help.
const TIPS: [Option<TipDirection>; 5] = [
    None,
    Some(TipDirection::Up),
    Some(TipDirection::Right),
    Some(TipDirection::Down),
    Some(TipDirection::Left),
];

fn note(what: &str, reading: &Reading, counts: &mut Counts) {
    match &reading.refusal {
        Some(refusal) => {
            *counts
                .no_pattern
                .entry(format!("{:?}", refusal.reason))
                .or_default() += 1;
        }
        None => counts.patterns.push(format!(
            "{what}: {:?} {:.2}, tip contradicted {}",
            reading.pattern, reading.confidence, reading.tip_contradicted
        )),
    }
    if let Some(thou) = change(vec![reading]).filter(|thou| *thou != 0.0) {
        counts.changes.push(format!("{what}: {thou} thou"));
    }
}

/// The message with its numbers left out.
fn kind(refused: &PhotoError) -> String {
    let text = refused.to_string();
    let what = text.split("; ").next().unwrap_or_default();
    let words = what.split(|c: char| c.is_ascii_digit());
    words
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join("…")
}

fn difference(name: &str, photo: &UprightPhoto, pillow: &Seen) -> Option<String> {
    let mut sums = [0.0; 3];
    for pixel in photo.pixels.pixels() {
        for (sum, value) in sums.iter_mut().zip(pixel.0) {
            *sum += f64::from(value);
        }
    }
    let count = f64::from(photo.pixels.width()) * f64::from(photo.pixels.height());
    let mean = sums.map(|sum| sum / count);
    let near = mean
        .iter()
        .zip(pillow.mean)
        .all(|(a, b)| (a - b).abs() <= LEVELS);
    let same = photo.size_px == pillow.size && near;
    (!same).then(|| format!("{name}: {:?} {mean:.1?}, Pillow {pillow:?}", photo.size_px))
}
