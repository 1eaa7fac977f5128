//! Every page and state, one after the other.

use serde_json::json;

use super::phone::Phone;
use super::{open, read_heron, sample};
use crate::phone::samples::heron_settings;
use crate::phone::server::Server;

/// Goes through all of them and looks at each.
pub(super) fn through_all(server: &Server, phone: &Phone, look: &dyn Fn(&str)) {
    phone.go("/");
    look("first");
    unfold(phone);
    look("first-open");
    let check = a_check(server, phone, look);
    phone.go("/");
    look("first-under-way");
    filed(phone, &check, look);
    before(phone, look);
    phone.go("/nowhere");
    look("fault");
    phone.devtools("Network.clearBrowserCookies", &json!({}));
    phone.go("/");
    look("not-paired");
}

/// Everything that is folded.
pub(super) fn unfold(phone: &Phone) {
    phone.run("document.querySelectorAll('details').forEach(d => { d.open = true })");
}

/// Empty, with an answer, with everything unfolded, and with photos that cannot be judged.
fn a_check(server: &Server, phone: &Phone, look: &dyn Fn(&str)) -> String {
    let mut settings = heron_settings();
    settings["jaw_set"] = json!(crate::phone::uploads::set_id(&server.phone()));
    let check = server.begin(settings);
    open(phone, &check);
    look("check-empty");
    read_heron(phone, &check, 3);
    phone.wait("#answer[data-action=recut]");
    look("check-answer");
    unfold(phone);
    phone.wait("#jaw-3 .stage");
    look("check-open");
    called(server, phone, look);
    let other = server.begin(json!({}));
    open(phone, &other);
    phone.take(1, &sample("singles/refused-smeared.jpg"));
    phone.take(2, &sample("README.md"));
    phone.take(3, &sample("singles/one-side-on-the-chuck.jpg"));
    phone.wait_read(1);
    phone.wait_read(3);
    phone.wait("#jaw-2 .sending .fault");
    look("check-refused");
    let open_end = server.begin(json!({ "tip": "down", "taper": "0.003in" }));
    read_heron(phone, &open_end, 3);
    phone.wait("#answer[data-action=settle]");
    look("check-question");
    check
}

/// Kept back until who reads is said, then until the call, then both side by side.
fn called(server: &Server, phone: &Phone, look: &dyn Fn(&str)) {
    let check = server.begin(json!({ "tip": "up", "taper": "0.003in", "call_first": true }));
    read_heron(phone, &check, 3);
    phone.wait("#answer[data-asks=who]");
    look("call-who");
    phone.keys("#answer input[name=by]", "AB");
    phone.click("#answer form button");
    phone.wait("#answer[data-asks=call]");
    look("call-asked");
    phone.keys("#answer select[name=pattern]", "base-only");
    phone.keys("#answer select[name=way]", "Add");
    phone.keys("#answer input[name=amount]", "1");
    phone.click("#answer form.call button");
    phone.wait("#answer .beside");
    look("call-beside");
}

/// The first taper, and a set that is mounted again: the form, all of it, what is refused, the answer.
fn before(phone: &Phone, look: &dyn Fn(&str)) {
    phone.go("/");
    phone.click("#before-check a[href='/start']");
    phone.wait("#before");
    look("start");
    unfold(phone);
    look("start-open");
    phone.keys("#before input[name=feeler]", "−2");
    phone.click("#before > button");
    phone.wait("#refused");
    look("start-refused");
    phone.go("/start?feeler=2thou&depth=1in&open_end=tip&face_length=2in");
    phone.wait("#answer");
    look("start-answer");
    unfold(phone);
    look("start-answer-open");
    phone.go("/recut");
    phone.wait("#before");
    look("recut-which");
    phone.keys("#before select", "heron");
    phone.click("#before > button");
    phone.wait("#before input[name=machine]");
    look("recut");
    unfold(phone);
    look("recut-open");
    phone.keys("#before select[name=drifting]", "Yes");
    phone.keys("#before input[name=run_out]", "1.5");
    phone.keys("#before input[name=workpiece_diameter]", "2in");
    phone.click("#before > button");
    phone.wait("#answer");
    look("recut-answer");
    unfold(phone);
    look("recut-answer-open");
}

fn filed(phone: &Phone, check: &str, look: &dyn Fn(&str)) {
    open(phone, check);
    phone.click("#filed form button");
    phone.wait("#filed[data-filed]");
    look("check-filed");
    phone.click("#filed a[href^='/filed/']");
    phone.wait("#done");
    look("filed");
    phone.click("a[href^='/sets/']");
    phone.wait("img.plot");
    look("history");
}
