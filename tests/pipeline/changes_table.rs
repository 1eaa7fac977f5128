//! The same changes over folders of photos with their truth, larger than what is kept here, as a table:
//! `SEEPLINE_PHOTOS=sample-images:DIR cargo test --test all table_of_changes -- --ignored --nocapture`.
//!
//! A folder holds a `truth.json` as `sample-images` does, or beside each `NAME.jpg` a `NAME.json` with at least
//! `method`, `tip_direction` and, in pixels of the upright photo, `face_corners_px` (tip-left, tip-right,
//! base-right, base-left, or null).

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::thread;

use clap::ValueEnum;
use seepline::{
    Method, Point, Quad, Reading, Request, TipDirection, UprightPhoto, inspect, read_photo,
};
use serde::Deserialize;

use super::compare::{change, opposite};
use super::metamorphic::off_by_2_percent;
use super::orientation::stored;
use super::transforms::{lit, mirrored, recompressed, shrunk, turned};
use crate::support::exif_notes;

#[derive(Deserialize)]
pub(crate) struct Truth {
    method: Method,
    #[serde(alias = "tip")]
    tip_direction: String,
    #[serde(alias = "corners_px")]
    face_corners_px: Option<[[f64; 2]; 4]>,
    /// Below the folder, in a `truth.json`.
    file: Option<String>,
}

/// A `truth.json`.
#[derive(Deserialize)]
struct Truths {
    photos: Vec<Truth>,
}

pub(crate) struct Case {
    pub(crate) name: String,
    pub(crate) photo: UprightPhoto,
    pub(crate) request: Request,
    pub(crate) corners: Option<Quad>,
}

/// Of all photos under one change.
#[derive(Default)]
struct Row {
    readings: usize,
    other_pattern: usize,
    refused_now: usize,
    read_now: usize,
    new_cut: usize,
    other_way: usize,
}

#[test]
#[ignore = "needs a folder of photos, and minutes"]
fn table_of_changes() {
    let photos = given();
    let rows = Mutex::new(BTreeMap::new());
    let share = photos
        .len()
        .div_ceil(thread::available_parallelism().map_or(1, usize::from))
        .max(1);
    thread::scope(|scope| {
        for some in photos.chunks(share) {
            scope.spawn(|| {
                some.iter()
                    .map(|(photo, truth)| load(photo, truth))
                    .for_each(|p| compare(&p, &rows));
            });
        }
    });
    let rows = rows.into_inner().expect("no thread failed");
    print(&rows);
    assert!(!rows.is_empty(), "no photo with its truth is there");
    for (how, row) in rows {
        assert_eq!(row.other_way, 0, "{how}: the sign of a change turned");
    }
}

/// The photos of all folders that `SEEPLINE_PHOTOS` names.
pub(crate) fn given() -> Vec<(PathBuf, Truth)> {
    let folders = std::env::var_os("SEEPLINE_PHOTOS").expect("SEEPLINE_PHOTOS: the folders");
    std::env::split_paths(&folders)
        .flat_map(|f| photos(&f))
        .collect()
}

/// The folder's photos, by name.
fn photos(folder: &Path) -> Vec<(PathBuf, Truth)> {
    let text = |file: &Path| fs::read_to_string(file).expect("a readable file");
    let together = folder.join("truth.json");
    if together.is_file() {
        let all: Truths = serde_json::from_str(&text(&together)).expect("a table");
        let place = |truth: &Truth| folder.join(truth.file.as_ref().expect("a file's name"));
        return all.photos.into_iter().map(|t| (place(&t), t)).collect();
    }
    let entries = fs::read_dir(folder).expect("a folder");
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|file| file.extension().is_some_and(|e| e == "jpg"))
        .collect();
    files.sort();
    let with_truth = |photo: PathBuf| {
        let truth = photo.with_extension("json");
        let truth = truth.is_file().then(|| text(&truth))?;
        Some((photo, serde_json::from_str(&truth).expect("JSON")))
    };
    files.into_iter().filter_map(with_truth).collect()
}

pub(crate) fn load(photo: &Path, of: &Truth) -> Case {
    let bytes = fs::read(photo).expect("readable");
    let tip = TipDirection::from_str(&of.tip_direction, false).ok();
    let corners = of
        .face_corners_px
        .map(|c| Quad(c.map(|[x, y]| Point::new(x, y))));
    Case {
        name: photo.display().to_string(),
        photo: read_photo(&bytes).expect("a photo"),
        request: Request {
            method: of.method,
            tip,
            corners: None,
        },
        corners,
    }
}

