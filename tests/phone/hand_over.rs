//! Checks of a phone alone, handed over to the server that it is paired with: each whole or absent, each once, and said to be
//! filed only when it is. `browser/alone.rs` does the same from the page.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

use super::alone::{Saved, begun_with, check, check_with, facts, file_of, filed, saying};
use super::client::{Answer, Client};
use super::samples::{another, heron, heron_settings};
use super::server::{Server, run};
use crate::support::program::wait_for;

const TAR: (&str, &str) = ("Content-Type", "application/x-tar");

pub(super) fn hand_over(phone: &Client, set: &str, tar: &[u8]) -> Answer {
    phone.send(
        "POST",
        &format!("/api/phone/checks?jaw_set={set}"),
        &[TAR],
        tar,
    )
}

/// What lies where checks arrive.
fn arriving(shop: &Path) -> usize {
    let place = shop.join("archive/under-way/arriving.gone");
    fs::read_dir(place).map_or(0, Iterator::count)
}

fn check_shown(shop: &Path, answer: &Value) -> Value {
    let id = answer["filed"].as_str().unwrap();
    let shown = run(shop, &format!("check show {id} --json"), 0).stdout;
    serde_json::from_slice(&shown).unwrap()
}

#[test]
fn a_check_is_filed_once_as_import_phone_files_it() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let tar = file_of(&[check(20, &[1, 2, 3])]);
    let first = hand_over(&phone, "heron", &tar).expect(200);
    assert_eq!(first.json()["jaw_set"]["name"], "heron");
    // Nothing of what it shows: whoever hands over may be somebody who calls first.
    for said in ["pattern", "change", "taper", "advice", "why"] {
        assert!(!first.text().contains(said), "{}", first.text());
    }
    let again = hand_over(&phone, "heron", &tar).expect(200).json();
    assert_eq!(again["filed"], first.json()["filed"]);
    assert!(
        again["notes"].to_string().contains("filed already"),
        "{again}"
    );
    fs::write(shop.join("checks.tar"), &tar).unwrap();
    let said = run(shop, "import phone heron checks.tar", 0).stdout;
    assert!(String::from_utf8_lossy(&said).contains("filed already"));
    assert_eq!((filed(shop), arriving(shop)), (1, 0));
    let other = Server::start();
    fs::write(other.shop.path().join("checks.tar"), &tar).unwrap();
    let said = run(other.shop.path(), "import phone heron checks.tar --json", 0).stdout;
    let report: Value = serde_json::from_slice(&said).unwrap();
    let [handed, imported] = [
        check_shown(shop, &first.json()),
        check_shown(
            other.shop.path(),
            &json!({ "filed": report["filed"]["check"] }),
        ),
    ];
    for field in ["made", "method", "readings", "advice"] {
        assert_eq!(handed[field], imported[field], "{field}");
    }
}

#[test]
fn a_photo_that_was_taken_again_goes_into_the_same_check() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let before = check(21, &[1, 2]);
    hand_over(&phone, "heron", &file_of(std::slice::from_ref(&before))).expect(200);
    let taken_again = another(&heron(1), 4321);
    let sha256 = |bytes: &[u8]| format!("{:x}", <sha2::Sha256 as sha2::Digest>::digest(bytes));
    let mut after = saying(before.clone(), |sheet| {
        let photo = &mut sheet["photos"][0];
        let old = photo["sha256"].take();
        photo["sha256"] = sha256(&taken_again).into();
        sheet["left_out"] = json!([old]);
    });
    let folder = after[0].0.split('/').next().unwrap().to_owned();
    after.push((format!("{folder}/{}", sha256(&taken_again)), taken_again));
    hand_over(&phone, "heron", &file_of(&[after])).expect(200);
    assert_eq!(filed(shop), 1);
}

