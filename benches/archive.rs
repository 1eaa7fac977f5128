//! How long the archive takes with 10 000 checks in it: `cargo bench --bench archive`.
//!
//! Two archives: 200 jaw sets with 50 checks each, and one jaw set that has them all, which is worse
//! than any shop's. Every check has three readings whose detail is as large as a real one's.

use std::path::Path;
use std::sync::LazyLock;

use divan::Bencher;
use jiff::ToSpan;
use jiff::civil::{DateTime, date};
use seepline::archive::{Archive, Details, Find};
use seepline::{
    Action, Cut, FiledAdvice, FiledCheck, FiledReading, Grip, Id, JawSet, Method, Mounting,
    OpenEnd, Pattern, Seen,
};
use serde_json::json;
use tempfile::TempDir;

const CHECKS: usize = 10_000;
const CHECKS_PER_CUT: usize = 5;

static MANY_SETS: LazyLock<Filled> = LazyLock::new(|| Filled::with(200));
static ONE_SET: LazyLock<Filled> = LazyLock::new(|| Filled::with(1));

fn main() {
    divan::main();
}

/// An archive, and one of its jaw sets.
struct Filled {
    // Removed when dropped.
    folder: TempDir,
    jaw_set: Id,
}

impl Filled {
    fn with(sets: usize) -> Self {
        // In memory where there is such a folder: filling waits for the disk ninety thousand times.
        let memory = TempDir::new_in("/dev/shm");
        let folder = memory
            .or_else(|_| TempDir::new())
            .expect("a temporary folder");
        let mut archive = Archive::create_or_open(folder.path()).expect("a new archive");
        let mut jaw_set = Id::derived(&["none"]);
        for set in 0..sets {
            jaw_set = fill(&mut archive, set, CHECKS / sets);
        }
        Self { folder, jaw_set }
    }

    fn open(&self) -> Archive {
        open(self.folder.path())
    }
}

fn open(folder: &Path) -> Archive {
    Archive::open(folder).expect("the archive opens")
}

/// `checks` through the whole of filing.
fn fill(archive: &mut Archive, set: usize, checks: usize) -> Id {
    let id = Id::derived(&["set", &set.to_string()]);
    archive.put_jaw_set(&jaw_set(id, set)).expect("written");
    let mut filed = 0;
    for number in 0..checks.div_ceil(CHECKS_PER_CUT) {
        let cut = cut(id, number);
        archive.put_cut(&cut).expect("written");
        for _ in 0..CHECKS_PER_CUT.min(checks - filed) {
            let photos = [0, 1, 2].map(|jaw| format!("{set} {filed} {jaw}"));
            let bytes = photos.each_ref().map(String::as_bytes);
            let hashes: Vec<String> = bytes
                .iter()
                .map(|b| archive.store_photo(b).expect("stored"))
                .collect();
            let check = check(&cut, &hashes, filed);
            archive.file_check(id, &check, &bytes).expect("filed");
            filed += 1;
        }
    }
    id
}

fn at(hours: usize) -> DateTime {
    let hours = (hours as i64).hours();
    let start = date(2020, 1, 1).at(0, 0, 0, 0);
    start.checked_add(hours).expect("within the calendar")
}

fn jaw_set(id: Id, number: usize) -> JawSet {
    JawSet {
        id,
        name: format!("heron {number}"),
        grip: Grip::Outside,
        material: Some("steel".into()),
        jaw_height: None,
        face_length: None,
        face_width: None,
        bored_diameter: None,
        workpiece: Some("flange".into()),
        workpiece_diameter: "4in".parse().ok(),
        mounting: Mounting::default(),
        boring_pressure: None,
        production_pressure: None,
        bolt_torque: None,
        bored_on: None,
        stock: None,
        notes: None,
        photos: Vec::new(),
        changed: at(0),
    }
}

fn cut(jaw_set: Id, number: usize) -> Cut {
    Cut {
        id: Id::derived(&[&jaw_set.to_string(), &number.to_string()]),
        jaw_set,
        made: at(number * 8),
        diameter: "4in".parse().ok(),
        depth: None,
        taper: None,
        boring_pressure: None,
        skimmed: None,
        stock_left: None,
        mounting: Mounting::default(),
        notes: None,
        changed: at(0),
    }
}

fn check(cut: &Cut, hashes: &[String], number: usize) -> FiledCheck {
    FiledCheck {
        id: cut.id,
        cut: cut.id,
        made: at(number),
        method: Method::Seep,
        compound: Some("blue".into()),
        pressure: "300psi".parse().ok(),
        mounting: Mounting::default(),
        readings: hashes.iter().map(|h| reading(h)).collect(),
        program: "0.2.0".into(),
        rules: "1".into(),
        advice: FiledAdvice {
            pattern: Pattern::TipOnly,
            action: Action::Recut,
            change: None,
            low: None,
            high: None,
            next_taper: None,
            what_to_do: "Take off taper.".into(),
            why: "The base is open on all three jaws.".into(),
        },
        done: None,
        changed: at(number),
    }
}

fn reading(sha256: &str) -> FiledReading {
    let profile: Vec<f64> = (0..64).map(|s| f64::from(s) / 67.0).collect();
    FiledReading {
        sha256: sha256.to_owned(),
        file: "jaw1.jpg".into(),
        taken: Some(at(1)),
        phone: None,
        pattern: Pattern::TipOnly,
        confidence: 0.97,
        refusal: None,
        seen: Some(Seen {
            open_end: OpenEnd::Base,
            open_fraction: 0.4,
            sd: 0.03,
        }),
        detail: json!({"sha256": sha256, "profile": profile}),
    }
}

/// Opening, and the list of 200 sets: what a command that lists does.
#[divan::bench]
fn a_open_and_list_200_sets(bencher: Bencher) {
    let folder = MANY_SETS.folder.path();
    bencher.bench(|| open(folder).jaw_sets(&Find::default()));
}

/// Opening, and one of 200 sets with its 50 checks.
#[divan::bench]
fn b_open_and_timeline_of_50_checks(bencher: Bencher) {
    let filled = &*MANY_SETS;
    bencher.bench(|| filled.open().timeline(filled.jaw_set, Details::Whole));
}

/// All timelines of 200 sets, as for learning.
#[divan::bench(sample_count = 10)]
fn c_every_timeline_without_details(bencher: Bencher) {
    let archive = MANY_SETS.open();
    bencher.bench_local(|| archive.every_timeline(Details::LeftOut));
}

/// The list where one set has all 10 000 checks.
#[divan::bench]
fn d_open_and_list_one_set(bencher: Bencher) {
    let folder = ONE_SET.folder.path();
    bencher.bench(|| open(folder).jaw_sets(&Find::default()));
}

/// One set with 10 000 checks of 30 000 readings.
#[divan::bench(sample_count = 10)]
fn e_timeline_of_10000_checks_without_details(bencher: Bencher) {
    let archive = ONE_SET.open();
    bencher.bench_local(|| archive.timeline(ONE_SET.jaw_set, Details::LeftOut));
}

/// The same with all details.
#[divan::bench(sample_count = 10)]
fn f_timeline_of_10000_checks(bencher: Bencher) {
    let archive = ONE_SET.open();
    bencher.bench_local(|| archive.timeline(ONE_SET.jaw_set, Details::Whole));
}
