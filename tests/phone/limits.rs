//! Too much, too slow, too many: refused by name, and nothing is left of it.

use std::io::{Read, Write};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use super::client::finish;
use super::samples::{another, heron};
use super::server::Server;
use crate::support::program::wait_for;

fn left(server: &Server, check: &str) -> usize {
    std::fs::read_dir(server.archive().join("under-way").join(check))
        .unwrap()
        .count()
}

#[test]
fn a_photo_beyond_the_largest_is_cut_off() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    // One byte more than `read` takes: 128 MiB.
    let length = (128 << 20) + 1;
    let head = phone.head("POST", &format!("/api/checks/{check}/photos"), &[], length);
    let mut stream = phone.connect();
    stream.write_all(head.as_bytes()).unwrap();
    let block = vec![0xff; 1 << 20];
    let mut sent = 0;
    while sent < length {
        let now = block.len().min(length - sent);
        if stream.write_all(&block[..now]).is_err() {
            break;
        }
        sent += now;
    }
    let answer = finish(stream).expect("an answer").expect(413);
    assert!(answer.text().contains("128 MB"), "{}", answer.text());
    wait_for("nothing is left of it", || left(&server, &check) == 1);
}

/// Requests after which photos are read again.
fn after_reading(check: &str) -> Vec<(&'static str, String, &'static str)> {
    let photo = format!("photos/{}", "0".repeat(64));
    let form = "application/x-www-form-urlencoded";
    let mut all: Vec<_> = [
        "settings",
        &format!("{photo}/tip"),
        &format!("{photo}/corners"),
    ]
    .map(|of| ("POST", format!("/checks/{check}/{of}"), form))
    .into();
    for of in ["settings", &photo] {
        all.push((
            "PATCH",
            format!("/api/checks/{check}/{of}"),
            "application/json",
        ));
    }
    all
}

#[test]
fn a_form_beyond_its_limit_is_refused() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    // One byte more than 64 KiB.
    let body = vec![b' '; (64 << 10) + 1];
    for (method, path, kind) in after_reading(&check) {
        let answer = phone.send(method, &path, &[("Content-Type", kind)], &body);
        assert!(answer.expect(413).text().contains("send less"), "{path}");
    }
}

/// The server lets nobody take longer than half a minute for so little; a machine under load may be late to it.
const FOR_EVER: Duration = Duration::from_mins(2);

#[test]
fn whoever_is_too_slow_is_cut_off() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    let path = format!("/api/checks/{check}/photos");
    thread::scope(|scope| {
        // Stops in the middle of a photo.
        scope.spawn(|| {
            let mut stream = phone.connect();
            stream
                .write_all(phone.head("POST", &path, &[], 100_000).as_bytes())
                .unwrap();
            stream.write_all(&heron(1)[..10_000]).unwrap();
            let answer = finish(stream).expect("an answer").expect(408);
            assert!(answer.text().contains("too slowly"), "{}", answer.text());
        });
        // Never ends its head.
        scope.spawn(|| {
            let mut stream = phone.connect();
            stream.write_all(b"GET / HTTP/1.1\r\nHost: ").unwrap();
            let started = Instant::now();
            let mut rest = Vec::new();
            let _ = stream.read_to_end(&mut rest);
            assert!(started.elapsed() < FOR_EVER);
        });
        // Drips: a byte now and then, longer than any pause allowed.
        scope.spawn(|| {
            let mut stream = phone.connect();
            stream
                .write_all(phone.head("POST", &path, &[], 100_000).as_bytes())
                .unwrap();
            let started = Instant::now();
            while started.elapsed() < FOR_EVER && stream.write_all(b"\xff").is_ok() {
                thread::sleep(Duration::from_secs(1));
            }
            assert!(started.elapsed() < FOR_EVER, "a drip of bytes lasts");
        });
        // Begins what is sent after a photo was read, and stops: each holds a connection.
        for (method, path, kind) in after_reading(&check) {
            let phone = &phone;
            scope.spawn(move || {
                let mut stream = phone.connect();
                let head = phone.head(method, &path, &[("Content-Type", kind)], 100);
                stream.write_all((head + "tip=").as_bytes()).unwrap();
                let started = Instant::now();
                let answer = finish(stream).unwrap_or_else(|| panic!("no answer: {path}"));
                assert!(
                    answer.expect(408).text().contains("too slowly")
                        && started.elapsed() < FOR_EVER,
                    "{path}"
                );
            });
        }
        // Meanwhile the others are served.
        let other = server.begin(json!({ "tip": "up" }));
        server
            .phone()
            .photo(&other, 1, "jaw1.jpg", &heron(1))
            .expect(200);
    });
    wait_for("nothing is left of it", || left(&server, &check) == 1);
    assert_eq!(
        phone.get(&format!("/api/checks/{check}")).json()["photos"],
        json!([])
    );
}

