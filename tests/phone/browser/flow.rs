//! The whole flow at the machine, and what a tap changes.

use serde_json::{Value, json};

use super::phone::{Kind, Phone};
use super::{heron, open, read_heron, sample};
use crate::phone::client::Client;
use crate::phone::samples::heron_settings;
use crate::phone::server::{Server, add_heron, run};

/// What the command line says of the same photos of the same set, in an archive of its own.
fn by_read() -> Value {
    let shop = tempfile::tempdir().expect("a folder");
    add_heron(shop.path());
    for jaw in 1..=3 {
        let name = format!("jaw{jaw}.jpg");
        std::fs::copy(heron(jaw), shop.path().join(name)).expect("a copy");
    }
    let line = "read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --jaws heron --json";
    serde_json::from_slice(&run(shop.path(), line, 0).stdout).expect("JSON")
}

/// The large figures of the answer, as numbers.
fn figures(phone: &Phone) -> Vec<f64> {
    let script = "return [...document.querySelectorAll('#answer .figures dd:not(.small)')].map(d => d.textContent)";
    let texts = phone.run(script);
    let number = |t: &Value| {
        t.as_str()
            .expect("text")
            .replace('−', "-")
            .parse()
            .expect("a number")
    };
    texts
        .as_array()
        .expect("texts")
        .iter()
        .map(number)
        .collect()
}

pub(super) fn state(client: &Client, check: &str) -> Value {
    client
        .get(&format!("/api/checks/{check}"))
        .expect(200)
        .json()
}

#[test]
fn from_the_jaw_set_to_what_was_done() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    phone.click("#sets button");
    phone.wait("#check");
    phone.click("#settings summary");
    phone.click("#settings select[name=tip] option[value=up]");
    phone.click("#settings button");
    phone.until("the tip", || {
        phone.text("#settings p").contains("tip up").then_some(())
    });
    // Each while the one before is on its way.
    for jaw in 1..=3 {
        phone.take(jaw, &heron(jaw));
    }
    for jaw in 1..=3 {
        phone.wait_read(jaw);
    }
    phone.wait("#answer[data-action=recut]");
    // Nobody has to look for it.
    let top = "return document.querySelector('#answer .headline').getBoundingClientRect().top";
    phone.until("the answer in sight", || {
        let top = phone.run(top).as_f64();
        top.filter(|t| (0.0..370.0).contains(t))
    });
    let said = by_read();
    let change = &said["check"]["taper_change"];
    let expected =
        ["per_side_thou", "on_diameter_thou"].map(|f| change[f].as_f64().expect("a number"));
    assert_eq!(figures(&phone), expected);
    phone.shot("answer");
    // Nothing hangs on the page.
    phone.reload();
    phone.wait("#answer[data-action=recut]");
    assert_eq!(figures(&phone), expected);
    file_and_note(&server, &phone);
}

fn file_and_note(server: &Server, phone: &Phone) {
    phone.click("#filed form button");
    phone.wait("#filed[data-filed]");
    let check = phone.path().rsplit('/').next().expect("an id").to_owned();
    let filed = state(&server.phone(), &check)["filed"]["check"]
        .as_str()
        .expect("filed")
        .to_owned();
    phone.click("#filed a[href^='/filed/']");
    phone.keys("#done input", "bored again, 0.002 in less");
    phone.click("#done button");
    phone.until("the note", || {
        phone.text("#done").contains("0.002 in less").then_some(())
    });
    let record = server
        .phone()
        .get(&format!("/api/filed/{filed}"))
        .expect(200)
        .json();
    assert_eq!(record["done"], json!("bored again, 0.002 in less"));
    phone.click("a[href^='/sets/']");
    phone.wait("img.plot");
    assert!(phone.text(".past").contains("0.002 in less"));
    phone.shot("history");
}

/// Nothing said of three photos: what is left open is asked where the answer will stand, and Enter on an end does.
#[test]
fn an_open_end_is_settled_with_one_key() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(json!({ "tip": "down", "taper": "0.003in" }));
    read_heron(&phone, &check, 3);
    phone.wait("#answer[data-action=settle]");
    phone.shot("question");
    for _ in 1..=3 {
        if phone.count("#answer .settle") == 0 {
            break;
        }
        // The upper end comes first.
        phone.keys("#answer .settle button", "\u{E007}");
        phone.until("read again", || {
            (phone.count("[aria-busy=true]") == 0).then_some(())
        });
        // Not on the next question's button.
        let heading = "return document.activeElement.matches('#answer h2')";
        phone.until("the heading", || {
            (phone.run(heading) == json!(true)).then_some(())
        });
    }
    phone.wait("#answer[data-action=recut]");
}

/// What one photo's reading says.
fn contact(client: &Client, check: &str) -> Value {
    state(client, check)["report"]["photos"][0]["contact"].take()
}

