//! Without JavaScript: forms alone, on a phone.

use super::heron;
use super::phone::{Kind, Phone};
use crate::phone::server::Server;

#[test]
fn a_phone_without_script_takes_reads_and_files() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Plain) else {
        return;
    };
    // By the keyboard: the driver's click needs scripts of its own. Enter is pressed, “Up” is typed.
    let press = |css: &str| phone.keys(css, "\u{E007}");
    press("#quick summary");
    phone.keys("#quick select[name=tip]", "Up");
    phone.keys("#quick input[name=taper]", "3.0");
    press("#quick .main");
    phone.wait("#check");
    for jaw in 1..=3 {
        phone.take(jaw, &heron(jaw));
        press(&format!("#jaw-{jaw} .send"));
        phone.wait(&format!("#jaw-{jaw}[data-state=read]"));
    }
    assert_eq!(phone.count("html.scripted"), 0, "the script ran");
    phone.wait("#answer[data-action=recut]");
    phone.shot("answer");
    press("#jaw-1 .swap button");
    phone.wait("#jaw-1 .warning");
    press("#jaw-1 .swap button");
    phone.wait("#answer[data-action=recut]");
    press("#choose-set button");
    phone.wait("#filed form[action$='/file']");
    press("#filed form button");
    phone.wait("#filed[data-filed]");
    phone.shot("filed");
}
