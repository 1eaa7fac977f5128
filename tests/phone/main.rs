//! The page for phones, driven over loopback: the real program, and requests as a phone or an attacker sends
//! them.

// Helpers of tests are not recognised as tests, but should fail as loudly; what was measured is said to
// whoever runs them.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::print_stderr)]

mod answers;
mod browser;
mod calls;
mod client;
mod clock;
#[cfg(target_os = "linux")]
#[path = "../support/disk.rs"]
#[allow(dead_code, reason = "shared with the tests of reviews")]
mod disk;
mod filing;
#[cfg(target_os = "linux")]
mod full_disk;
mod guard;
mod held_open;
mod interface;
mod limits;
mod load;
mod pages;
mod pairing;
mod questions;
mod samples;
mod server;
mod stopping;
mod uploads;