#[test]
fn a_tap_swaps_the_ends_once_and_the_page_stays() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let (client, check) = (server.phone(), server.begin(heron_settings()));
    read_heron(&phone, &check, 1);
    let [before, picture] = [
        contact(&client, &check),
        json!(phone.attribute("#jaw-1 .picture", "src")),
    ];
    phone.run("window.stays = true");
    let tip = || state(&client, &check)["photos"][0]["tip"].take();
    // A glove taps twice.
    phone.run("const b = document.querySelector('#jaw-1 .swap button'); b.click(); b.click()");
    phone.until("the other tip", || (tip() == json!("down")).then_some(()));
    phone.wait_read(1);
    let after = contact(&client, &check);
    // The painted seam runs along one end alone, so the thirds are not quite the same.
    let near = |a: &Value, b: &Value| (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() < 0.1;
    assert!(
        near(&after["tip"], &before["base"]) && near(&after["base"], &before["tip"]),
        "{before} {after}"
    );
    assert_ne!(json!(phone.attribute("#jaw-1 .picture", "src")), picture);
    // By the keyboard, which stays where it was.
    phone.keys("#jaw-1 .swap button", "\u{E007}");
    phone.until("the first tip", || (tip() == json!("up")).then_some(()));
    phone.wait_read(1);
    assert_eq!(contact(&client, &check), before);
    assert_eq!(
        phone.run("return document.activeElement.matches('#jaw-1 .swap button')"),
        json!(true)
    );
    assert_eq!(
        phone.run("return window.stays"),
        json!(true),
        "the page was loaded anew"
    );
}

#[test]
fn what_is_open_and_half_written_stays_when_a_photo_comes_in() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(json!({ "tip": "up" }));
    read_heron(&phone, &check, 1);
    phone.click("#settings summary");
    phone.keys("#settings input[name=taper]", "3.5");
    phone.click("#jaw-1 .mend > summary");
    phone.run("window.camera = document.querySelector('#jaw-3 input[capture]')");
    phone.take(2, &heron(2));
    phone.wait_read(2);
    let script = "return [document.querySelector('#settings input[name=taper]').value,
        document.querySelector('#settings details').open, document.querySelector('#jaw-1 .mend').open,
        window.camera.isConnected]";
    assert_eq!(phone.run(script), json!(["3.5", true, true, true]));
    phone.click("#settings button");
    phone.until("the taper", || {
        phone.text("#settings p").contains("3.5").then_some(())
    });
}

#[test]
fn the_next_jaw_comes_under_the_thumb_and_stays_there() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(heron_settings());
    open(&phone, &check);
    phone.run(
        "const jaw = document.querySelector('#jaw-2'); const go = jaw.scrollIntoView;
        jaw.scrollIntoView = function (how) { go.call(this, how); window.came = true; }",
    );
    phone.take(1, &heron(1));
    let top = || {
        let top = "return document.querySelector('#jaw-2 .pick').getBoundingClientRect().top";
        phone.run(top).as_f64().expect("a number")
    };
    // Where it was before may be in sight, too.
    let came = "return window.came === true";
    phone.until("jaw 2", || phone.run(came).as_bool().filter(|c| *c));
    let before = top();
    assert!((150.0..500.0).contains(&before), "{before}");
    phone.wait_read(1);
    let drawn = "const i = document.querySelector('#jaw-1 .picture'); return i.complete && i.naturalWidth > 0";
    phone.until("the picture", || phone.run(drawn).as_bool().filter(|b| *b));
    assert!((top() - before).abs() < 2.0, "{before} {}", top());
}

#[test]
fn what_is_no_photo_is_said_at_its_jaw() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let check = server.begin(heron_settings());
    open(&phone, &check);
    phone.take(2, &sample("README.md"));
    phone.wait("#jaw-2 .sending .fault");
    let told = phone.text("#jaw-2 .sending .fault");
    assert!(told.ends_with('.') && told.len() > 20, "{told}");
    assert_eq!(phone.count("#notices .fault"), 0, "said twice");
    // The place is free for a photo.
    phone.take(2, &heron(2));
    phone.wait_read(2);
    assert_eq!(phone.count("#jaw-2 .sending"), 0);
}

#[test]
fn two_phones_at_once_get_their_own_answers() {
    let server = Server::start();
    let Some(one) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let Some(other) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let settings = [
        heron_settings(),
        json!({ "tip": "up", "taper": "0.0018in" }),
    ];
    let [heron_check, wren_check] = settings.map(|s| server.begin(s));
    open(&one, &heron_check);
    open(&other, &wren_check);
    for jaw in 1..=3 {
        one.take(jaw, &heron(jaw));
    }
    // Several at once, in the jaws' order.
    other.click("#photos > details > summary");
    let files = [1, 2, 3].map(|jaw| {
        sample(&format!("wren-full-length/jaw{jaw}.jpg"))
            .display()
            .to_string()
    });
    other.keys("#photos .several input", &files.join("\n"));
    for jaw in 1..=3 {
        one.wait_read(jaw);
        other.wait_read(jaw);
    }
    one.wait("#answer[data-action=recut]");
    other.wait("#answer[data-action=leave]");
    let state = state(&server.phone(), &wren_check);
    let names: Vec<&str> = state["photos"]
        .as_array()
        .expect("photos")
        .iter()
        .filter_map(|p| p["name"].as_str())
        .collect();
    assert_eq!(names, ["jaw1.jpg", "jaw2.jpg", "jaw3.jpg"]);
    // Either may look at the other's.
    open(&other, &heron_check);
    assert_eq!(figures(&other), figures(&one));
}
