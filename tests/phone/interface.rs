//! `openapi.json` against the running server: every path and method is there, every answer has the shape
//! that is described, and nothing that is refused is undescribed.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::alone::file_of;
use super::client::{Answer, Client};
use super::hand_over::hand_over;
use super::samples::heron;
use super::schema::Schemas;
use super::server::Server;
use super::uploads::set_id;

/// The description, and what of it was seen.
struct Described {
    document: Value,
    seen: BTreeSet<(String, String)>,
}

impl Described {
    /// Checks an answer to a request for `path`, which is written as in the description.
    fn fits(&mut self, method: &str, path: &str, answer: &Answer) {
        let what = format!("{method} {path}: {}", answer.status);
        let operation = &self.document["paths"][path][method.to_lowercase()];
        let described = &operation["responses"][answer.status.to_string()];
        assert!(
            described.is_object(),
            "{what} is not described: {}",
            answer.text()
        );
        self.seen.insert((path.to_owned(), method.to_lowercase()));
        let Some(schema) = described["content"]["application/json"]["schema"].as_object() else {
            assert!(answer.body.is_empty(), "{what} has a body");
            return;
        };
        assert_eq!(
            answer.header("content-type"),
            Some("application/json"),
            "{what}"
        );
        self.valid(&Value::Object(schema.clone()), &answer.json(), &what);
    }

    fn valid(&self, schema: &Value, value: &Value, what: &str) {
        let faults = Schemas(&self.document).faults(schema, value);
        assert!(faults.is_empty(), "{what}: {faults:#?}");
    }

    fn operations(&self) -> BTreeSet<(String, String)> {
        let mut all = BTreeSet::new();
        for (path, methods) in self.document["paths"].as_object().unwrap() {
            let named = methods
                .as_object()
                .unwrap()
                .keys()
                .filter(|m| *m != "parameters");
            all.extend(named.map(|m| (path.clone(), m.clone())));
        }
        all
    }
}

fn described(phone: &Client) -> Described {
    let document = phone.get("/api/openapi.json").expect(200).json();
    assert_eq!(document["openapi"], "3.1.0");
    Described {
        document,
        seen: BTreeSet::new(),
    }
}

#[test]
fn the_description_is_what_the_server_does() {
    let server = Server::start();
    let phone = server.phone();
    let mut api = described(&phone);
    let sets = "/api/sets";
    api.fits("GET", "/api/openapi.json", &phone.get("/api/openapi.json"));
    let begin =
        json!({ "jaw_set": set_id(&phone), "tip": "up", "length": "1.25in", "taper": "3thou" });
    let begun = phone.json("POST", "/api/checks", &begin);
    api.fits("POST", "/api/checks", &begun);
    let id = begun.json()["id"].as_str().unwrap().to_owned();
    assert_eq!(
        begun.header("location"),
        Some(&*format!("/api/checks/{id}"))
    );
    let at = |rest: &str| format!("/api/checks/{id}{rest}");
    api.fits(
        "GET",
        "/api/checks/{id}/report",
        &phone.get(&at("/report")).expect(409),
    );
    let mut sha256 = String::new();
    for jaw in 1..=3 {
        let answer = phone
            .photo(&id, jaw, &format!("jaw{jaw}.jpg"), &heron(jaw))
            .expect(200);
        api.fits("POST", "/api/checks/{id}/photos", &answer);
        answer.json()["photos"][0]["sha256"]
            .as_str()
            .unwrap()
            .clone_into(&mut sha256);
    }
    api.fits(
        "POST",
        "/api/checks/{id}/photos",
        &phone.photo(&id, 4, "x", b"no photo").expect(422),
    );
    let photo = at(&format!("/photos/{sha256}"));
    for change in [
        json!({ "swap": true }),
        json!({ "tip": "up" }),
        json!({ "tip": null }),
    ] {
        api.fits(
            "PATCH",
            "/api/checks/{id}/photos/{sha256}",
            &phone.json("PATCH", &photo, &change).expect(200),
        );
        let schema = json!({ "$ref": "#/components/schemas/PhotoChange" });
        api.valid(&schema, &change, "a change");
    }
    api.fits("GET", "/api/checks/{id}", &phone.get(&at("")).expect(200));
    api.fits("GET", "/api/checks", &phone.get("/api/checks").expect(200));
    api.fits(
        "GET",
        "/api/checks/{id}/report",
        &phone.get(&at("/report")).expect(200),
    );
    let change = json!({ "taper": null, "compound": "blue", "pressure": "300psi" });
    api.fits(
        "PATCH",
        "/api/checks/{id}/settings",
        &phone.json("PATCH", &at("/settings"), &change).expect(200),
    );
    a_call(&mut api, &phone);
    from_a_phone(&mut api, &phone);
    let filed = phone.json("POST", &at("/file"), &json!({})).expect(200);
    api.fits("POST", "/api/checks/{id}/file", &filed);
    let check = filed.json()["filed"]["check"].as_str().unwrap().to_owned();
    api.fits(
        "GET",
        "/api/filed/{id}",
        &phone.get(&format!("/api/filed/{check}")).expect(200),
    );
    let done = json!({ "done": "took 2 thou off" });
    api.fits(
        "POST",
        "/api/filed/{id}/done",
        &phone
            .json("POST", &format!("/api/filed/{check}/done"), &done)
            .expect(200),
    );
    api.fits("GET", sets, &phone.get(sets).expect(200));
    api.fits(
        "GET",
        "/api/sets/{id}/history",
        &phone.get("/api/sets/heron/history").expect(200),
    );
    api.fits(
        "DELETE",
        "/api/checks/{id}/photos/{sha256}",
        &phone.delete(&photo).expect(200),
    );
    api.fits(
        "DELETE",
        "/api/checks/{id}",
        &phone.delete(&at("")).expect(204),
    );
    api.fits("GET", "/api/checks/{id}", &phone.get(&at("")).expect(404));
    assert_eq!(api.seen, api.operations(), "every operation was tried");
}

