//! What a request passes on its way in, and a response on its way out.

use serde_json::json;

use super::client::{Client, KIND, multipart};
use super::samples::heron;
use super::server::Server;

const JSON: (&str, &str) = ("Content-Type", "application/json");

#[test]
fn a_name_that_was_made_to_point_here_gets_nothing() {
    let server = Server::start();
    let phone = server.phone();
    for host in [
        "evil.example",
        "evil.example:7337",
        "127.0.0.1",
        "127.0.0.1:1",
        "0.0.0.0",
    ] {
        let answer = phone.send("GET", "/", &[("Host", host)], b"").expect(421);
        assert!(!answer.text().contains("heron"));
        // What a proxy claims counts for nothing.
        let claims = [("Host", host), ("X-Forwarded-Host", &phone.host())];
        phone.send("GET", "/", &claims, b"").expect(421);
        server
            .stranger()
            .send(
                "GET",
                &format!("/pair?key={}", server.key),
                &[("Host", host)],
                b"",
            )
            .expect(421);
    }
    let localhost = format!("localhost:{}", phone.address.port());
    phone
        .send("GET", "/", &[("Host", &localhost)], b"")
        .expect(200);
    // A request line may name a host as well.
    let head = format!(
        "GET http://evil.example/ HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
        phone.host()
    );
    assert_eq!(phone.raw(head.as_bytes()).unwrap().status, 421);
    let without = phone
        .raw(b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n")
        .unwrap();
    assert!(matches!(without.status, 400 | 421), "{}", without.status);
}

#[test]
fn a_page_of_another_site_changes_nothing() {
    let server = Server::start();
    let phone = server.phone();
    let check = server.begin(json!({}));
    let body = multipart(Some(1), &[("jaw1.jpg", &heron(1))]);
    let photos = format!("/checks/{check}/photos");
    let others: [&[(&str, &str)]; 5] = [
        &[("Origin", "http://evil.example")],
        &[("Origin", "null")],
        &[("Origin", "")],
        &[("Sec-Fetch-Site", "cross-site")],
        &[("Sec-Fetch-Site", "same-site")],
    ];
    for other in others {
        let with = |kind: (&'static str, &'static str)| [&[kind], other].concat();
        phone
            .send("POST", &photos, &with(("Content-Type", KIND)), &body)
            .expect(403);
        phone
            .send(
                "POST",
                "/checks",
                &with(("Content-Type", "application/x-www-form-urlencoded")),
                b"",
            )
            .expect(403);
        phone
            .send("POST", "/api/checks", &with(JSON), b"{}")
            .expect(403);
        phone
            .send("DELETE", &format!("/api/checks/{check}"), &with(JSON), b"")
            .expect(403);
    }
    let state = phone.get(&format!("/api/checks/{check}")).json();
    assert_eq!(state["photos"], json!([]));
    assert_eq!(phone.get("/api/checks").json().as_array().unwrap().len(), 1);
    // A program that shows the code is no page of any site.
    let bearer = format!("Bearer {}", server.key);
    let program = [("Origin", ""), ("Authorization", &bearer), JSON];
    server
        .stranger()
        .send("POST", "/api/checks", &program, b"{}")
        .expect(201);
}

fn protected(answer: &super::client::Answer, what: &str) {
    let has = |name: &str, value: &str| {
        let given = answer
            .header(name)
            .unwrap_or_else(|| panic!("{what}: no {name}"));
        assert!(given.contains(value), "{what}: {name}: {given}");
    };
    has("x-content-type-options", "nosniff");
    has("x-frame-options", "DENY");
    has("referrer-policy", "same-origin");
    has("cross-origin-resource-policy", "same-origin");
    for part in [
        "default-src 'none'",
        "frame-ancestors 'none'",
        "script-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
    ] {
        has("content-security-policy", part);
    }
    assert!(
        !answer
            .header("content-security-policy")
            .unwrap()
            .contains("unsafe")
    );
    assert!(answer.header("access-control-allow-origin").is_none());
    let script = what.contains("page.js");
    has("cache-control", if script { "private" } else { "no-store" });
}

#[test]
fn every_response_is_protected() {
    let server = Server::start();
    let phone = server.phone();
    let (check, state) = server.with_jaw_1();
    let picture = state["photos"][0]["picture"].as_str().unwrap().to_owned();
    let pages = [
        "/",
        "/page.js",
        &format!("/checks/{check}"),
        &picture,
        "/sets/heron",
        "/sets/heron/history.svg",
        "/api/sets",
        "/api/openapi.json",
        &format!("/api/checks/{check}/report"),
        "/nothing",
        "/api/nothing",
        "/checks/0",
    ];
    for path in pages {
        protected(&phone.get(path), path);
        protected(
            &server.stranger().get(path),
            &format!("{path}, not paired").replace("page.js", ""),
        );
    }
    let refused: [(&str, super::client::Answer, u16); 5] = [
        (
            "another site",
            phone.send("POST", "/checks", &[("Origin", "http://evil.example")], b""),
            403,
        ),
        (
            "another host",
            phone.send("GET", "/", &[("Host", "evil.example")], b""),
            421,
        ),
        ("another way", phone.send("PUT", "/", &[], b""), 405),
        (
            "broken JSON",
            phone.send("POST", "/api/checks", &[JSON], b"{"),
            400,
        ),
        (
            "too much",
            phone.send("POST", "/api/checks", &[JSON], &vec![b' '; 70_000]),
            413,
        ),
    ];
    for (what, answer, status) in refused {
        assert_eq!(answer.status, status, "{what}: {}", answer.text());
        protected(&answer, what);
    }
}

#[test]
fn whoever_asks_too_often_waits() {
    let server = Server::start();
    let stranger: Client = server.stranger();
    let answers: Vec<_> = (0..60).map(|_| stranger.get("/pair?key=0")).collect();
    let refused = answers.iter().find(|a| a.status == 429).expect("a limit");
    assert_eq!(refused.header("retry-after"), Some("5"));
    assert_eq!(answers[0].status, 401);
    // Whoever is paired is not held up by it.
    server.phone().get("/").expect(200);
}
