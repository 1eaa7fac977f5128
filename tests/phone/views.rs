//! Several photos of one jaw: read together, as the command line reads them, whatever happens in between.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use super::client::Client;
use super::samples::heron;
use super::server::{Server, run};
use crate::pipeline::joined::two_sides_and_another;
use crate::support::program::{Run, in_shop, wait_for};

/// The photos, and the corners that are said of each.
fn photos(said: &[String]) -> Vec<(&str, &str)> {
    let each = said[1..].chunks_exact(3);
    each.map(|photo| (&*photo[0], &*photo[2])).collect()
}

fn with_corners(phone: &Client, check: &str, state: &Value, name: &str, corners: &str) -> Value {
    let photos = state["photos"].as_array().unwrap();
    let photo = photos.iter().find(|p| p["name"] == name).unwrap();
    let corners: Vec<Vec<f64>> = corners
        .split(' ')
        .map(|c| c.split(',').map(|v| v.parse().unwrap()).collect())
        .collect();
    let path = format!(
        "/api/checks/{check}/photos/{}",
        photo["sha256"].as_str().unwrap()
    );
    phone
        .json("PATCH", &path, &json!({ "corners_px": corners }))
        .expect(200)
        .json()
}

/// Jaw 1 from two sides and jaw 2, as `two_sides_and_another` says; the state after the last.
fn take(phone: &Client, check: &str, folder: &Path, said: &[String]) -> Value {
    let mut state = Value::Null;
    for ((name, corners), (jaw, another)) in
        photos(said)
            .into_iter()
            .zip([(1, false), (1, true), (2, false)])
    {
        let bytes = fs::read(folder.join(name)).unwrap();
        let sent = if another {
            phone.another(check, jaw, name, &bytes)
        } else {
            phone.photo(check, jaw, name, &bytes)
        };
        state = with_corners(phone, check, &sent.expect(200).json(), name, corners);
    }
    state
}

fn report(phone: &Client, check: &str) -> String {
    let path = format!("/api/checks/{check}/report");
    phone.get(&path).expect(200).text()
}

fn by_read(folder: &Path, said: &[String], more: &str) -> String {
    let mut command = in_shop(folder, &said[0]);
    let ran = command.args(&said[1..]).args(more.split(' ')).ran();
    String::from_utf8(ran.code(0).output.stdout).unwrap()
}

const BY_JAW: &str = "--jaw 1 --jaw 1 --jaw 2 --json";

#[test]
fn another_photo_of_a_jaw_is_read_with_the_first_as_by_read() {
    let server = Server::start();
    let (phone, folder) = (server.phone(), server.shop.path());
    let said = two_sides_and_another(folder);
    let check = server.begin(json!({ "taper": "0.003in" }));
    let state = take(&phone, &check, folder, &said);
    let jaws: Vec<&Value> = state["photos"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| &p["jaw"])
        .collect();
    assert_eq!(jaws, [1, 1, 2]);
    let expected = by_read(folder, &said, &format!("{BY_JAW} --taper 0.003in"));
    assert_eq!(report(&phone, &check), expected);
    assert_eq!(state["report"]["jaws"][0]["pattern"], "tip-only");
    let page = phone.get(&format!("/checks/{check}")).expect(200).text();
    for text in [
        "From 2 photos together.",
        "Photo 1</strong> alone: ",
        "So far from 2 jaws",
    ] {
        assert!(page.contains(text), "{text}: {page}");
    }
    assert!(!page.contains("--"), "{page}");
    // A restart loses nothing of it.
    let (_, shop) = server.stop();
    let server = Server::on(Arc::clone(&shop), "");
    let phone = server.phone();
    wait_for("the photos are read again", || {
        let now = phone.get(&format!("/api/checks/{check}")).json();
        !now["report"].is_null()
    });
    assert_eq!(report(&phone, &check), expected);
    // Without the second it is the jaw's one photo again.
    let second = state["photos"][1]["sha256"].as_str().unwrap();
    let left = phone
        .delete(&format!("/api/checks/{check}/photos/{second}"))
        .expect(200)
        .json();
    assert_eq!(left["report"].get("jaws"), None);
    assert_eq!(left["photos"].as_array().unwrap().len(), 2);
}

#[test]
fn the_photos_of_a_jaw_are_filed_with_it_and_come_back_with_it() {
    let server = Server::start();
    let (phone, folder) = (server.phone(), server.shop.path());
    let said = two_sides_and_another(folder);
    let copy = tempfile::tempdir().unwrap();
    let kept = copy.path().join("archive");
    run(folder, &format!("backup {}", kept.display()), 0);
    two_sides_and_another(copy.path());
    let set = super::uploads::set_id(&phone);
    let check = server.begin(json!({ "jaw_set": set }));
    take(&phone, &check, folder, &said);
    let filed = phone
        .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
        .expect(200)
        .json();
    let expected = by_read(copy.path(), &said, &format!("{BY_JAW} --jaws heron"));
    assert_eq!(report(&phone, &check), expected);
    let id = filed["filed"]["check"].as_str().unwrap();
    // But for when it was written, as these photos do not say when they were taken.
    let shown = |folder: &Path| -> [Value; 2] {
        let text = run(folder, &format!("check show {id} --json"), 0).stdout;
        let mut check: Value = serde_json::from_slice(&text).unwrap();
        ["readings", "advice"].map(|field| check[field].take())
    };
    assert_eq!(shown(folder), shown(copy.path()));
    // One of the jaw's photos brings the other, as another of its jaw, whatever number the jaw has here.
    let again = server.begin(json!({ "jaw_set": set }));
    let bytes = fs::read(folder.join("base.png")).unwrap();
    let state = phone
        .photo(&again, 3, "base.png", &bytes)
        .expect(200)
        .json();
    let numbers = |name: &str| -> Vec<&Value> {
        let photos = state["photos"].as_array().unwrap();
        let of = photos.iter().filter(|p| p["sha256"] == hash(folder, name));
        of.map(|p| &p["jaw"]).collect()
    };
    assert_eq!(
        [
            numbers("tip.png"),
            numbers("base.png"),
            numbers("other.png")
        ]
        .concat(),
        [3, 3, 2]
    );
}

fn hash(folder: &Path, name: &str) -> String {
    use sha2::{Digest, Sha256};
    format!("{:x}", Sha256::digest(fs::read(folder.join(name)).unwrap()))
}

#[test]
fn another_photo_says_of_which_jaw_and_replaces_none() {
    let server = Server::start();
    let phone = server.phone();
    let (check, _) = server.with_jaw_1();
    let nobody = phone.send(
        "POST",
        &format!("/api/checks/{check}/photos?another=true"),
        &[],
        &heron(2),
    );
    assert!(nobody.expect(422).text().contains("of which jaw"));
    let state = phone
        .another(&check, 1, "b.jpg", &heron(2))
        .expect(200)
        .json();
    assert_eq!(state["photos"].as_array().unwrap().len(), 2);
    // A file that is no photo leaves both.
    phone.another(&check, 1, "c.jpg", b"no photo").expect(422);
    // One that is taken instead replaces the last.
    let state = phone
        .photo(&check, 1, "d.jpg", &heron(3))
        .expect(200)
        .json();
    let names: Vec<&str> = state["photos"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["jaw1.jpg", "d.jpg"]);
}
