//! Calling before the reading is shown: nothing of it comes out before, and the call stands.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use seepline::archive::Archive;
use serde_json::{Value, json};

use super::client::{Answer, Client};
use super::samples::{another, heron};
use super::server::{Server, run};
use super::uploads::set_id;
use crate::support::program::{in_shop, wait_for};

/// A check of heron whose jaws were taken; its id.
fn check(server: &Server, more: &[(&str, Value)]) -> String {
    let phone = server.phone();
    let mut settings = json!({ "jaw_set": set_id(&phone), "tip": "up" });
    for (name, value) in more {
        settings[*name] = value.clone();
    }
    let check = server.begin(settings);
    for jaw in 1..=3 {
        phone
            .photo(&check, jaw, &format!("jaw{jaw}.jpg"), &heron(jaw))
            .expect(200);
    }
    check
}

fn call(phone: &Client, check: &str, pattern: &str, change: &str) -> Answer {
    let given = json!({ "pattern": pattern, "change": change });
    phone.json("POST", &format!("/api/checks/{check}/call"), &given)
}

/// Everything that a phone can ask for about a check, but for the photos themselves.
fn all_of(phone: &Client, check: &str) -> Vec<(String, Answer)> {
    let state = phone.get(&format!("/api/checks/{check}")).expect(200);
    let photos = state.json()["photos"].as_array().unwrap().clone();
    let mut paths = vec![
        format!("/checks/{check}"),
        format!("/api/checks/{check}"),
        format!("/api/checks/{check}/report"),
        "/api/checks".to_owned(),
        "/".to_owned(),
    ];
    for photo in photos {
        let sha256 = photo["sha256"].as_str().unwrap();
        let pictures =
            ["picture", "profile"].map(|p| format!("/checks/{check}/photos/{sha256}/{p}"));
        paths.extend(pictures);
    }
    let ask = |path: String| (path.clone(), phone.get(&path));
    paths.into_iter().map(ask).collect()
}

/// Words and places that only a reading has; the form for the call names every pattern.
fn tells(answer: &Answer) -> bool {
    let text = answer.text();
    let reading = [
        "In contact",
        "% of the length",
        "Sure (",
        "\"action\"",
        "\"confidence\"",
    ];
    let picture = answer.header("content-type") == Some("image/jpeg");
    picture || text.contains("/picture?v=") || reading.iter().any(|word| text.contains(word))
}

#[test]
fn nothing_of_a_reading_comes_out_before_the_call() {
    let server = Server::start();
    let phone = server.phone();
    run(server.shop.path(), "people call-first AB on", 0);
    let check = check(&server, &[("by", json!("ab"))]);
    for (path, answer) in all_of(&phone, &check) {
        assert!(!tells(&answer), "{path}: {}", answer.text());
    }
    let state = phone.get(&format!("/api/checks/{check}")).json();
    assert_eq!(
        (&state["kept_back"], &state["report"]),
        (&json!("call"), &Value::Null)
    );
    // Filing it would show it, too.
    let file = format!("/api/checks/{check}/file");
    let refused = phone.json("POST", &file, &json!({})).expect(409);
    assert!(
        refused.text().contains("AB calls before"),
        "{}",
        refused.text()
    );
    call(&phone, &check, "tip-only", "-1thou").expect(200);
    let shown = all_of(&phone, &check);
    assert!(shown[..3].iter().all(|(_, answer)| tells(answer)));
    assert!(shown[5..].iter().all(|(_, answer)| answer.status == 200));
}

#[test]
fn who_reads_is_asked_where_some_people_call_first() {
    let server = Server::start();
    let phone = server.phone();
    run(server.shop.path(), "people call-first AB on", 0);
    let check = check(&server, &[]);
    let kept = |of: &str| phone.get(&format!("/api/checks/{of}")).json()["kept_back"].clone();
    assert_eq!(kept(&check), json!("who"));
    let page = phone.get(&format!("/checks/{check}")).text();
    assert!(page.contains("Who reads these jaws?"), "{page}");
    // Somebody without the rule sees the reading at once.
    let settings = format!("/checks/{check}/settings");
    phone.form(&settings, &[("by", "CD")]).expect(303);
    assert_eq!(kept(&check), Value::Null);
    // What was shown cannot be called any more.
    phone.form(&settings, &[("by", "AB")]).expect(303);
    let late = call(&phone, &check, "tip-only", "-1thou").expect(409);
    assert!(late.text().contains("shown already"), "{}", late.text());
}

