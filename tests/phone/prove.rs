//! A prove-out on the page: begun and ended by a lead, its line under every answer, and what it keeps back.

use serde_json::{Value, json};

use super::client::Client;
use super::samples::heron;
use super::schema::Schemas;
use super::server::{Server, run};
use super::uploads::set_id;

fn check_of_heron(server: &Server) -> String {
    check_by(server, json!({ "tip": "up" }))
}

fn check_by(server: &Server, mut settings: Value) -> String {
    let phone = server.phone();
    settings["jaw_set"] = set_id(&phone).into();
    let check = server.begin(settings);
    for jaw in 1..=3 {
        phone
            .photo(&check, jaw, &format!("jaw{jaw}.jpg"), &heron(jaw))
            .expect(200);
    }
    check
}

fn begin(phone: &Client, fields: &[(&str, &str)], status: u16) -> String {
    phone.form("/prove-out/begin", fields).expect(status).text()
}

const HELD: [(&str, &str); 3] = [("by", "JK"), ("checks", "3"), ("change", "held")];
const LINE: &str = "Not proven in this shop: 0 of 3 checks so far, 0 right, 0 the wrong way.";

/// Every page and answer about the check.
fn all_of(phone: &Client, check: &str, more: &[String]) -> Vec<(String, String)> {
    let mut paths = vec![
        format!("/checks/{check}"),
        format!("/api/checks/{check}"),
        format!("/api/checks/{check}/report"),
        "/prove-out".to_owned(),
    ];
    paths.extend_from_slice(more);
    let ask = |path: String| (path.clone(), phone.get(&path).expect(200).text());
    paths.into_iter().map(ask).collect()
}

/// The change and the next taper, as pages and JSON state them.
fn amounts(report: &Value) -> Vec<String> {
    let thou = |key: &str| report["check"][key]["per_side_thou"].as_f64().unwrap();
    let change = format!("{:.1}", thou("taper_change"));
    let next = format!("{:.1}", thou("next_taper"));
    vec![
        format!("{change} thou"),
        format!("{} thou", change.replace('-', "−")),
        format!("<dd>{}</dd>", change.replace('-', "−")),
        format!(
            "\"per_side_thou\":{}",
            report["check"]["taper_change"]["per_side_thou"]
        ),
        format!(
            "\"per_side_thou\":{}",
            report["check"]["next_taper"]["per_side_thou"]
        ),
        format!("\"change\":\"{change}"),
        format!("{next} thou per side"),
    ]
}

#[test]
fn a_lead_begins_it_and_what_is_kept_back_is_on_no_page() {
    let server = Server::start();
    let phone = server.phone();
    let check = check_of_heron(&server);
    let report = phone.get(&format!("/api/checks/{check}/report")).json();
    let amounts = amounts(&report);
    let says = |text: &str| amounts.iter().find(|a| text.contains(a.as_str())).cloned();
    assert!(says(&report.to_string()).is_some());
    // Nobody who is no lead, and nothing that is no plan.
    assert!(begin(&phone, &HELD, 409).contains("is no lead"));
    run(server.shop.path(), "people lead JK on", 0);
    for wrong in [
        [("by", "JK"), ("checks", "0"), ("change", "held")],
        [("by", "JK"), ("checks", "many"), ("change", "held")],
        [("by", "no initials"), ("checks", "3"), ("change", "held")],
        [("by", "JK"), ("checks", "3"), ("change", "perhaps")],
    ] {
        begin(&phone, &wrong, 422);
    }
    begin(&phone, &HELD, 303);
    assert!(begin(&phone, &HELD, 409).contains("goes on"));
    // The answer was formed before it was begun, and is held all the same.
    for (path, text) in all_of(&phone, &check, &[]) {
        assert!(text.contains(LINE), "{path}: {text}");
        assert_eq!(says(&text), None, "{path}: {text}");
    }
    let file = format!("/api/checks/{check}/file");
    let filed = phone.json("POST", &file, &json!({})).expect(200).json();
    let filed = filed["filed"]["check"].as_str().unwrap().to_owned();
    let set = set_id(&phone);
    let more = [
        format!("/filed/{filed}"),
        format!("/api/filed/{filed}"),
        format!("/sets/{set}"),
        format!("/api/sets/{set}/history"),
    ];
    for (path, text) in all_of(&phone, &check, &more) {
        assert!(text.contains(LINE), "{path}: {text}");
        assert_eq!(says(&text), None, "{path}: {text}");
    }
    let plot = phone
        .get(&format!("/sets/{set}/history.svg"))
        .expect(200)
        .text();
    assert_eq!(says(&plot), None, "{plot}");
    fits(&phone, &check, &filed, &set);
    // The page that reads by itself knows nothing of it, and would say all.
    for path in ["/phone/", "/phone/index.html"] {
        let refused = phone.get(path).expect(409).text();
        assert!(refused.contains("kept back"), "{path}: {refused}");
    }
    // Ended too early it stays unproven, and kept back.
    phone.form("/prove-out/end", &[("by", "JK")]).expect(303);
    phone.form("/prove-out/end", &[("by", "JK")]).expect(409);
    let page = phone.get("/prove-out").text();
    assert!(
        page.contains("ended after 0 of 3 checks") && page.contains("Begin one"),
        "{page}"
    );
    let answer = phone.get(&format!("/checks/{check}")).text();
    assert!(
        answer.contains("ended after 0 of 3 checks") && says(&answer).is_none(),
        "{answer}"
    );
}

