//! Filing: each check whole or absent, each once, and "filed" said only when it is.

use std::sync::Arc;
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

use super::client::Client;
use super::samples::{another, heron, photo};
use super::server::{Server, run};
use super::uploads::set_id;
use crate::support::program::wait_for;

/// The readings of each filed check of heron.
fn filed_readings(phone: &Client) -> Vec<Vec<Value>> {
    let history = phone.get("/api/sets/heron/history").expect(200).json();
    let cuts = history["timeline"]["cuts"].as_array().unwrap().clone();
    let checks = cuts
        .iter()
        .flat_map(|c| c["checks"].as_array().unwrap().clone());
    checks
        .map(|c| c["readings"].as_array().unwrap().clone())
        .collect()
}

/// Sends a check's photos, files it, and gives what was filed.
fn take_and_file(phone: &Client, check: &str, photos: &[(u8, Vec<u8>)]) -> Value {
    for (jaw, bytes) in photos {
        phone
            .photo(check, *jaw, &format!("jaw{jaw}.jpg"), bytes)
            .expect(200);
    }
    let state = phone
        .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
        .expect(200)
        .json();
    let id = state["filed"]["check"].as_str().unwrap().to_owned();
    phone.get(&format!("/api/filed/{id}")).expect(200).json()
}

fn filed_checks(phone: &Client) -> usize {
    let history = phone.get("/api/sets/heron/history").expect(200).json();
    let cuts = history["timeline"]["cuts"].as_array().unwrap().clone();
    cuts.iter()
        .map(|c| c["checks"].as_array().unwrap().len())
        .sum()
}

/// A check of heron with photos that no other check has.
fn check(server: &Server, number: u32) -> String {
    check_of(server, number, 3)
}

fn check_of(server: &Server, number: u32, jaws: u8) -> String {
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    for jaw in 1..=jaws {
        let bytes = another(&heron(jaw), number * 10 + u32::from(jaw));
        phone
            .photo(&check, jaw, &format!("jaw{jaw}.jpg"), &bytes)
            .expect(200);
    }
    check
}

#[test]
fn filing_twice_files_once_and_what_was_done_is_noted() {
    let server = Server::start();
    let phone = server.phone();
    let check = check(&server, 0);
    let file = || {
        phone
            .form(&format!("/checks/{check}/file"), &[])
            .expect(303)
    };
    assert_eq!(
        file().header("location"),
        Some(&*format!("/checks/{check}#filed"))
    );
    file();
    assert_eq!(filed_checks(&phone), 1);
    let page = phone.get(&format!("/checks/{check}")).expect(200).text();
    assert!(page.contains("Filed as check"), "{page}");
    let state = phone.get(&format!("/api/checks/{check}")).json();
    let id = state["filed"]["check"].as_str().unwrap();
    phone
        .form(
            &format!("/filed/{id}/done"),
            &[("done", "took 2 thou off <b>")],
        )
        .expect(303);
    let page = phone.get(&format!("/filed/{id}")).expect(200).text();
    assert!(page.contains("took 2 thou off &lt;b&gt;"), "{page}");
    phone
        .form(&format!("/filed/{id}/done"), &[("done", " ")])
        .expect(422);
    let shown = run(server.shop.path(), &format!("check show {id} --json"), 0).stdout;
    let shown: Value = serde_json::from_slice(&shown).unwrap();
    assert_eq!(shown["done"], "took 2 thou off <b>");
    // One more photo is not filed until it is said again.
    phone
        .photo(&check, 4, "jaw4.jpg", &another(&heron(1), 99))
        .expect(200);
    let behind = phone.get(&format!("/api/checks/{check}")).json();
    assert_eq!(behind["filed"]["up_to_date"], false);
    file();
    assert_eq!(filed_checks(&phone), 1);
}

#[test]
fn two_phones_at_one_check_file_it_once() {
    let server = Server::start();
    let (one, two) = (check(&server, 1), check(&server, 2));
    thread::scope(|scope| {
        for check in [&one, &one, &two, &two, &one, &two] {
            let phone = server.phone();
            scope.spawn(move || {
                phone
                    .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
                    .expect(200)
            });
        }
    });
    assert_eq!(filed_checks(&server.phone()), 2);
}