/// What a form would refuse, and more.
fn hostile(whole: &Saved) -> Vec<(&'static str, Vec<u8>)> {
    let says = |say: &dyn Fn(&mut Value)| file_of(&[saying(whole.clone(), say)]);
    let mut other = whole.clone();
    other[1].1[5000] ^= 1;
    let many: Vec<Saved> = (0..40).map(|_| whole[1..].to_vec()).collect();
    let file = file_of(std::slice::from_ref(whole));
    vec![
        ("breaks off", file[..9000].to_vec()),
        ("altered", file_of(&[other])),
        ("a photo lacks", file_of(&[whole[..2].to_vec()])),
        ("no tar", b"a photo".to_vec()),
        ("nothing", Vec::new()),
        ("no check", file_of(&[])),
        ("two checks", file_of(&[whole.clone(), check(23, &[1])])),
        (
            "many parts",
            file_of(&[&[whole.clone()][..], &many].concat()),
        ),
        (
            "no sheet",
            file_of(&[vec![(whole[0].0.clone(), b"{".to_vec())]]),
        ),
        (
            "a huge sheet",
            file_of(&[vec![(whole[0].0.clone(), vec![b' '; 5 << 20])]]),
        ),
        ("no photo", says(&|s| s["photos"] = json!([]))),
        (
            "a photo twice",
            says(&|s| s["photos"][1] = s["photos"][0].clone()),
        ),
        (
            "thirteen photos",
            says(&|s| s["photos"] = vec![s["photos"][0].clone(); 13].into()),
        ),
        (
            "a path",
            says(&|s| s["photos"][0]["sha256"] = "../../pairing.key".into()),
        ),
        ("jaw 0", says(&|s| s["photos"][0]["jaw"] = 0.into())),
        (
            "less than no taper",
            says(&|s| s["settings"]["taper"] = "-1mm".into()),
        ),
        (
            "too much taper",
            says(&|s| s["settings"]["taper"] = "3in".into()),
        ),
        (
            "too long a text",
            says(&|s| s["settings"]["compound"] = "x".repeat(3000).into()),
        ),
        (
            "no initials",
            says(&|s| s["settings"]["by"] = "'; DROP TABLE".into()),
        ),
        (
            "corners of elsewhere",
            says(&|s| {
                s["photos"][0]["corners"] =
                    json!([[-9e9, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]);
            }),
        ),
        (
            "a call of too much",
            says(&|s| {
                let call = json!({ "pattern": "tip-only", "change": "-9in", "by": "AB", "at": "2026-03-04T10:11:12" });
                s["call"] = call;
            }),
        ),
        (
            "a set that is no set",
            says(&|s| {
                s["settings"]["jaw_set"] = "0".repeat(32).into();
                let rest = json!({ "id": "0".repeat(32), "name": "", "grip": "outside" });
                s["of_set"] = rest;
            }),
        ),
    ]
}

#[test]
fn what_no_phone_sends_is_refused_with_its_reason_and_nothing_is_filed() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let whole = check(22, &[1, 2]);
    for (what, tar) in hostile(&whole) {
        let answer = hand_over(&phone, "heron", &tar);
        assert!(
            (400..500).contains(&answer.status),
            "{what}: {}",
            answer.text()
        );
        let said = answer.json()["error"].as_str().unwrap().to_owned();
        assert!(
            said.len() > 20 && !said.contains("archive/"),
            "{what}: {said}"
        );
        assert_eq!((filed(shop), arriving(shop)), (0, 0), "{what}");
    }
    let tar = file_of(std::slice::from_ref(&whole));
    for (set, said) in [
        ("wren", "no such jaw set"),
        ("", "no such jaw set"),
        ("%00", "no such jaw set"),
    ] {
        let answer = hand_over(&phone, set, &tar).expect(409);
        assert!(answer.text().contains(said), "{}", answer.text());
    }
    let unnamed = || {
        phone
            .send("POST", "/api/phone/checks", &[TAR], &tar)
            .expect(409)
            .text()
    };
    assert!(
        unnamed().contains("begun without a jaw set"),
        "{}",
        unnamed()
    );
    server
        .stranger()
        .send("POST", "/api/phone/checks?jaw_set=heron", &[TAR], &tar)
        .expect(401);
    server.stranger().get("/api/phone/sets").expect(401);
    let evil = [TAR, ("Origin", "http://evil.example")];
    phone
        .send("POST", "/api/phone/checks?jaw_set=heron", &evil, &tar)
        .expect(403);
    // Begun with a set, it goes to no other.
    run(shop, "jaws add wren", 0);
    let of_heron = file_of(&[begun_with(whole, &facts(shop, "heron"))]);
    let other = hand_over(&phone, "wren", &of_heron).expect(409).text();
    assert!(other.contains("begun with the jaw set heron"), "{other}");
    assert_eq!(filed(shop), 0);
    phone
        .send("POST", "/api/phone/checks", &[TAR], &of_heron)
        .expect(200);
    assert_eq!(filed(shop), 1);
}

