//! Without JavaScript: forms alone, on a phone.

use super::heron;
use super::phone::{Kind, Phone};
use crate::server::Server;

#[test]
fn a_phone_without_script_takes_reads_and_files() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Plain) else {
        return;
    };
    phone.click("#quick summary");
    phone.click("#quick select[name=tip] option[value=up]");
    phone.keys("#quick input[name=taper]", "3.0");
    phone.click("#quick .main");
    phone.wait("#check");
    for jaw in 1..=3 {
        phone.take(jaw, &heron(jaw));
        phone.click(&format!("#jaw-{jaw} .send"));
        phone.wait(&format!("#jaw-{jaw}[data-state=read]"));
    }
    assert_eq!(phone.count("html.scripted"), 0, "the script ran");
    phone.wait("#answer[data-action=recut]");
    phone.shot("answer");
    phone.click("#jaw-1 .swap button");
    phone.wait("#jaw-1 .warning");
    phone.click("#jaw-1 .swap button");
    phone.wait("#answer[data-action=recut]");
    phone.click("#choose-set button");
    phone.wait("#filed form[action$='/file']");
    phone.click("#filed form button");
    phone.wait("#filed[data-filed]");
    phone.shot("filed");
}
