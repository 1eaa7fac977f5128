//! What words can settle is asked for as what it is, one thing at a time, and a tap on it gives the answer.

use serde_json::{Value, json};

use crate::phone::client::Client;
use crate::phone::samples::heron;
use crate::phone::server::Server;

fn state(phone: &Client, check: &str) -> Value {
    phone
        .get(&format!("/api/checks/{check}"))
        .expect(200)
        .json()
}

fn page(phone: &Client, check: &str) -> String {
    phone.get(&format!("/checks/{check}")).expect(200).text()
}

fn of_heron(server: &Server, settings: Value, jaws: u8) -> String {
    let check = server.begin(settings);
    for jaw in 1..=jaws {
        let name = format!("jaw{jaw}.jpg");
        server
            .phone()
            .photo(&check, jaw, &name, &heron(jaw))
            .expect(200);
    }
    check
}

/// As the form in the answer's place does.
fn tap(phone: &Client, check: &str, question: &Value, end: &str) {
    let photo = question["sha256"].as_str().unwrap();
    let form = format!("/checks/{check}/photos/{photo}/tip?back=answer");
    let done = phone.form(&form, &[("tip", end)]).expect(303);
    // Where the next question stands, or the answer.
    let place = format!("/checks/{check}#answer");
    assert_eq!(done.header("location"), Some(&*place));
}

/// The three photos with nothing said of them, whose ends the pictures show plainly (tip up, sample-images/README.md).
#[test]
fn three_plain_photos_with_nothing_said_need_no_tap() {
    let server = Server::start();
    let phone = server.phone();
    let check = of_heron(&server, json!({ "taper": "0.003in" }), 3);
    let state = state(&phone, &check);
    assert_eq!(state["questions"], json!([]));
    assert_eq!(state["report"]["check"]["action"], "recut", "{state}");
    assert!(!page(&phone, &check).contains("Which end"));
}

#[test]
fn an_end_that_was_said_otherwise_is_named_so_and_can_be_set_right() {
    let server = Server::start();
    let phone = server.phone();
    let check = of_heron(&server, json!({ "tip": "up" }), 1);
    let before = state(&phone, &check);
    let photo = before["photos"][0]["sha256"].as_str().unwrap();
    let corners = json!({ "corners_px": before["report"]["photos"][0]["face"]["corners_px"] });
    let path = format!("/api/checks/{check}/photos/{photo}");
    phone.json("PATCH", &path, &corners).expect(200);
    let settings = format!("/api/checks/{check}/settings");
    phone
        .json("PATCH", &settings, &json!({ "tip": "down" }))
        .expect(200);
    let asked = state(&phone, &check);
    let question = &asked["questions"][0];
    assert_eq!(question["why"], "picture-differs", "{asked}");
    assert_eq!(question["tip_read_as"], "up");
    assert!(page(&phone, &check).contains("begin at the other end than was said"));
    tap(&phone, &check, question, "up");
    let settled = state(&phone, &check);
    assert_eq!(settled["questions"], json!([]));
    assert_eq!(settled["photos"][0]["tip"], "up");
    assert_eq!(settled["photos"][0]["corners_px"], corners["corners_px"]);
}

/// Corners begin at the tip: where the tip is said to be at the other end afterwards, they begin there.
#[test]
fn a_tip_said_after_the_corners_turns_them() {
    let server = Server::start();
    let phone = server.phone();
    let check = of_heron(&server, json!({}), 1);
    let before = state(&phone, &check);
    let photo = before["photos"][0]["sha256"].as_str().unwrap();
    let path = format!("/api/checks/{check}/photos/{photo}");
    let change = |change: Value| {
        let state = phone.json("PATCH", &path, &change).expect(200).json();
        state["photos"][0]["corners_px"].clone()
    };
    let found = &before["report"]["photos"][0]["face"]["corners_px"];
    let given = change(json!({ "corners_px": found }));
    let turned = json!([given[2], given[3], given[0], given[1]]);
    let up = |corners: &Value| corners[0][1].as_f64() < corners[2][1].as_f64();
    let other = if up(&given) { "down" } else { "up" };
    let same = if up(&given) { "up" } else { "down" };
    assert_eq!(change(json!({ "tip": same })), given);
    assert_eq!(change(json!({ "tip": other })), turned);
    // A side is no other end.
    assert_eq!(change(json!({ "tip": "left" })), turned);
    assert_eq!(change(json!({ "tip": same })), given);
}