/// A check that a phone made alone.
fn from_a_phone(api: &mut Described, phone: &Client) {
    let sets = phone.get("/api/phone/sets").expect(200);
    api.fits("GET", "/api/phone/sets", &sets);
    let tar = file_of(&[super::alone::check(9, &[1])]);
    for (set, body, status) in [
        ("heron", &tar[..], 200),
        ("wren", &tar, 409),
        ("heron", b"no tar", 409),
    ] {
        let answer = hand_over(phone, set, body).expect(status);
        api.fits("POST", "/api/phone/checks", &answer);
    }
    for (body, status) in [(json!({ "schema": 1, "calls": [] }), 200), (json!([]), 422)] {
        let answer = phone.json("POST", "/api/phone/practice", &body);
        api.fits("POST", "/api/phone/practice", &answer.expect(status));
    }
}

/// Of another check, which is kept back before.
fn a_call(api: &mut Described, phone: &Client) {
    let begin = json!({ "by": "AB", "call_first": true });
    let begun = phone.json("POST", "/api/checks", &begin).expect(201);
    api.valid(
        &json!({ "$ref": "#/components/schemas/Settings" }),
        &begin,
        "settings",
    );
    let id = begun.json()["id"].as_str().unwrap().to_owned();
    phone.photo(&id, 1, "jaw1.jpg", &heron(1)).expect(200);
    let kept = phone.get(&format!("/api/checks/{id}"));
    api.fits("GET", "/api/checks/{id}", &kept);
    let report = phone.get(&format!("/api/checks/{id}/report")).expect(409);
    api.fits("GET", "/api/checks/{id}/report", &report);
    let given = |pattern: &str| json!({ "pattern": pattern, "change": "-1thou" });
    api.valid(
        &json!({ "$ref": "#/components/schemas/CallGiven" }),
        &given("tip-only"),
        "a call",
    );
    for (pattern, status) in [("tips", 422), ("tip-only", 200), ("tip-only", 409)] {
        let answer = phone.json("POST", &format!("/api/checks/{id}/call"), &given(pattern));
        api.fits("POST", "/api/checks/{id}/call", &answer.expect(status));
    }
}

#[test]
fn what_is_refused_is_described() {
    let server = Server::start();
    let (phone, stranger) = (server.phone(), server.stranger());
    let mut api = described(&phone);
    let zero = "0".repeat(32);
    let operations: Vec<(String, String)> = api.operations().into_iter().collect();
    for (path, method) in operations {
        let method = method.to_uppercase();
        let at = path
            .replace("{id}", &zero)
            .replace("{sha256}", &"0".repeat(64));
        let kind = ("Content-Type", "application/json");
        let host = [("Host", "evil.example"), kind];
        api.fits(
            &method,
            &path,
            &phone.send(&method, &at, &host, b"{}").expect(421),
        );
        // A wrong code counts as none, and strangers are held to a rate.
        let answer = stranger.send(&method, &at, &[kind], b"{}");
        assert!(
            matches!(answer.status, 401 | 429),
            "{path}: {}",
            answer.status
        );
        api.fits(&method, &path, &answer);
        if method != "GET" {
            let other = [("Origin", "http://evil.example"), kind];
            api.fits(
                &method,
                &path,
                &phone.send(&method, &at, &other, b"{}").expect(403),
            );
        }
        if at != path {
            let body = json!({ "swap": true, "done": "x" });
            let body = match path.as_str() {
                p if p.ends_with("/done") => json!({ "done": body["done"] }),
                p if p.ends_with("{sha256}") => json!({ "swap": true }),
                _ => json!({}),
            };
            api.fits(&method, &path, &phone.json(&method, &at, &body).expect(404));
        }
    }
}

#[test]
fn only_what_is_described_is_taken() {
    let server = Server::start();
    let phone = server.phone();
    let api = described(&phone);
    for given in [
        json!({ "taper": 3 }),
        json!({ "colour": "blue" }),
        json!([]),
        json!({ "taper": "3" }),
        json!({ "tip": "north" }),
    ] {
        phone.json("POST", "/api/checks", &given).expect(422);
    }
    let refused = phone
        .json("POST", "/api/checks", &json!({ "taper": "3" }))
        .json();
    api.valid(
        &json!({ "$ref": "#/components/schemas/Error" }),
        &refused,
        "an error",
    );
    assert!(
        refused["error"].as_str().unwrap().contains("3thou"),
        "{refused}"
    );
    phone
        .send(
            "POST",
            "/api/checks",
            &[("Content-Type", "text/plain")],
            b"{}",
        )
        .expect(415);
}
