//! `seepline review` and `seepline join` as a user runs them, as real processes on copies of
//! `sample-images`. That nothing is lost, doubled or read twice is plumbing: results are compared with each
//! other, with `seepline read`, and with the files themselves.

// Helpers of tests are not recognised as tests, but should fail as loudly; what was measured is said to
// whoever runs them.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::print_stderr)]

mod advice;
mod archive;
mod bad;
#[cfg(target_os = "linux")]
#[path = "../support/disk.rs"]
mod disk;
#[cfg(target_os = "linux")]
mod disk_space;
mod finding;
mod grouping;
mod parts;
mod running;
mod shop;
