//! The page answers what the command line answers: for the same photos and settings, byte for byte.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::samples::{heron, photo};
use super::server::{Server, run};

fn write_heron(folder: &Path) {
    for jaw in 1..=3 {
        fs::write(folder.join(format!("jaw{jaw}.jpg")), heron(jaw)).unwrap();
    }
}

const HERON: &str = "read jaw1.jpg jaw2.jpg jaw3.jpg --json";

fn report(server: &Server, check: &str) -> String {
    server
        .phone()
        .get(&format!("/api/checks/{check}/report"))
        .expect(200)
        .text()
}

fn printed(folder: &Path, line: &str, status: i32) -> String {
    String::from_utf8(run(folder, line, status).stdout).unwrap()
}

fn check_of_heron(server: &Server, settings: serde_json::Value) -> String {
    let check = server.begin(settings);
    for jaw in 1..=3 {
        server
            .phone()
            .photo(&check, jaw, &format!("jaw{jaw}.jpg"), &heron(jaw))
            .expect(200);
    }
    check
}

#[test]
fn a_quick_check_is_read_as_by_read() {
    let server = Server::start();
    let folder = server.shop.path();
    write_heron(folder);
    let settings =
        json!({ "tip": "up", "taper": "0.003in", "length": "1.25in", "clearance": "0.05in" });
    let check = check_of_heron(&server, settings);
    let said = printed(
        folder,
        &format!("{HERON} --tip up --taper 0.003in --length 1.25in --clearance 0.05in"),
        0,
    );
    assert_eq!(report(&server, &check), said);
    assert!(said.contains("\"recut\""), "{said}");
    // What is changed later is as if it had been said at once.
    let phone = server.phone();
    let change = json!({ "taper": "2.5thou", "length": null, "clearance": null, "tip": null, "grip": "inside" });
    phone
        .json("PATCH", &format!("/api/checks/{check}/settings"), &change)
        .expect(200);
    let said = printed(folder, &format!("{HERON} --taper 2.5thou --grip inside"), 0);
    assert_eq!(report(&server, &check), said);
}

#[test]
fn another_method_reads_the_photos_again() {
    let server = Server::start();
    let folder = server.shop.path();
    let name = "transfer-tip-only-violet.jpg";
    fs::write(folder.join(name), photo(&format!("singles/{name}"))).unwrap();
    let check = server.begin(json!({ "tip": "up" }));
    let phone = server.phone();
    phone
        .photo(&check, 1, name, &photo(&format!("singles/{name}")))
        .expect(200);
    let change = json!({ "method": "transfer" });
    phone
        .json("PATCH", &format!("/api/checks/{check}/settings"), &change)
        .expect(200);
    let output = crate::support::program::in_shop(
        folder,
        &format!("read {name} --json --tip up --method transfer"),
    )
    .output()
    .unwrap();
    assert_eq!(
        report(&server, &check),
        String::from_utf8(output.stdout).unwrap()
    );
}