#[test]
fn what_cannot_be_filed_is_not_said_to_be() {
    let server = Server::start();
    let phone = server.phone();
    let quick = server.begin(json!({ "tip": "up" }));
    phone.photo(&quick, 1, "jaw1.jpg", &heron(1)).expect(200);
    let answer = phone
        .json("POST", &format!("/api/checks/{quick}/file"), &json!({}))
        .expect(409);
    assert!(answer.text().contains("jaw set"), "{}", answer.text());
    let set = set_id(&phone);
    let empty = server.begin(json!({ "jaw_set": set }));
    let answer = phone.json("POST", &format!("/api/checks/{empty}/file"), &json!({}));
    assert!((400..500).contains(&answer.status), "{}", answer.text());
    assert_eq!(filed_checks(&phone), 0);
    // A quick check becomes one of a set, and is filed.
    phone
        .form(&format!("/checks/{quick}/settings"), &[("jaw_set", &set)])
        .expect(303);
    phone
        .form(&format!("/checks/{quick}/file"), &[])
        .expect(303);
    assert_eq!(filed_checks(&phone), 1);
    phone
        .json("POST", "/api/checks", &json!({ "jaw_set": "0".repeat(32) }))
        .expect(404);
}

#[test]
fn a_set_that_is_deleted_meanwhile_is_named() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    run(server.shop.path(), "jaws delete heron --yes", 0);
    let state = phone
        .photo(&check, 1, "jaw1.jpg", &heron(1))
        .expect(200)
        .json();
    assert!(state["problem"].to_string().contains("deleted"), "{state}");
    phone.get(&format!("/checks/{check}")).expect(200);
    run(server.shop.path(), "jaws add wren", 0);
    phone
        .form(
            &format!("/checks/{check}/settings"),
            &[("jaw_set", &set_id(&phone))],
        )
        .expect(303);
    phone
        .form(&format!("/checks/{check}/file"), &[])
        .expect(303);
}

#[test]
fn checks_under_way_outlast_a_restart() {
    let server = Server::start();
    let check = check(&server, 3);
    let before = server.phone().get(&format!("/api/checks/{check}")).json();
    server.signal("-KILL");
    let shop = Arc::clone(&server.shop);
    drop(server);
    let again = Server::on(shop, "");
    let phone = again.phone();
    let mut now = Value::Null;
    wait_for("the photos are read again", || {
        now = phone
            .get(&format!("/api/checks/{check}"))
            .expect(200)
            .json();
        !now["report"].is_null()
    });
    assert_eq!(now, before);
}

/// Some moments of filing; it takes some ten milliseconds, more on a loaded machine.
const KILLS: u32 = 10;

#[test]
fn a_kill_while_filing_leaves_the_check_whole_or_absent() {
    let mut shop = Server::start().stop().1;
    let (mut said, mut absent) = (0, 0);
    for kill in 0..KILLS {
        let server = Server::on(shop, "");
        let phone = server.phone();
        let before = filed_checks(&phone);
        let check = check_of(&server, 100 + kill, 2);
        let filing = {
            let (phone, path) = (phone.clone(), format!("/api/checks/{check}/file"));
            thread::spawn(move || {
                let head = phone.head("POST", &path, &[("Content-Type", "application/json")], 2);
                phone.raw(format!("{head}{{}}").as_bytes())
            })
        };
        // 1 ms to half a second, so that a quick machine and a loaded one are both met in the middle.
        thread::sleep(Duration::from_millis(1 << kill));
        server.signal("-KILL");
        let answer = filing.join().unwrap();
        shop = Arc::clone(&server.shop);
        drop(server);
        let again = Server::on(Arc::clone(&shop), "");
        let phone = again.phone();
        let after = filed_checks(&phone);
        if answer.is_some_and(|a| a.status == 200) {
            said += 1;
            assert_eq!(after, before + 1, "kill {kill}: said to be filed");
        }
        absent += usize::from(after == before);
        // Nothing is lost: the check is still under way, and filed again it is there once.
        wait_for("the photos are read again", || {
            !phone
                .get(&format!("/api/checks/{check}"))
                .expect(200)
                .json()["report"]
                .is_null()
        });
        phone
            .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
            .expect(200);
        assert_eq!(filed_checks(&phone), before + 1, "kill {kill}");
        again.stop();
    }
    let archive = seepline::archive::Archive::open(&shop.path().join("archive")).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    println!("{KILLS} kills: {said} said to be filed, {absent} absent after the kill");
}

