//! What a jaw set's history adds to the answer, through the public interface.

#![allow(
    clippy::print_stdout,
    reason = "the measured figures, shown with --nocapture"
)]

#[path = "../support/draws.rs"]
#[allow(dead_code, reason = "shared with the tests of a single check")]
mod draws;
mod filing;
mod history;
mod known;
mod lessons;
mod photos;
#[path = "../advice/readings.rs"]
#[allow(dead_code, reason = "shared with the tests of a single check")]
mod readings;
mod shop;
mod simulation;
