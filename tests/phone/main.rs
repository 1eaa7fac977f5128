//! The page for phones, driven over loopback: the real program, and requests as a phone or an attacker sends
//! them.

mod answers;
mod browser;
mod client;
mod filing;
mod guard;
mod interface;
mod limits;
mod load;
mod pages;
mod pairing;
mod samples;
mod server;
mod stopping;
mod uploads;