#[test]
fn swapped_ends_and_given_corners_are_read_as_by_read() {
    let server = Server::start();
    let folder = server.shop.path();
    write_heron(folder);
    let phone = server.phone();
    let (check, state) = server.with_jaw_1();
    let photo = &state["photos"][0];
    let path = format!(
        "/api/checks/{check}/photos/{}",
        photo["sha256"].as_str().unwrap()
    );
    phone
        .json("PATCH", &path, &json!({ "swap": true }))
        .expect(200);
    let down = printed(folder, "read jaw1.jpg --json --tip down", 0);
    assert_eq!(report(&server, &check), down);
    phone
        .json("PATCH", &path, &json!({ "swap": true }))
        .expect(200);
    assert_eq!(
        report(&server, &check),
        printed(folder, "read jaw1.jpg --json --tip up", 0)
    );
    // The corners that were found, a little moved.
    let found = &state["report"]["photos"][0]["face"]["corners_px"];
    let moved: Vec<[f64; 2]> = (0..4)
        .map(|i| {
            [
                found[i][0].as_f64().unwrap() + 3.0,
                found[i][1].as_f64().unwrap() - 2.0,
            ]
        })
        .collect();
    let given = phone
        .json("PATCH", &path, &json!({ "corners_px": moved }))
        .expect(200)
        .json();
    assert_ne!(given["photos"][0]["picture"], photo["picture"]);
    let text: Vec<String> = moved.iter().map(|[x, y]| format!("{x},{y}")).collect();
    let said = |corners: &[String]| {
        let output = crate::support::program::in_shop(folder, "read jaw1.jpg --json --tip up")
            .args(["--corners", &corners.join(" ")])
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    assert_eq!(report(&server, &check), said(&text));
    // With given corners it is they that are turned.
    let form = format!(
        "/checks/{check}/photos/{}/swap",
        photo["sha256"].as_str().unwrap()
    );
    phone.form(&form, &[]).expect(303);
    assert_eq!(
        report(&server, &check),
        said(&[&text[2..], &text[..2]].concat())
    );
    // Searched for again.
    phone
        .json("PATCH", &path, &json!({ "corners_px": null }))
        .expect(200);
    assert_eq!(
        report(&server, &check),
        printed(folder, "read jaw1.jpg --json --tip up", 0)
    );
}

#[test]
fn corners_that_outline_nothing_change_nothing() {
    let server = Server::start();
    let phone = server.phone();
    let (check, state) = server.with_jaw_1();
    let path = format!(
        "/api/checks/{check}/photos/{}",
        state["photos"][0]["sha256"].as_str().unwrap()
    );
    let bad = [
        json!({ "corners_px": [[0, 0], [0, 0], [0, 0], [0, 0]] }),
        json!({ "corners_px": [[900, 100], [100, 100], [100, 900], [900, 900]] }),
        json!({ "corners_px": [[-90000, 0], [900, 0], [900, 900], [0, 900]] }),
        json!({ "corners_px": [[1, 2], [3, 4]] }),
        json!({ "swap": false }),
        json!({ "tip": "north" }),
        json!({ "tip": "up", "swap": true }),
        json!([]),
    ];
    for given in bad {
        let answer = phone.json("PATCH", &path, &given).expect(422);
        assert!(!answer.text().contains("--"), "{}", answer.text());
    }
    assert_eq!(phone.get(&format!("/api/checks/{check}")).json(), state);
    let unknown = format!("/api/checks/{check}/photos/{}", "0".repeat(64));
    phone
        .json("PATCH", &unknown, &json!({ "swap": true }))
        .expect(404);
}

#[test]
fn a_filed_check_is_the_one_that_read_files() {
    let server = Server::start();
    let folder = server.shop.path();
    write_heron(folder);
    // The command line's own archive, as it is now.
    let copy = tempfile::tempdir().unwrap();
    run(
        folder,
        &format!("backup {}", copy.path().join("archive").display()),
        0,
    );
    write_heron(copy.path());
    let phone = server.phone();
    let set = super::uploads::set_id(&phone);
    let check = check_of_heron(
        &server,
        json!({ "jaw_set": set, "tip": "up", "compound": "blue" }),
    );
    let before = phone.get(&format!("/api/checks/{check}")).json();
    assert_eq!(before["report"]["filed"]["check"], json!(null));
    let state = phone
        .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
        .expect(200)
        .json();
    let said = printed(
        copy.path(),
        &format!("{HERON} --tip up --jaws heron --compound blue"),
        0,
    );
    assert_eq!(report(&server, &check), said);
    assert_eq!(state["filed"]["check"], state["report"]["filed"]["check"]);
    // And so the archives hold the same check, but for when it was written.
    let id = state["filed"]["check"].as_str().unwrap();
    let shown = |folder: &Path| -> serde_json::Value {
        let text = printed(folder, &format!("check show {id} --json"), 0);
        let mut check: serde_json::Value = serde_json::from_str(&text).unwrap();
        check.as_object_mut().unwrap().remove("changed").unwrap();
        check
    };
    assert_eq!(shown(folder), shown(copy.path()));
    assert_eq!(
        phone.get(&format!("/api/filed/{id}")).json()["advice"],
        shown(folder)["advice"]
    );
    let history: serde_json::Value =
        serde_json::from_str(&printed(folder, "history heron --json", 0)).unwrap();
    assert_eq!(phone.get("/api/sets/heron/history").json(), history);
}

#[test]
fn photos_of_a_filed_check_bring_the_others_with_them() {
    let server = Server::start();
    let folder = server.shop.path();
    write_heron(folder);
    run(folder, &format!("{HERON} --tip up --jaws heron"), 0);
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": super::uploads::set_id(&phone), "tip": "up" }));
    let state = phone
        .photo(&check, 2, "jaw2.jpg", &heron(2))
        .expect(200)
        .json();
    assert_eq!(state["photos"].as_array().unwrap().len(), 3);
    let filed = phone
        .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
        .expect(200)
        .json();
    let notes = filed["report"]["filed"]["notes"].to_string();
    assert!(
        notes.contains("filed already") || notes.contains("up to date"),
        "{notes}"
    );
    let history = phone.get("/api/sets/heron/history").json();
    assert_eq!(history["estimates"].as_array().unwrap().len(), 1);
}

/// Photos that were filed with another taper: the page says how to correct that, and it can be done.
#[test]
fn a_command_that_the_page_names_works_as_it_stands() {
    let server = Server::start();
    let phone = server.phone();
    let set = super::uploads::set_id(&phone);
    let filed = check_of_heron(&server, json!({ "jaw_set": set, "tip": "up" }));
    phone
        .form(&format!("/checks/{filed}/file"), &[])
        .expect(303);
    let settings = json!({ "jaw_set": set, "tip": "up", "taper": "4thou" });
    let check = check_of_heron(&server, settings);
    let page = phone.get(&format!("/checks/{check}")).expect(200).text();
    assert!(page.contains("leave the taper out"), "{page}");
    let command = page.split('`').nth(1).unwrap_or_else(|| panic!("{page}"));
    let line = command.strip_prefix("seepline ").unwrap();
    assert!(line.starts_with("cut change "), "{command}");
    run(server.shop.path(), &line.replace('…', "4thou"), 0);
}
