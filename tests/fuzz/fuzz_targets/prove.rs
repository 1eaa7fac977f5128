//! Whatever the cells of a prove-out hold, each question has an answer or an error; a state that is told contradicts
//! neither itself nor its plan, and taking the archive into another one tells the same.

#![no_main]

use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::{DateTime, date};
use libfuzzer_sys::fuzz_target;
use rusqlite::{Connection, params};
use seepline::archive::{Archive, Find};
use seepline::prove::{Plan, Progress, Proof};
use seepline::report::{ProofNote, TextOptions, operating_curve, proof_to_json, proof_to_text};
use seepline::{
    Action, Cut, FiledAdvice, FiledCheck, FiledReading, Id, JawSet, Method, Mounting, OpenEnd,
    Pattern, PerSide, Person, Rules, Seen,
};

/// Cells that the input may set, a line of it each: `COLUMN=VALUE`, of the prove-out and then of its answers.
const COLUMNS: [(&str, &str); 14] = [
    ("prove_outs", "person"),
    ("prove_outs", "begun"),
    ("prove_outs", "checks"),
    ("prove_outs", "confidence"),
    ("prove_outs", "held"),
    ("prove_outs", "program"),
    ("prove_outs", "counted"),
    ("prove_outs", "ended"),
    ("prove_outs", "ended_by"),
    ("advised", "at"),
    ("advised", "answer"),
    ("advised", "changed"),
    ("calls", "pattern"),
    ("readings", "phone"),
];
const CHECKS: u8 = 4;

fuzz_target!(|input: &[u8]| {
    let Ok(text) = std::str::from_utf8(input) else {
        return;
    };
    let folder = folder("shop");
    let _ = fs::remove_dir_all(&folder);
    copy(template(), &folder);
    set(&folder, text);
    // What is damaged has an error.
    let Ok(mut archive) = Archive::open(&folder) else {
        return;
    };
    asked(&mut archive);
});

/// Before anything is set: a prove-out that holds changes back, ended with four checks that a feeler judged.
fn template() -> &'static Path {
    static MADE: std::sync::OnceLock<PathBuf> = std::sync::OnceLock::new();
    MADE.get_or_init(|| {
        let folder = folder("template");
        let _ = fs::remove_dir_all(&folder);
        made(&folder);
        folder
    })
}

fn folder(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("seepline-fuzz-prove-{name}-{}", std::process::id()))
}

/// Without the photos: no question here asks for them.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to.join("photos")).expect("a folder");
    fs::copy(from.join("archive.sqlite"), to.join("archive.sqlite")).expect("a copy");
}

fn noon() -> DateTime {
    date(2026, 3, 4).at(12, 0, 0, 0)
}

fn lead() -> Person {
    Person::parse("JK").expect("initials")
}

fn made(folder: &Path) {
    let mut archive = Archive::create_or_open(folder).expect("an archive");
    let heron = JawSet::named(Id::derived(&["heron"]), "heron", noon());
    archive.put_jaw_set(&heron).expect("a set");
    let mut cut = Cut::of(&heron, Id::derived(&["cut"]), noon());
    cut.taper = "3thou".parse().map(PerSide::of).ok();
    archive.put_cut(&cut).expect("a cut");
    archive
        .edit_person(&lead(), noon(), |p| p.lead = true)
        .expect("a lead");
    let plan = Plan::of_checks(u32::from(CHECKS), true).expect("a plan");
    archive.begin_prove_out(plan, &lead(), noon()).expect("begun");
    for number in 0..CHECKS {
        let filed = archive.file_check(heron.id, &check(&cut, number), &[&[number]]);
        let filed = filed.expect("filed").check;
        archive.file_call(&measured(filed)).expect("measured");
    }
    let rules = Rules::built_in().estimate();
    archive.end_prove_out(&lead(), noon(), rules).expect("ended");
    drop(archive);
    // One file: the log beside it is not copied.
    let db = Connection::open(folder.join("archive.sqlite")).expect("a database");
    db.pragma_update(None, "journal_mode", "DELETE").expect("no log");
}

fn measured(check: Id) -> seepline::FiledCall {
    let leaf = "1thou".parse().map(PerSide::of).expect("a leaf");
    let change = seepline::CalledChange::Change(-leaf);
    let call = seepline::Call::new(Pattern::TipOnly, change, lead(), noon()).expect("a call");
    seepline::FiledCall {
        id: Id::random().expect("an id"),
        kind: seepline::CallKind::Measured,
        item: seepline::Item::Check(check),
        session: None,
        call,
        revealed: None,
        told: None,
        changed: noon(),
    }
}

