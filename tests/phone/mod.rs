//! The page for phones, driven over loopback: the real program, and requests as a phone or an attacker sends
//! them.
mod alone;
mod answers;
mod before;
pub(crate) mod browser;
mod calls;
mod client;
mod clock;
mod filing;
#[cfg(target_os = "linux")]
mod full_disk;
mod guard;
mod hand_over;
mod held_open;
mod interface;
mod limits;
mod load;
#[cfg(target_os = "linux")]
mod opening;
mod pages;
mod pairing;
mod practice;
mod prove;
mod questions;
mod samples;
mod schema;
mod server;
mod stopping;
mod uploads;
mod views;