/// Described as they are.
fn fits(phone: &Client, check: &str, filed: &str, set: &str) {
    let document = phone.get("/api/openapi.json").json();
    for (schema, path) in [
        ("Check", format!("/api/checks/{check}")),
        ("Report", format!("/api/checks/{check}/report")),
        ("FiledCheck", format!("/api/filed/{filed}")),
        ("History", format!("/api/sets/{set}/history")),
    ] {
        let schema = json!({ "$ref": format!("#/components/schemas/{schema}") });
        let value = phone.get(&path).json();
        let faults = Schemas(&document).faults(&schema, &value);
        assert!(faults.is_empty(), "{path}: {faults:#?}");
        assert!(
            value["proof"].is_object() || value["report"]["proof"].is_object(),
            "{path}"
        );
    }
}

/// A check that is not filed is said once the program is proven, or a prove-out begun that says.
#[test]
fn what_was_kept_back_is_said_once_it_may_be() {
    let server = Server::start();
    let phone = server.phone();
    run(server.shop.path(), "people lead JK on", 0);
    begin(&phone, &HELD, 303);
    let check = check_of_heron(&server);
    let action =
        || phone.get(&format!("/api/checks/{check}/report")).json()["check"]["action"].clone();
    assert_eq!(action(), json!("held"));
    phone.form("/prove-out/end", &[("by", "JK")]).expect(303);
    assert_eq!(action(), json!("held"));
    begin(
        &phone,
        &[("by", "JK"), ("checks", "20"), ("change", "said")],
        303,
    );
    assert_eq!(action(), json!("recut"));
    let page = phone.get(&format!("/checks/{check}")).text();
    assert!(page.contains("0 of 20 checks so far"), "{page}");
}

/// The call beside the answer was formed while that was said.
#[test]
fn what_is_kept_back_leaves_the_call_beside_it_too() {
    let server = Server::start();
    let phone = server.phone();
    let settings = json!({ "tip": "up", "by": "AB", "call_first": true });
    let check = check_by(&server, settings);
    let called = json!({ "pattern": "base-only", "change": "+9thou" });
    let call = format!("/api/checks/{check}/call");
    phone.json("POST", &call, &called).expect(200);
    let report = phone.get(&format!("/api/checks/{check}/report")).json();
    let amounts = amounts(&report);
    let says = |text: &str| amounts.iter().find(|a| text.contains(a.as_str())).cloned();
    let outcome = &report["call"]["comparison"]["outcome"];
    assert_eq!(outcome, "wrong-way", "{report}");
    run(server.shop.path(), "people lead JK on", 0);
    begin(&phone, &HELD, 303);
    for (path, text) in all_of(&phone, &check, &[]) {
        assert_eq!(says(&text), None, "{path}: {text}");
    }
    let report = phone.get(&format!("/api/checks/{check}/report")).json();
    assert!(report["call"]["comparison"].is_null(), "{report}");
    assert_eq!(report["call"]["pattern"], "base-only");
}
