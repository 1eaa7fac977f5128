//! The archive, through the public interface.

// Helpers of tests are not recognised as tests, but should fail as loudly; what is skipped or measured is
// said to whoever runs them.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::print_stderr)]

mod backup;
mod bad;
mod child;
#[path = "../support/disk.rs"]
#[allow(dead_code, reason = "shared with the tests of the page and of reviews")]
mod disk;
mod exchange;
mod filing;
mod finding;
mod full_disk;
mod hiding;
mod kill;
mod layouts;
mod lessons;
mod merging;
mod outside;
mod round_trip;
mod samples;
mod together;