#[test]
fn a_phone_that_goes_away_in_the_middle_changes_nothing() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    let path = format!("/api/checks/{check}/photos");
    phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
    let before = phone.get(&format!("/api/checks/{check}")).json();
    let bytes = another(&heron(1), 5);
    let mut stream = phone.connect();
    stream
        .write_all(
            phone
                .head("POST", &(path.clone() + "?jaw=1"), &[], bytes.len())
                .as_bytes(),
        )
        .unwrap();
    stream.write_all(&bytes[..bytes.len() / 2]).unwrap();
    drop(stream);
    wait_for("nothing is left of it", || left(&server, &check) == 2);
    assert_eq!(phone.get(&format!("/api/checks/{check}")).json(), before);
    // One that goes away while its photo is read finds it read.
    let mut stream = phone.connect();
    stream
        .write_all(
            phone
                .head("POST", &(path + "?jaw=2"), &[], bytes.len())
                .as_bytes(),
        )
        .unwrap();
    stream.write_all(&bytes).unwrap();
    stream.flush().unwrap();
    wait_for("the photo arrived", || {
        let state = phone.get(&format!("/api/checks/{check}")).json();
        state["photos"].as_array().unwrap().len() == 2
    });
    drop(stream);
    wait_for("the photo is read", || {
        let state = phone.get(&format!("/api/checks/{check}")).json();
        state["photos"][1]["state"] == "read" && !state["report"].is_null()
    });
    // So do all that are read again for another method, one after the other.
    phone.photo(&check, 3, "jaw3.jpg", &heron(3)).expect(200);
    let change = json!({ "method": "transfer" }).to_string();
    let head = phone.head(
        "PATCH",
        &format!("/api/checks/{check}/settings"),
        &[("Content-Type", "application/json")],
        change.len(),
    );
    let mut stream = phone.connect();
    stream.write_all((head + &change).as_bytes()).unwrap();
    let state = || phone.get(&format!("/api/checks/{check}")).json();
    let states = || -> Vec<String> {
        let state = state();
        let photos = state["photos"].as_array().unwrap().iter();
        photos
            .map(|p| p["state"].as_str().unwrap().into())
            .collect()
    };
    wait_for("the change arrived", || {
        state()["settings"]["method"] == "transfer"
    });
    drop(stream);
    wait_for("all are read again", || states() == ["read"; 3]);
    phone
        .get(&format!("/api/checks/{check}/report"))
        .expect(200);
}

/// Far more than may wait: 24 and one for each core.
const AT_ONCE: u32 = 90;

#[test]
fn beyond_the_queue_the_answer_is_busy_and_nothing_grows() {
    let server = Server::start();
    let checks: Vec<String> = (0..10)
        .map(|_| server.begin(json!({ "tip": "up" })))
        .collect();
    let statuses: Vec<(u16, bool)> = thread::scope(|scope| {
        let send = |n: u32| {
            let (phone, check) = (server.phone(), checks[(n % 10) as usize].clone());
            let bytes = another(&heron(1), n);
            scope.spawn(move || {
                let answer = phone.photo(&check, (n / 10 + 1) as u8, "jaw.jpg", &bytes);
                (answer.status, answer.header("retry-after").is_some())
            })
        };
        let all: Vec<_> = (0..AT_ONCE).map(send).collect();
        all.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let count = |status: u16| statuses.iter().filter(|(s, _)| *s == status).count();
    assert_eq!(count(200) + count(503), AT_ONCE as usize, "{statuses:?}");
    assert!(count(503) > 0 && count(200) >= 24, "{statuses:?}");
    assert!(
        statuses.iter().all(|(s, retry)| (*s == 503) == *retry),
        "{statuses:?}"
    );
    // What was refused can be sent again, and what was read is there.
    let read: usize = checks
        .iter()
        .map(|c| {
            let state = server.phone().get(&format!("/api/checks/{c}")).json();
            state["photos"].as_array().unwrap().len()
        })
        .sum();
    assert_eq!(read, count(200));
}

#[test]
fn a_check_has_a_limit() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    for jaw in 1..=12 {
        phone
            .photo(&check, jaw, "jaw.jpg", &another(&heron(1), jaw.into()))
            .expect(200);
    }
    let more = another(&heron(1), 13);
    let answer = phone
        .send("POST", &format!("/api/checks/{check}/photos"), &[], &more)
        .expect(409);
    assert!(answer.text().contains("at most 12"), "{}", answer.text());
}