#[test]
fn from_two_windows_at_once_it_is_filed_once() {
    let server = Server::start();
    let tar = file_of(&[check(24, &[1, 2])]);
    thread::scope(|scope| {
        for _ in 0..4 {
            let (phone, tar) = (server.phone(), &tar);
            scope.spawn(move || hand_over(&phone, "heron", tar).expect(200));
        }
    });
    assert_eq!(filed(server.shop.path()), 1);
}

#[test]
fn a_connection_that_breaks_in_the_middle_leaves_nothing() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let tar = file_of(&[check(25, &[1])]);
    for sent in [0, 600, tar.len() / 2, tar.len() - 1] {
        let head = phone.head("POST", "/api/phone/checks?jaw_set=heron", &[TAR], tar.len());
        let mut stream = phone.connect();
        stream.write_all(head.as_bytes()).unwrap();
        stream.write_all(&tar[..sent]).unwrap();
        drop(stream);
    }
    wait_for("what came is removed", || arriving(shop) == 0);
    assert_eq!(filed(shop), 0);
    // It may not have noticed yet that the last one broke off, and be busy.
    wait_for("its turn", || {
        hand_over(&phone, "heron", &tar).status == 200
    });
    assert_eq!(filed(shop), 1);
}

/// Some moments of handing over, which takes most of a second.
const KILLS: u32 = 8;

#[test]
fn a_kill_in_between_leaves_the_check_whole_or_absent() {
    let mut shop = Server::start().stop().1;
    let (mut said, mut absent) = (0, 0);
    for kill in 0..KILLS {
        let tar = file_of(&[check(30 + kill, &[1, 2])]);
        let server = Server::on(shop, "");
        let before = filed(server.shop.path());
        let handing = {
            let (phone, tar) = (server.phone(), tar.clone());
            thread::spawn(move || {
                let head = phone.head("POST", "/api/phone/checks?jaw_set=heron", &[TAR], tar.len());
                phone.raw(&[head.as_bytes(), &tar].concat())
            })
        };
        // 8 ms to a second, so that a quick machine and a loaded one are both met in the middle.
        thread::sleep(Duration::from_millis(8 << kill));
        server.signal("-KILL");
        let answer = handing.join().unwrap();
        shop = Arc::clone(&server.shop);
        drop(server);
        let again = Server::on(Arc::clone(&shop), "");
        let after = filed(shop.path());
        if answer.is_some_and(|a| a.status == 200) {
            said += 1;
            assert_eq!(after, before + 1, "kill {kill}: said to be filed");
        }
        absent += usize::from(after == before);
        assert_eq!(arriving(shop.path()), 0, "kill {kill}");
        hand_over(&again.phone(), "heron", &tar).expect(200);
        assert_eq!(filed(shop.path()), before + 1, "kill {kill}");
        again.stop();
    }
    println!("{KILLS} kills: {said} said to be filed, {absent} absent after the kill");
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_files_nothing_and_says_so() {
    use super::full_disk::{fill, free, shop_on};
    let Some((shop, disk)) = shop_on("8m") else {
        return;
    };
    let server = Server::on(Arc::clone(&shop), "");
    let phone = server.phone();
    let tar = file_of(&[check(40, &[1, 2, 3])]);
    let mut refused = 0;
    // The file takes some 700 kB while it arrives, the photos as much in the archive, the records some 100 kB.
    // Most likely the server may still hold the last one's file, which is gone, when its answer is there: then so much more is left.
    for left in [0, 100, 200, 300, 500, 800, 1100, 1400, 1700] {
        fill(disk.path(), left << 10);
        let answer = hand_over(&phone, "heron", &tar);
        free(disk.path());
        if answer.status == 200 {
            break;
        }
        assert_eq!(
            (answer.expect(507).status, filed(shop.path())),
            (507, 0),
            "{left}"
        );
        assert_eq!(arriving(shop.path()), 0, "{left}");
        refused += 1;
    }
    assert!(refused >= 3, "{refused}");
    hand_over(&phone, "heron", &tar).expect(200);
    assert_eq!(filed(shop.path()), 1);
    println!("{refused} times refused for space, then filed once");
}

#[test]
fn what_a_prove_out_keeps_back_is_neither_given_nor_taken() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let tar = file_of(&[check(41, &[1, 2, 3])]);
    run(shop, "people lead JK on", 0);
    let held = [("by", "JK"), ("checks", "3"), ("change", "held")];
    phone.form("/prove-out/begin", &held).expect(303);
    for refused in [
        phone.get("/api/phone/sets"),
        hand_over(&phone, "heron", &tar),
    ] {
        let said = refused.expect(409).text();
        assert!(said.contains("kept back"), "{said}");
    }
    assert_eq!((filed(shop), arriving(shop)), (0, 0));
    // One that says everything keeps nothing from anybody.
    phone.form("/prove-out/end", &[("by", "JK")]).expect(303);
    let says = [("by", "JK"), ("checks", "3"), ("change", "said")];
    phone.form("/prove-out/begin", &says).expect(303);
    phone.get("/api/phone/sets").expect(200);
    hand_over(&phone, "heron", &tar).expect(200);
    assert_eq!(filed(shop), 1);
}

