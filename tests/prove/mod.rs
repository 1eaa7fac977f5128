//! Proving the program out: its arithmetic against values from outside, simulated shops against a known truth, and the
//! whole of it on photos.

mod archive;
mod exact;
mod kept_back;
mod outputs;
mod plan;
mod procedure;
mod secret;
mod shops;
mod states;
mod support;
mod watch;
