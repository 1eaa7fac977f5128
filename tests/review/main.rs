//! `seepline review` and `seepline join` as a user runs them, as real processes on copies of
//! `sample-images`. That nothing is lost, doubled or read twice is plumbing: results are compared with each
//! other, with `seepline read`, and with the files themselves.

// Helpers of tests are not recognised as tests, but should fail as loudly.
#![allow(clippy::unwrap_used)]

mod advice;
mod archive;
mod bad;
mod finding;
mod grouping;
mod parts;
mod running;
mod shop;
