//! Connections that are held open, and requests that are none: real phones are served all the same.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::json;

use super::client::Client;
use super::samples::heron;
use super::server::Server;
use crate::support::program::wait_for;

/// More than the server takes at once, which is 128.
const HELD: usize = 200;

/// Opened and left so: nothing said, half a head, half a photo of a paired phone, in turn.
fn held(phone: &Client, path: &str, number: usize) -> TcpStream {
    let mut stream = phone.connect();
    let said: Vec<u8> = match number % 3 {
        0 => Vec::new(),
        1 => b"GET / HTTP/1.1\r\nHost: ".to_vec(),
        _ => {
            let head = phone.head("POST", path, &[], 100_000);
            [head.as_bytes(), &heron(1)[..10_000]].concat()
        }
    };
    // What the server does not take yet waits in the system's queue.
    stream.write_all(&said).unwrap();
    stream
}

/// Peak of the process's memory, in MB; Linux alone tells.
fn peak_mb(pid: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? / 1024)
}

#[test]
fn with_200_connections_held_open_a_phone_is_served() {
    let server = Server::start();
    let phone = server.phone();
    let other = server.begin(json!({}));
    let check = server.begin(json!({ "tip": "up" }));
    let before = peak_mb(server.child.id());
    let path = format!("/api/checks/{other}/photos");
    let all: Vec<TcpStream> = (0..HELD).map(|n| held(&phone, &path, n)).collect();

    let started = Instant::now();
    phone.get("/").expect(200);
    let page = started.elapsed();
    phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
    let photo = started.elapsed().saturating_sub(page);
    // 10 s for a head, 15 s for a pause in a photo, and the machine may have other things to do.
    assert!(page < Duration::from_mins(2), "{page:?}");

    // All are let go of, and nothing is left of what they sent.
    for mut stream in all {
        let _ = stream.read_to_end(&mut Vec::new());
        assert!(started.elapsed() < Duration::from_mins(4), "held for ever");
    }
    let held_for = started.elapsed();
    let folder = server.archive().join("under-way").join(&other);
    wait_for("nothing is left of half photos", || {
        std::fs::read_dir(&folder).unwrap().count() == 1
    });
    let state = phone.get(&format!("/api/checks/{check}")).json();
    assert_eq!(state["photos"].as_array().unwrap().len(), 1);
    let after = peak_mb(server.child.id());
    println!(
        "{HELD} held: first page after {page:?}, a photo read in {photo:?}, all let go of after \
         {held_for:?}; peak of memory {before:?} MB before, {after:?} MB after"
    );
}

#[test]
fn requests_that_are_none_are_refused_and_the_next_is_served() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({ "tip": "up" }));
    phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
    let path = format!("/api/checks/{check}");
    let before = phone.get(&path).json();
    let host = phone.host();
    let cookie = phone.cookie.clone().unwrap();
    let with = |line: &str, more: &str| {
        format!("{line}\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n{more}\r\n")
    };
    let upload = format!("POST {path}/photos HTTP/1.1");
    let origin = format!("Origin: http://{host}\r\n");
    // Heads may take 32 kB, and what was read beyond that in the same step.
    let long = "x".repeat(100_000);
    let cases: Vec<Vec<u8>> = [
        "\0\0\0\0\r\n\r\n".to_owned(),
        "\u{16}\u{3}\u{1}\u{2}\0\u{1}\0\u{1}\u{fc}\u{3}\u{3}".to_owned() + "\r\n\r\n",
        "GET\r\n\r\n".to_owned(),
        "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_owned(),
        with("GET / HTTP/9.9", ""),
        with("BREW / HTTP/1.1", ""),
        with("GET /../../etc/passwd HTTP/1.1", ""),
        with("GET /%00%ff%2e%2e HTTP/1.1", ""),
        with(&format!("GET /{long} HTTP/1.1"), ""),
        with("GET / HTTP/1.1", &format!("X-Long: {long}\r\n")),
        with("GET / HTTP/1.1", &"X: y\r\n".repeat(2000)),
        with("GET / HTTP/1.1", "no colon\r\n"),
        with("GET / HTTP/1.1", "Host: evil.example\r\n"),
        with(&upload, &format!("{origin}Content-Length: -1\r\n")),
        with(
            &upload,
            &format!("{origin}Content-Length: 99999999999999999999\r\n"),
        ),
        with(
            &upload,
            &format!("{origin}Content-Length: 5\r\nContent-Length: 6\r\n"),
        ),
        with(
            &upload,
            &format!("{origin}Content-Length: 5\r\nTransfer-Encoding: chunked\r\n"),
        ) + "zz\r\nhello\r\n0\r\n\r\n",
        with(&upload, &format!("{origin}Transfer-Encoding: chunked\r\n"))
            + "ffffffffffffffff\r\nhello\r\n",
        with(&upload, &format!("{origin}Transfer-Encoding: gzip\r\n")) + "hello",
        with(&upload, &format!("{origin}Expect: a miracle\r\n")),
    ]
    .into_iter()
    .map(String::into_bytes)
    .collect();
    let mut statuses = Vec::new();
    for case in &cases {
        let answer = phone.raw(case);
        let shown = String::from_utf8_lossy(&case[..case.len().min(60)]);
        // No answer, closed, is a refusal too.
        let status = answer.map_or(0, |a| a.status);
        assert!(
            status == 0 || (400..600).contains(&status),
            "{shown}: {status}"
        );
        assert_ne!(status, 500, "{shown}");
        assert_eq!(phone.get(&path).expect(200).json(), before, "{shown}");
        statuses.push(status);
    }
    println!("{} requests that are none: {statuses:?}", cases.len());
}
