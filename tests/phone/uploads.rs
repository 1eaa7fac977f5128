//! Photos that arrive, in whatever state.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::client::{Client, KIND};
use super::samples::{another, heron, photo};
use super::server::Server;
use crate::support::program::wait_for;

fn state(phone: &Client, check: &str) -> Value {
    phone
        .get(&format!("/api/checks/{check}"))
        .expect(200)
        .json()
}

fn jaws(state: &Value) -> Vec<(u64, String)> {
    let photos = state["photos"].as_array().unwrap();
    let of = |p: &Value| {
        (
            p["jaw"].as_u64().unwrap(),
            p["sha256"].as_str().unwrap().to_owned(),
        )
    };
    photos.iter().map(of).collect()
}

#[test]
fn the_same_photo_twice_counts_once() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    let first = phone
        .photo(&check, 1, "jaw1.jpg", &heron(1))
        .expect(200)
        .json();
    let again = phone
        .photo(&check, 1, "jaw1.jpg", &heron(1))
        .expect(200)
        .json();
    assert_eq!(first, again);
    let as_jaw_2 = phone
        .photo(&check, 2, "jaw2.jpg", &heron(1))
        .expect(200)
        .json();
    assert_eq!(jaws(&as_jaw_2), jaws(&first));
    assert!(
        as_jaw_2["notices"][0]
            .as_str()
            .unwrap()
            .contains("counts once"),
        "{as_jaw_2}"
    );
    let both = [("a.jpg", &heron(2)[..]), ("b.jpg", &heron(2)[..])];
    phone.upload(&check, None, &both).expect(303);
    assert_eq!(jaws(&state(&phone, &check)).len(), 2);
}

#[test]
fn several_at_once_go_where_there_is_a_place_and_another_replaces() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    phone.photo(&check, 2, "jaw2.jpg", &heron(2)).expect(200);
    let photos = [("jaw1.jpg", &heron(1)[..]), ("jaw3.jpg", &heron(3)[..])];
    let answer = phone.upload(&check, None, &photos).expect(303);
    assert_eq!(
        answer.header("location"),
        Some(&*format!("/checks/{check}#photos"))
    );
    let before = state(&phone, &check);
    assert_eq!(
        jaws(&before)
            .iter()
            .map(|(jaw, _)| *jaw)
            .collect::<Vec<_>>(),
        [1, 2, 3]
    );
    let retaken = phone
        .photo(&check, 2, "again.jpg", &another(&heron(2), 1))
        .expect(200)
        .json();
    assert_eq!(jaws(&retaken).len(), 3);
    assert_ne!(jaws(&retaken)[1], jaws(&before)[1]);
    assert_eq!(jaws(&retaken)[2], jaws(&before)[2]);
    let sha256 = jaws(&retaken)[0].1.clone();
    phone
        .form(&format!("/checks/{check}/photos/{sha256}/remove"), &[])
        .expect(303);
    assert_eq!(jaws(&state(&phone, &check)).len(), 2);
    // What is no longer in the check is no longer on the disk.
    let kept = files(&server.archive().join("under-way").join(&check));
    assert_eq!(kept.len(), 3, "{kept:?}");
}

#[test]
fn what_is_no_photo_changes_nothing_and_is_named() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
    let before = jaws(&state(&phone, &check));
    let whole = heron(2);
    let bomb = [
        &b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\xff\xff\0\0\xff\xff\x08\x02\0\0\0"[..],
        &[0; 30],
    ]
    .concat();
    let cases: [(&str, &[u8]); 6] = [
        ("notes.txt", b"not a photo at all, but quite some text"),
        ("page.jpg", b"<html><script>alert(1)</script></html>"),
        ("manual.pdf", b"%PDF-1.7"),
        ("half.jpg", &whole[..whole.len() / 2]),
        ("bomb.png", &bomb),
        ("drawing.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
    ];
    for (name, bytes) in cases {
        let answer = phone.photo(&check, 1, name, bytes).expect(422);
        let error = answer.json()["error"].as_str().unwrap().to_owned();
        assert!(
            !error.is_empty() && !error.contains("--"),
            "{name}: {error}"
        );
        assert_eq!(jaws(&state(&phone, &check)), before, "{name}");
    }
    phone.photo(&check, 1, "nothing.jpg", b"").expect(422);
    // In a form the others count all the same, and the page says which did not.
    let mixed = [("notes.txt", &b"some text"[..]), ("jaw2.jpg", &whole[..])];
    phone.upload(&check, None, &mixed).expect(303);
    assert_eq!(jaws(&state(&phone, &check)).len(), 2);
    let page = phone.get(&format!("/checks/{check}")).text();
    assert!(
        page.contains("notes.txt") && page.contains("not a photo"),
        "{page}"
    );
}

