//! `seepline review` and `seepline join` as a user runs them, as real processes on copies of
//! `sample-images`. That nothing is lost, doubled or read twice is plumbing: results are compared with each
//! other, with `seepline read`, and with the files themselves.
mod advice;
mod archive;
mod bad;
#[cfg(target_os = "linux")]
mod disk_space;
mod finding;
mod grouping;
#[cfg(target_os = "linux")]
mod memory;
mod parts;
mod running;
mod settling;
mod several;
mod shop;