#[test]
fn a_call_stands_beside_the_reading_and_is_filed_with_the_check() {
    let server = Server::start();
    let phone = server.phone();
    let check = check(&server, &[("by", json!("AB")), ("call_first", json!(true))]);
    let state = call(&phone, &check, "base-only", "+1thou")
        .expect(200)
        .json();
    // The jaws are open at the base (sample-images/README.md): adding taper is the wrong way.
    let beside = &state["report"]["call"];
    assert_eq!(beside["comparison"]["outcome"], "wrong-way", "{beside}");
    assert_eq!(state["filed"]["up_to_date"], true);
    let filed = state["filed"]["check"].as_str().unwrap();
    let shown = run(server.shop.path(), &format!("check show {filed} --json"), 0).stdout;
    let shown: Value = serde_json::from_slice(&shown).unwrap();
    assert_eq!(shown["called_by"], 1, "{shown}");
    let again = call(&phone, &check, "tip-only", "-1thou").expect(409);
    assert!(
        again.text().contains("the call stands: AB: base-only"),
        "{}",
        again.text()
    );
    let page = phone.get(&format!("/checks/{check}")).text();
    assert!(page.contains("The call goes the wrong way"), "{page}");
    // Filed again after a change, the call is not filed a second time.
    let file = format!("/api/checks/{check}/file");
    let swap = phone.get(&format!("/api/checks/{check}")).json()["photos"][0]["sha256"].clone();
    let swap = format!("/api/checks/{check}/photos/{}", swap.as_str().unwrap());
    phone
        .json("PATCH", &swap, &json!({ "swap": true }))
        .expect(200);
    phone.json("POST", &file, &json!({})).expect(200);
    let record = run(server.shop.path(), "people show AB --by AB --json", 0).stdout;
    let record: Value = serde_json::from_slice(&record).unwrap();
    assert_eq!(record.as_array().unwrap().len(), 1, "{record}");
}

#[test]
fn a_call_outlasts_the_server_and_a_quick_check_takes_it_along() {
    let server = Server::start();
    let check = check(
        &server,
        &[
            ("jaw_set", Value::Null),
            ("by", json!("AB")),
            ("call_first", json!(true)),
            ("taper", json!("3thou")),
        ],
    );
    let state = call(&server.phone(), &check, "tip-only", "-1thou")
        .expect(200)
        .json();
    assert_eq!(state["filed"], Value::Null);
    let (_, shop) = server.stop();
    let server = Server::on(shop, "");
    let phone = server.phone();
    let again = call(&phone, &check, "base-only", "+1thou").expect(409);
    assert!(again.text().contains("the call stands"), "{}", again.text());
    let set = set_id(&phone);
    phone
        .form(&format!("/checks/{check}/settings"), &[("jaw_set", &set)])
        .expect(303);
    phone
        .form(&format!("/checks/{check}/file"), &[])
        .expect(303);
    // The same photos once more: the call made then stands beside them.
    let other = self::check(&server, &[("by", json!("AB")), ("call_first", json!(true))]);
    let state = phone.get(&format!("/api/checks/{other}")).json();
    assert_eq!(state["kept_back"], Value::Null, "{state}");
    assert_eq!(state["report"]["call"]["pattern"], "tip-only", "{state}");
}

#[test]
fn what_is_no_call_is_refused_and_shows_nothing() {
    let server = Server::start();
    let phone = server.phone();
    let check = check(&server, &[("by", json!("AB")), ("call_first", json!(true))]);
    let form = |fields: &[(&str, &str)]| phone.form(&format!("/checks/{check}/call"), fields);
    for (fields, told) in [
        (vec![("pattern", ""), ("way", "less")], "no pattern"),
        (vec![("pattern", "tip-only"), ("way", "")], "no change"),
        (
            vec![("pattern", "tip-only"), ("way", "less"), ("amount", "")],
            "by how much",
        ),
        (vec![("pattern", "tips"), ("change", "-1thou")], "tip-only"),
        (
            vec![("pattern", "tip-only"), ("change", "1thou")],
            "which way",
        ),
        (vec![("pattern", "tip-only"), ("change", "-1")], "unit"),
        (
            vec![("pattern", "unreadable"), ("change", "-1thou")],
            "no change now",
        ),
        (
            vec![
                ("pattern", "tip-only"),
                ("change", "-1thou"),
                ("amount", "3"),
            ],
            "more than one change",
        ),
        (
            vec![
                ("pattern", "full-length"),
                ("way", "leave"),
                ("amount", "1"),
            ],
            "more than one change",
        ),
        (
            vec![("pattern", "tip-only"), ("change", "-1thou"), ("by", "CD")],
            "no field",
        ),
    ] {
        let refused = form(&fields).expect(422).text();
        assert!(refused.contains(told), "{fields:?}: {refused}");
        assert!(!refused.contains("--"), "no option is named: {refused}");
    }
    assert_eq!(
        phone.get(&format!("/api/checks/{check}")).json()["kept_back"],
        "call"
    );
    let stated = [
        ("pattern", "tip-only"),
        ("way", "less"),
        ("amount", "2"),
        ("unit", "thou"),
        ("stated", "on diameter"),
    ];
    form(&stated).expect(303);
    // Twice as much on the diameter as per side (common practice).
    let called = phone.get(&format!("/api/checks/{check}")).json()["call"].clone();
    assert_eq!(called["change"], "-25.4um", "{called}");
}