fn files(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().flatten();
    entries
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect()
}

fn all_files(folder: &Path) -> Vec<String> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.path().is_dir() {
            all.extend(
                all_files(&entry.path())
                    .into_iter()
                    .map(|f| format!("{name}/{f}")),
            );
        } else {
            all.push(name);
        }
    }
    all
}

#[test]
fn names_are_text_and_never_places() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    let names = [
        "../../../../evil.jpg",
        "..\\\\evil.jpg",
        "/etc/evil",
        "<script>evil()</script>.jpg",
    ];
    for (jaw, name) in (1..=3).zip(names) {
        phone
            .upload(&check, Some(jaw), &[(name, &heron(jaw))])
            .expect(303);
    }
    let more = "evil\u{202e}gpj.jpg";
    phone.photo(
        &check,
        4,
        more,
        &photo("singles/full-length-in-a-yellow-glove.jpg"),
    );
    phone
        .photo(
            &check,
            5,
            &format!("{}.jpg", "evil".repeat(2000)),
            &another(&heron(1), 7),
        )
        .expect(200);
    let page = phone.get(&format!("/checks/{check}")).expect(200).text();
    assert!(page.contains("evil") && !page.contains("<script>evil") && !page.contains('\u{202e}'));
    phone
        .form(&format!("/checks/{check}/file"), &[])
        .expect(303);
    let all = all_files(server.shop.path());
    assert!(all.iter().all(|f| !f.contains("evil")), "{all:?}");
    assert!(!Path::new("/etc/evil").exists());
}

pub(crate) fn set_id(phone: &Client) -> String {
    let sets = phone.get("/api/sets").json();
    sets[0]["jaw_set"]["id"].as_str().unwrap().to_owned()
}

#[test]
fn a_problem_goes_with_its_cause() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    let place = server.archive().join("archive.sqlite");
    let away = place.with_extension("away");
    fs::rename(&place, &away).unwrap();
    // Kept and read, but not answered: the set's history cannot be looked into.
    phone.photo(&check, 1, "jaw2.jpg", &heron(2)).expect(500);
    fs::rename(&away, &place).unwrap();
    // Nothing is sent again.
    let now = state(&phone, &check);
    assert_eq!(now["photos"][0]["state"], "read");
    assert_eq!(now["problem"], Value::Null);
    assert_eq!(now["report"]["check"]["action"], "recut");
}

#[test]
fn forms_that_are_none_are_refused() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    let path = format!("/checks/{check}/photos");
    let part =
        "--seam\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n";
    let unknown =
        "--seam\r\nContent-Disposition: form-data; name=\"other\"\r\n\r\n1\r\n--seam--\r\n";
    let long = format!(
        "--seam\r\nContent-Disposition: form-data; name=\"jaw\"\r\n\r\n{}\r\n--seam--\r\n",
        "1".repeat(5000)
    );
    let cases: [(&str, &str); 8] = [
        (KIND, ""),
        (KIND, "no parts"),
        (KIND, part),
        (KIND, "--seam\r\n\r\n\r\n--seam--\r\n"),
        (KIND, "--seam--\r\n"),
        (KIND, unknown),
        (KIND, &long),
        ("multipart/form-data", "--seam--\r\n"),
    ];
    for (kind, body) in cases {
        let answer = phone.send("POST", &path, &[("Content-Type", kind)], body.as_bytes());
        assert!(
            (400..500).contains(&answer.status),
            "{kind} {body}: {}",
            answer.status
        );
    }
    phone.send("POST", &path, &[("Content-Type", "text/plain")], b"x");
    assert_eq!(state(&phone, &check)["photos"], json!([]));
    wait_for("uploads that broke off are removed", || {
        files(&server.archive().join("under-way").join(&check)) == ["check.json"]
    });
    for bad in ["0", "13", "-1", "x", "999"] {
        let answer = phone.send(
            "POST",
            &format!("/api/checks/{check}/photos?jaw={bad}"),
            &[],
            &heron(1),
        );
        assert!(
            matches!(answer.status, 400 | 422),
            "{bad}: {}",
            answer.status
        );
    }
}