/// The jaws of a check as its photos stand now, and their names.
fn jaws(phone: &Client, check: &str) -> Vec<(u64, String)> {
    let state = phone.get(&format!("/api/checks/{check}")).json();
    let photos = state["photos"].as_array().unwrap().clone();
    let of = |p: &Value| {
        (
            p["jaw"].as_u64().unwrap(),
            p["name"].as_str().unwrap().to_owned(),
        )
    };
    photos.iter().map(of).collect()
}

#[test]
fn a_photo_taken_again_or_out_is_no_longer_of_the_filed_check() {
    let server = Server::start();
    let phone = server.phone();
    let begin = |server: &Server| {
        let set = set_id(&server.phone());
        server.begin(json!({ "jaw_set": set, "tip": "up" }))
    };
    let check = begin(&server);
    let smeared = photo("singles/refused-smeared.jpg");
    let first = take_and_file(
        &phone,
        &check,
        &[(1, smeared), (2, heron(2)), (3, heron(3))],
    );
    let now = take_and_file(&phone, &check, &[(1, heron(1))]);
    let of_three = [1, 2, 3].map(|jaw| (jaw, format!("jaw{jaw}.jpg")));
    assert_eq!(jaws(&phone, &check), of_three);
    // As if the smeared one had never been taken.
    let other = Server::start();
    let all = [1, 2, 3].map(|jaw| (jaw, heron(jaw)));
    let straight = take_and_file(&other.phone(), &begin(&other), &all);
    assert_eq!(now["advice"], straight["advice"]);
    let filed = filed_readings(&phone);
    assert_eq!((filed.len(), filed[0].len()), (1, 3), "{filed:?}");
    // The photo is where it was, and the check as it was can be looked up.
    let hidden = phone
        .get(&format!("/api/filed/{}", first["id"].as_str().unwrap()))
        .expect(200)
        .json();
    assert_eq!(hidden["readings"], first["readings"]);
    let archive = seepline::archive::Archive::open(&server.archive()).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    let sha256 = first["readings"][0]["sha256"].as_str().unwrap();
    assert!(archive.photo_path(sha256).unwrap().is_file());
    // Taken out, and filed; the rest of the check stays.
    let sha256 = straight["readings"][2]["sha256"].as_str().unwrap();
    phone
        .delete(&format!("/api/checks/{check}/photos/{sha256}"))
        .expect(200);
    take_and_file(&phone, &check, &[]);
    assert_eq!(filed_readings(&phone)[0].len(), 2);
    assert_eq!(jaws(&phone, &check), of_three[..2]);
    // Sent again after all, it is back.
    take_and_file(&phone, &check, &[(3, heron(3))]);
    assert_eq!(filed_readings(&phone)[0].len(), 3);
    assert_eq!(filed_checks(&phone), 1);
}

#[test]
fn a_check_whose_photos_are_all_taken_again_is_one_check() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    let of_heron = |number| [1, 2, 3].map(|jaw| (jaw, another(&heron(jaw), number)));
    let before = take_and_file(&phone, &check, &of_heron(10));
    let now = take_and_file(&phone, &check, &of_heron(20));
    assert_eq!(filed_checks(&phone), 1);
    assert_eq!(now["advice"], before["advice"]);
    // Of other jaws, since they were cut again: what was seen of those before stays.
    run(
        server.shop.path(),
        "cut add heron --taper 0.002in --made 2026-01-03T08:00:00",
        0,
    );
    take_and_file(&phone, &check, &of_heron(30));
    assert_eq!(filed_checks(&phone), 2);
}
