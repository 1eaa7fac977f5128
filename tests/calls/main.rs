//! Calls: said before the reading, held against what was right, kept, practised.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests should fail as loudly as tests; what was met is shown with --nocapture"
)]

mod agreement;
mod bad;
mod call_first;
#[path = "../pipeline/exif_notes.rs"]
#[allow(dead_code, reason = "shared with the tests of the pipeline")]
mod exif_notes;
#[path = "../learning/filing.rs"]
#[allow(dead_code, reason = "shared with the tests of learning")]
mod filing;
mod keeping;
mod people;
mod practice;
mod properties;
#[path = "../advice/readings.rs"]
#[allow(dead_code, reason = "shared with the tests of a single check")]
mod readings;
#[path = "../archive/samples.rs"]
#[allow(dead_code, reason = "shared with the tests of the archive")]
mod samples;
mod shop;
mod truth;
mod words;