#[test]
fn no_call_without_photos_or_a_reader() {
    let server = Server::start();
    let phone = server.phone();
    let set = set_id(&phone);
    let empty = server.begin(json!({ "jaw_set": set, "by": "AB", "call_first": true }));
    call(&phone, &empty, "tip-only", "-1thou").expect(422);
    let nobody = server.begin(json!({ "jaw_set": set }));
    let refused = call(&phone, &nobody, "tip-only", "-1thou").expect(409);
    assert!(refused.text().contains("who reads"), "{}", refused.text());
    let wrong = phone.json("POST", "/api/checks", &json!({ "by": "Ann Marie" }));
    assert!(wrong.expect(422).text().contains("initials"));
}

/// Initials that no photo holds by chance.
const GONE: &str = "QX7Z31WK";

/// Files that hold them.
fn naming(folder: &Path) -> Vec<String> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() {
            all.extend(naming(&path));
        } else if fs::read(&path)
            .unwrap()
            .windows(8)
            .any(|w| w == GONE.as_bytes())
        {
            all.push(path.display().to_string());
        }
    }
    all
}

#[test]
fn an_erased_person_does_not_come_back_with_a_check_under_way() {
    let server = Server::start();
    let phone = server.phone();
    let by = [("by", json!(GONE)), ("call_first", json!(true))];
    let filed = check(&server, &by);
    call(&phone, &filed, "tip-only", "-1thou").expect(200);
    // This call is in no archive yet.
    let quick = server.begin(json!({ "tip": "up", "by": GONE, "call_first": true }));
    phone
        .photo(&quick, 1, "jaw1.jpg", &another(&heron(1), 50))
        .expect(200);
    call(&phone, &quick, "tip-only", "-1thou").expect(200);
    let erase = format!("people erase {GONE} --yes");
    let refused = in_shop(server.shop.path(), &erase).output().unwrap();
    let told = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(2), "{told}");
    assert!(told.contains("end it, erase, and start it"), "{told}");
    let (_, shop) = server.stop();
    assert!(!naming(shop.path()).is_empty());
    run(shop.path(), &erase, 0);
    assert_eq!(naming(shop.path()), Vec::<String>::new());

    let server = Server::on(Arc::clone(&shop), "");
    let phone = server.phone();
    let set = set_id(&phone);
    for check in [&filed, &quick] {
        let state = || phone.get(&format!("/api/checks/{check}")).expect(200);
        wait_for("the photos are read again", || {
            !state().json()["report"].is_null()
        });
        assert!(!state().text().contains("\"waiting\""));
        phone
            .form(&format!("/checks/{check}/settings"), &[("jaw_set", &set)])
            .expect(303);
        phone
            .form(&format!("/checks/{check}/file"), &[])
            .expect(303);
        phone.get(&format!("/checks/{check}")).expect(200);
    }
    server.stop();
    // Each call once, both under the one number that came in place of the initials.
    let archive = Archive::open(&shop.path().join("archive")).unwrap();
    let calls = archive.calls().unwrap();
    assert_eq!(calls.len(), 2, "{calls:?}");
    assert!(calls[0].call.by.is_erased() && calls[0].call.by == calls[1].call.by);
    assert_eq!(archive.people().unwrap(), []);
    assert_eq!(naming(shop.path()), Vec::<String>::new());
}

#[test]
fn somebody_whom_only_a_check_under_way_names_can_be_erased() {
    let server = Server::start();
    server.begin(json!({ "by": GONE }));
    let (_, shop) = server.stop();
    run(shop.path(), &format!("people erase {GONE} --yes"), 0);
    assert_eq!(naming(shop.path()), Vec::<String>::new());
    let again = run(shop.path(), &format!("people erase {GONE} --yes"), 2);
    let told = String::from_utf8_lossy(&again.stderr).into_owned();
    assert!(told.contains("nothing is kept"), "{told}");
}
