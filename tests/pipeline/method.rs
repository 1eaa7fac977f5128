//! Photos that are read with the other method than they were made by. The method is the renderer's: what
//! it painted on the seam, or printed on the face.

use seepline::{Method, Request, inspect};

use crate::compare::change;
use crate::samples::{SAMPLES, readable};

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
        let said = match sample.truth.method {
            Method::Seep => Method::Transfer,
            Method::Transfer => Method::Seep,
        };
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