fn compare(photo: &Case, rows: &Mutex<BTreeMap<String, Row>>) {
    let found = inspect(photo.photo.clone(), &photo.request).reading;
    for (how, changed, request) in changes(photo) {
        note(
            &how,
            &photo.name,
            &found,
            &inspect(changed, &request).reading,
            rows,
        );
    }
    let Some(corners) = &photo.corners else {
        return;
    };
    let with = |corners| Request {
        corners: Some(corners),
        ..photo.request.clone()
    };
    let given = inspect(photo.photo.clone(), &with(*corners)).reading;
    for shift in 0..4 {
        let shifted = with(off_by_2_percent(corners, shift));
        let after = inspect(photo.photo.clone(), &shifted).reading;
        note(
            "corners given, each off by 2 %",
            &photo.name,
            &given,
            &after,
            rows,
        );
    }
}

fn changes(of: &Case) -> Vec<(String, UprightPhoto, Request)> {
    let (photo, request) = (&of.photo, &of.request);
    let with_tip = |tip| Request {
        tip,
        ..request.clone()
    };
    let mut all = Vec::new();
    for quality in [60, 75, 85, 95] {
        let again = recompressed(photo, quality);
        all.push((format!("JPEG quality {quality}"), again, request.clone()));
    }
    for (share, how) in [(0.5, "half the resolution"), (0.75, "¾ of the resolution")] {
        all.push((how.to_owned(), shrunk(photo, share), request.clone()));
    }
    // What phones write: upright, and held with either side or the top down.
    for code in [3, 6, 8] {
        let how = "EXIF orientation 3, 6 or 8, JPEG quality 95".to_owned();
        all.push((how, as_stored(photo, code), request.clone()));
    }
    if request.tip.is_some() {
        for quarters in 1..4 {
            let (turned, tip) = turned(photo, request.tip, quarters);
            all.push(("turned by quarters".to_owned(), turned, with_tip(tip)));
        }
    }
    let (flipped, tip) = mirrored(photo, request.tip);
    all.push(("mirrored left to right".to_owned(), flipped, with_tip(tip)));
    for gain in [0.7, 0.85, 1.15, 1.3] {
        let how = format!("light × {gain}");
        all.push((how, lit(photo, [gain; 3]), request.clone()));
    }
    for gains in [
        [1.1, 1.0, 0.9],
        [0.9, 1.0, 1.1],
        [1.0, 0.9, 1.0],
        [1.0, 1.1, 1.0],
    ] {
        let how = "white balance, channels × 0.9 to 1.1".to_owned();
        all.push((how, lit(photo, gains), request.clone()));
    }
    all
}

/// As a camera held so would have written it.
fn as_stored(photo: &UprightPhoto, code: u16) -> UprightPhoto {
    let exif = exif_notes::orientation(code);
    let bytes = exif_notes::jpeg(&stored(&photo.pixels, code), 95, Some(exif));
    UprightPhoto {
        focal_35mm: photo.focal_35mm,
        ..read_photo(&bytes).expect("a JPEG")
    }
}

fn note(
    how: &str,
    name: &str,
    before: &Reading,
    after: &Reading,
    rows: &Mutex<BTreeMap<String, Row>>,
) {
    let cut = |reading| change(vec![reading]).filter(|thou| *thou != 0.0);
    let (cut_before, cut_after) = (cut(before), cut(after));
    let turned = cut_before.zip(cut_after).is_some_and(|(a, b)| a * b < 0.0);
    let refused = [before, after].map(|r| usize::from(r.refusal.is_some()));
    let both_read = refused == [0, 0];
    let other = both_read && before.pattern != after.pattern;
    let other_way = turned || opposite(before.pattern, after.pattern);
    let new_cut = cut_before.is_none() && cut_after.is_some();
    let mut rows = rows.lock().expect("no thread failed");
    let row = rows.entry(how.to_owned()).or_default();
    row.readings += 1;
    row.other_pattern += usize::from(other);
    row.refused_now += usize::from(refused == [0, 1]);
    row.read_now += usize::from(refused == [1, 0]);
    row.new_cut += usize::from(new_cut);
    row.other_way += usize::from(other_way);
    if other || new_cut || other_way {
        println!(
            "{name}, {how}: {:?} {:.2}, cut {cut_before:?}, became {:?} {:.2}, cut {cut_after:?} thou",
            before.pattern, before.confidence, after.pattern, after.confidence
        );
    }
}

fn print(rows: &BTreeMap<String, Row>) {
    println!(
        "| change | readings | pattern changes | refused only then | read only then | a cut only then | sign or opposite pattern |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (how, row) in rows {
        let share = |count: usize| format!("{:.1} %", 100.0 * count as f64 / row.readings as f64);
        println!(
            "| {how} | {} | {} | {} | {} | {} | {} |",
            row.readings,
            share(row.other_pattern),
            share(row.refused_now),
            share(row.read_now),
            share(row.new_cut),
            row.other_way
        );
    }
}
