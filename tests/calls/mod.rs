//! Calls: said before the reading, held against what was right, kept, practised.

mod agreement;
mod bad;
mod call_first;
mod keeping;
mod people;
mod practice;
mod properties;
mod truth;
mod words;

use crate::support::samples::sample;

/// One jaw of each of the two whole checks: tip-only and full-length by `sample-images/truth.json`.
fn tip_only() -> Vec<String> {
    vec![sample("heron-too-much-taper/jaw2.jpg")]
}

/// See [`tip_only`].
fn full_length() -> Vec<String> {
    vec![sample("wren-full-length/jaw1.jpg")]
}
