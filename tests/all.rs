//! All tests in one program, so that the library is linked once and every core has work to the end. Each module
//! runs alone, too: `cargo test --test all archive::merging`. `README.md` says what is where.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "helpers should fail as loudly as tests; measured figures are shown with --nocapture"
)]

mod advice;
mod archive;
mod before;
mod calls;
mod chart;
mod cli;
mod complete;
mod labels;
mod learning;
mod phone;
mod photo;
mod pipeline;
mod prove;
mod reference;
mod report;
mod reread;
mod review;
mod review_pages;
mod sheet;
mod shelf;
mod study;
mod support;
