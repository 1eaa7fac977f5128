//! Photos that are read with the other method than they were made by. The method is the renderer's: what
//! it painted on the seam, or printed on the face.
//! Over folders: `SEEPLINE_PHOTOS=sample-images:DIR cargo test --test all table_of_methods -- --ignored --nocapture`.

use std::collections::BTreeMap;

use seepline::{Method, Reading, Request, inspect};

use super::changes_table::{Case, given, load};
use super::compare::change;
use super::samples::{SAMPLES, readable};

#[test]
fn the_method_that_was_used_is_not_contradicted() {
    for sample in readable() {
        assert!(!sample.reading().method_contradicted, "{}", sample.name());
    }
}

#[test]
fn the_other_method_changes_nothing() {
    let mut seen = [false; 2];
    for sample in SAMPLES.iter() {
        let said = other(sample.truth.method);
        let request = Request {
            method: said,
            ..sample.request()
        };
        let reading = inspect(sample.inspection.photo.clone(), &request).reading;
        assert_eq!(
            change(vec![&reading]),
            None,
            "{}: {reading:?}",
            sample.name()
        );
        if reading.refusal.is_none() && sample.truth.readable {
            assert!(reading.method_contradicted, "{}", sample.name());
            seen[usize::from(said == Method::Seep)] = true;
        }
    }
    assert_eq!(seen, [true; 2], "both methods must be among the samples");
}

/// Photos read with one method.
#[derive(Debug, Default)]
struct Row {
    /// Not refused.
    read: usize,
    contradicted: usize,
    /// Those that ask for a change, zero included, with the method's cue left out.
    changing: usize,
    changing_stopped: usize,
    /// Cuts with the wrong method that are not stopped.
    wrong_cuts: usize,
}

#[test]
#[ignore = "needs a folder of photos, and minutes"]
fn table_of_methods() {
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    for (photo, truth) in given() {
        let case = load(&photo, &truth);
        let right = case.request.method;
        for said in [right, other(right)] {
            let row = rows.entry(format!("made by {right:?}, said {said:?}"));
            note(row.or_default(), &case, said);
        }
    }
    for (said, row) in &rows {
        println!("{said}: {row:?}");
    }
    assert!(!rows.is_empty(), "no photo with its truth is there");
    assert!(rows.values().all(|r| r.wrong_cuts == 0));
}

fn note(row: &mut Row, case: &Case, said: Method) {
    let request = Request {
        method: said,
        ..case.request.clone()
    };
    let reading = inspect(case.photo.clone(), &request).reading;
    if reading.refusal.is_some() {
        return;
    }
    let without = change(vec![&Reading {
        method_contradicted: false,
        ..reading.clone()
    }]);
    let with = change(vec![&reading]);
    row.read += 1;
    row.contradicted += usize::from(reading.method_contradicted);
    row.changing += usize::from(without.is_some());
    row.changing_stopped += usize::from(without.is_some() && with.is_none());
    let cut = said != case.request.method && with.is_some_and(|c| c != 0.0);
    row.wrong_cuts += usize::from(cut);
    let right = said == case.request.method;
    if without.is_some() && right == with.is_none() {
        println!(
            "{}, said {said:?}: {:?}, {without:?}",
            case.name, reading.pattern
        );
    }
}

fn other(method: Method) -> Method {
    match method {
        Method::Seep => Method::Transfer,
        Method::Transfer => Method::Seep,
    }
}