#[test]
fn whoever_must_call_first_calls_before_the_check_goes_anywhere() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let refused = |check: &Saved| {
        let said = hand_over(&phone, "heron", &file_of(std::slice::from_ref(check)))
            .expect(409)
            .text();
        assert!(said.contains("say first"), "{said}");
        assert_eq!(filed(shop), 0);
        fs::write(
            shop.join("checks.tar"),
            file_of(std::slice::from_ref(check)),
        )
        .unwrap();
        let said = run(shop, "import phone heron checks.tar", 2);
        assert!(
            said.stdout.is_empty() && String::from_utf8_lossy(&said.stderr).contains("say first")
        );
    };
    let mut settings = heron_settings();
    settings["by"] = "AB".into();
    settings["call_first"] = true.into();
    let waits = check_with(settings, 42, &[1]);
    refused(&waits);
    // The shop's rule holds where the phone knows none.
    let unruled = saying(waits.clone(), |sheet| {
        sheet["settings"]["call_first"] = false.into();
    });
    run(shop, "people call-first AB on", 0);
    refused(&unruled);
    let called = saying(waits, |sheet| {
        let call = json!({ "pattern": "tip-only", "change": "-1thou", "by": "AB", "at": "2026-03-04T10:11:12" });
        sheet["call"] = call;
    });
    hand_over(&phone, "heron", &file_of(&[called])).expect(200);
    assert_eq!(filed(shop), 1);
    let archive = seepline::archive::Archive::open(&server.archive()).unwrap();
    let calls = archive.export_json().unwrap()["calls"].clone();
    assert_eq!(calls[0]["by"], "AB", "{calls}");
}

#[test]
fn jaw_sets_for_a_phone_are_facts_alone() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    run(
        shop,
        "jaws change heron --material 6061 --face-length 1.25in --notes secret --machine north",
        0,
    );
    let check = check_with(
        json!({ "tip": "up", "taper": "0.003in", "compound": "blue" }),
        43,
        &[1],
    );
    hand_over(&phone, "heron", &file_of(&[check])).expect(200);
    let expected = json!({
        "id": facts(shop, "heron")["id"], "name": "heron", "grip": "outside", "material": "6061", "face_length": "31750um",
        "production_pressure": facts(shop, "heron")["production_pressure"], "taper": "76.2um", "method": "seep", "compound": "blue",
    });
    let printed = facts(shop, "heron");
    assert_eq!(printed, expected);
    assert_eq!(
        phone.get("/api/phone/sets").expect(200).json()["jaw_sets"],
        json!([expected])
    );
    // Those of one machine alone.
    let printed = run(shop, "jaws list --for-phone --machine south", 0).stdout;
    let file: Value = serde_json::from_slice(&printed).unwrap();
    assert_eq!(file["jaw_sets"], json!([]));
}
