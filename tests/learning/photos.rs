//! Whole jaw sets read from photos: how far the needed taper is off after each check.
//!
//! `SEEPLINE_SETS=DIR cargo test --release --test all photos -- --ignored --nocapture`, where DIR
//! holds photos and beside each `NAME.jpg` a `NAME.json` with `jaw_set`, `check`, `jaw`, `taper_cut_um`,
//! `taper_needed_um`, `tip_direction` and `method`. Nothing else of that file is used, and the needed
//! taper only to score.

use std::collections::BTreeMap;
use std::path::Path;

use seepline::{
    Conditions, Knowledge, Method, Reading, Request, Rules, TipDirection, inspect, read_photo,
    steps,
};
use serde::Deserialize;

use super::shop::THOU_UM;
use crate::support::filing::{checked, um, wren};

#[derive(Deserialize)]
struct Truth {
    photo: String,
    jaw_set: Option<String>,
    check: Option<u32>,
    jaw: Option<u32>,
    taper_cut_um: Option<f64>,
    taper_needed_um: Option<f64>,
    tip_direction: Option<String>,
    method: Method,
}

#[test]
#[ignore = "needs SEEPLINE_SETS, a folder of jaw sets with their truth"]
fn the_needed_taper_after_the_second_check() {
    let Some(folder) = std::env::var_os("SEEPLINE_SETS") else {
        println!("skipped: SEEPLINE_SETS names no folder");
        return;
    };
    let sets = sets(Path::new(&folder));
    let mut after_second: Vec<f64> = Vec::new();
    let mut held = Vec::new();
    for (name, checks) in &sets {
        let (mut timeline, now) = (wren(), Conditions::default());
        for photos in checks.values() {
            let readings: Vec<Reading> =
                photos.iter().map(|t| read(Path::new(&folder), t)).collect();
            let taper = um(photos[0].taper_cut_um.expect("a taper"));
            checked(&mut timeline, taper, &readings, &now);
        }
        let needed = checks[&1][0].taper_needed_um.expect("a needed taper");
        let found = steps(
            &timeline,
            &Knowledge::default(),
            Rules::built_in().estimate(),
        );
        for (i, step) in found.iter().enumerate() {
            let Some(e) = &step.estimate else {
                println!("{name} check {}: {:?}", i + 1, step.standing);
                continue;
            };
            let at = |p: seepline::PerSide| p.micrometres() - needed;
            let error = at(e.needed.median) / THOU_UM;
            println!(
                "{name} check {}: {:?} {:?} odd jaw {:?}, needed {needed:.1} um, off by {error:+.2} thou \
                 ({:+.2} to {:+.2}), h {:.1} um",
                i + 1,
                step.pattern,
                step.standing,
                step.odd_jaw,
                at(e.needed.low) / THOU_UM,
                at(e.needed.high) / THOU_UM,
                e.threshold.median.micrometres(),
            );
            held.push(at(e.needed.low) <= 0.0 && at(e.needed.high) >= 0.0);
            if i == 1 {
                after_second.push(error.abs());
            }
        }
    }
    after_second.sort_by(f64::total_cmp);
    let n = after_second.len();
    assert!(n > 0, "no jaw set in the folder");
    let median = f64::midpoint(after_second[(n - 1) / 2], after_second[n / 2]);
    let held = held.iter().filter(|h| **h).count() as f64 / held.len() as f64;
    println!(
        "{n} sets, after the second check: median {median:.3} thou; intervals that hold {held:.2}"
    );
    assert!(median <= 0.2, "{after_second:?}");
}

fn sets(folder: &Path) -> BTreeMap<String, BTreeMap<u32, Vec<Truth>>> {
    let mut sets: BTreeMap<String, BTreeMap<u32, Vec<Truth>>> = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|e| e != "json") {
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("a text");
        let Ok(truth) = serde_json::from_str::<Truth>(&text) else {
            continue;
        };
        if let (Some(set), Some(check)) = (truth.jaw_set.clone(), truth.check) {
            sets.entry(set)
                .or_default()
                .entry(check)
                .or_default()
                .push(truth);
        }
    }
    for photos in sets.values_mut().flat_map(BTreeMap::values_mut) {
        photos.sort_by_key(|t| t.jaw);
    }
    sets
}

fn read(folder: &Path, truth: &Truth) -> Reading {
    let bytes = std::fs::read(folder.join(&truth.photo)).expect("a photo");
    let photo = read_photo(&bytes).expect("a photo that opens");
    let request = Request {
        method: truth.method,
        tip: truth.tip_direction.as_deref().map(tip),
        corners: None,
    };
    inspect(photo, &request).reading
}

fn tip(word: &str) -> TipDirection {
    clap::ValueEnum::from_str(word, true).expect("up, down, left or right")
}
