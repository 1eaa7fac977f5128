//! The pages in a real browser: Chromium, or another one ([`engine`]), told through its driver what a hand would do. Pictures of them are
//! kept in the target folder's `tmp/phone`.

mod alone;
mod before;
mod corners;
mod engine;
mod flow;
mod live;
mod needs;
mod network;
pub(crate) mod phone;
mod plain;
mod practice;
mod small;
mod steps;
mod three;
mod views;
mod walk;
mod wire;

use std::path::PathBuf;

use crate::support::samples::place as sample;
use phone::Phone;

/// Jaws 1 to 3, cut with too much taper; tip up.
fn heron(jaw: u8) -> PathBuf {
    sample(&format!("heron-too-much-taper/jaw{jaw}.jpg"))
}

/// The page of a check that was begun with these settings.
fn open(phone: &Phone, check: &str) {
    phone.go(&format!("/checks/{check}"));
    phone.wait("#check");
}

/// Begins a check whose jaws 1 to `jaws` were taken and read.
fn read_heron(phone: &Phone, check: &str, jaws: u8) {
    open(phone, check);
    for jaw in 1..=jaws {
        phone.take(jaw, &heron(jaw));
    }
    for jaw in 1..=jaws {
        phone.wait_read(jaw);
    }
}