fn check(cut: &Cut, number: u8) -> FiledCheck {
    let change = "1thou".parse().map(|l| -PerSide::of(l)).ok();
    FiledCheck {
        id: Id::derived(&["not looked at"]),
        cut: cut.id,
        made: noon(),
        method: Method::Seep,
        compound: Some("blue".into()),
        pressure: None,
        mounting: Mounting::default(),
        readings: vec![FiledReading {
            sha256: sha256(number),
            file: "jaw.jpg".into(),
            taken: None,
            phone: Some("Sandpiper P4".into()),
            pattern: Pattern::TipOnly,
            confidence: 0.97,
            refusal: None,
            seen: Some(Seen {
                open_end: OpenEnd::Base,
                open_fraction: 0.4,
                sd: 0.02,
            }),
            detail: serde_json::json!({}),
        }],
        program: "0.2.0".into(),
        rules: "1".into(),
        advice: FiledAdvice {
            pattern: Pattern::TipOnly,
            action: Action::Recut,
            change,
            low: change,
            high: change,
            next_taper: None,
            what_to_do: "Take taper off.".into(),
            why: String::new(),
        },
        done: None,
        changed: noon(),
    }
}

/// Of the byte (`sha256sum`).
fn sha256(number: u8) -> String {
    let of = [
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "4bf5122f344554c53bde2ebb8cd2b7e3d1600ad631c385a5d7cce23c7785459a",
        "dbc1b4c900ffe48d575b5da5c638040125f65db0fe3e24494b76ea986457d986",
        "084fed08b978af4d7d196a7446a86b58009e636b611db16211b65a9aadff29c5",
    ];
    of[usize::from(number)].to_owned()
}

/// What the layout itself refuses is not set.
fn set(folder: &Path, text: &str) {
    let db = Connection::open(folder.join("archive.sqlite")).expect("a database");
    for line in text.lines() {
        let Some((column, value)) = line.split_once('=') else {
            continue;
        };
        let Some((table, column)) = COLUMNS.iter().find(|(_, name)| *name == column) else {
            continue;
        };
        let value = Some(value).filter(|v| *v != "NULL");
        let sql = format!("UPDATE {table} SET {column} = ?1");
        let _ = db.execute(&sql, params![value]);
    }
}

fn asked(archive: &mut Archive) {
    let rules = Rules::built_in().estimate();
    let _ = (archive.prove_outs(), archive.export_json(), archive.export_csv());
    let _ = (archive.jaw_sets(&Find::default()), archive.verify());
    let Ok(Some(proof)) = archive.proof(rules) else {
        return;
    };
    holds_together(&proof);
    let not_tried = archive.not_tried(&proof).unwrap_or_default();
    printed(&proof, &not_tried);
    // Nobody ends it twice, and whoever begins another one is told by it.
    let _ = archive.end_prove_out(&lead(), noon(), rules);
    same_elsewhere(archive, &proof);
}

fn holds_together(proof: &Proof) {
    let counts = &proof.counts;
    assert!(counts.answered <= counts.judged && counts.right <= counts.answered);
    assert!(proof.is_proven() == (proof.progress == Progress::Proven));
    assert!(!proof.is_proven() || counts.wrong_way == 0);
    assert!(!(proof.holds() && proof.is_proven()));
}

fn printed(proof: &Proof, not_tried: &[String]) {
    let options = TextOptions {
        colour: false,
        unicode: true,
        width: Some(60),
    };
    let text = proof_to_text(proof, not_tried, options);
    assert!(!text.contains('\u{1b}') && text.contains("roven in this shop"));
    let json = proof_to_json(proof, not_tried).to_string();
    assert!(json.contains("standing"));
    assert!(!operating_curve(&proof.prove_out.plan).contains("NaN"));
    assert!(!ProofNote::of(proof, None).line.is_empty());
}

fn same_elsewhere(archive: &Archive, proof: &Proof) {
    let folder = folder("other");
    let _ = fs::remove_dir_all(&folder);
    let mut other = Archive::create_or_open(&folder).expect("an archive");
    // Photos of checks are not there, so their checks may not come along.
    if other.merge(archive).is_ok() {
        let rules = Rules::built_in().estimate();
        if let Ok(Some(again)) = other.proof(rules) {
            assert_eq!(again.prove_out.plan, proof.prove_out.plan);
        }
    }
}
