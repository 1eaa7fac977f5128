//! Answers of practice that were given on a phone alone, into an archive: each once, trusted no further than a form, and without what
//! the program read where that is kept back. `browser/practice.rs` gives them on the page.

use std::fs;
use std::path::Path;

use seepline::archive::Archive;
use seepline::{CallKind, FiledCall, Person};
use serde_json::{Value, json};
use tempfile::TempDir;

use super::alone::{check, file_of, filed};
use super::server::{Server, add_heron, run};

/// As the page keeps it: the sixteen bytes of the id are the number.
fn answer(number: u8) -> Value {
    let change = json!({ "low": "-63.5um", "median": "-50.8um", "high": "-38.1um" });
    json!({
        "id": format!("{number:02x}").repeat(16),
        "kind": "practice",
        "item": { "photo": format!("{number:02x}").repeat(32) },
        "session": "0b".repeat(16),
        "pattern": "tip-only", "change": "-25.4um", "by": "AB", "at": "2026-03-04T10:11:12",
        "revealed": "2026-03-04T10:11:13",
        "told": {
            "truth": { "pattern": "tip-only", "change": change, "by": "table" },
            "program": { "pattern": "tip-only", "change": change },
        },
        "changed": "2026-03-04T10:11:13",
    })
}

fn answers(of: &[Value]) -> String {
    json!({ "schema": 1, "calls": of }).to_string()
}

fn part(text: &str) -> Vec<(String, Vec<u8>)> {
    vec![("practice/calls.json".to_owned(), text.as_bytes().to_vec())]
}

fn shop_with(file: &[u8]) -> TempDir {
    let shop = tempfile::tempdir().unwrap();
    add_heron(shop.path());
    fs::write(shop.path().join("practice.tar"), file).unwrap();
    shop
}

fn calls(shop: &Path) -> Vec<FiledCall> {
    let archive = Archive::open(&shop.join("archive")).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    archive.calls_by(&Person::parse("AB").unwrap()).unwrap()
}

#[test]
fn answers_are_filed_once_as_calls_of_practice_beside_the_checks_of_the_file() {
    let all = [check(30, &[1]), part(&answers(&[answer(1), answer(2)]))];
    let shop = shop_with(&file_of(&all));
    let import = |line: &str| {
        let said = run(shop.path(), line, 0).stdout;
        String::from_utf8_lossy(&said).replace('\n', " ")
    };
    let said = import("import phone heron practice.tar");
    assert!(
        said.contains("Answers of practice: 2 filed, 0 filed already."),
        "{said}"
    );
    let said = import("import phone heron practice.tar");
    assert!(
        said.contains("Answers of practice: 0 filed, 2 filed already."),
        "{said}"
    );
    assert_eq!(filed(shop.path()), 1);
    let kept = calls(shop.path());
    assert_eq!(kept.len(), 2);
    for (call, given) in kept.iter().zip([answer(1), answer(2)]) {
        assert_eq!(call.kind, CallKind::Practice);
        assert_eq!(serde_json::to_value(call).unwrap(), given);
    }
    // The command counts them in its boxes: they are its own person's.
    assert!(
        kept.iter()
            .all(|call| call.session.is_some() && call.told.is_some())
    );
    // With answers alone no jaw set is named, and those that are new are taken beside the others.
    fs::write(
        shop.path().join("practice.tar"),
        file_of(&[part(&answers(&[answer(2), answer(3)]))]),
    )
    .unwrap();
    let said = import("import phone practice.tar --json");
    let said: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(said["practice"], json!({ "filed": 1, "there": 1 }));
    assert_eq!(calls(shop.path()).len(), 3);
}

#[test]
fn an_answer_that_no_page_writes_keeps_none_of_the_others_out() {
    let mut ruling = answer(4);
    ruling["kind"] = "ruling".into();
    let mut by_outcome = answer(5);
    by_outcome["told"]["truth"]["by"] = "outcome".into();
    let shop = shop_with(&file_of(&[part(&answers(&[
        ruling,
        answer(6),
        by_outcome,
    ]))]));
    let output = run(shop.path(), "import phone practice.tar", 2);
    let said = String::from_utf8_lossy(&output.stderr).replace('\n', " ");
    assert_eq!(
        said.matches("an answer of practice was not taken").count(),
        2,
        "{said}"
    );
    assert_eq!(calls(shop.path()).len(), 1);
    for text in ["{", "[]", &answers(&[]).replace(":1", ":2")] {
        fs::write(shop.path().join("practice.tar"), file_of(&[part(text)])).unwrap();
        let said = run(shop.path(), "import phone practice.tar", 2).stderr;
        assert!(
            String::from_utf8_lossy(&said).contains("no answers of practice"),
            "{text}"
        );
    }
}

#[test]
fn what_the_program_read_is_not_filed_where_changes_are_kept_back() {
    let shop = shop_with(&file_of(&[part(&answers(&[answer(7)]))]));
    run(shop.path(), "people lead JK on", 0);
    run(shop.path(), "prove-out begin --by JK --hold", 0);
    run(shop.path(), "import phone practice.tar", 0);
    let told = calls(shop.path())[0].told.unwrap();
    assert_eq!(told.program, None);
    assert!(told.truth.change.is_some());
}

#[test]
fn a_server_takes_answers_once_and_from_paired_phones_alone() {
    let server = Server::start();
    let (phone, shop) = (server.phone(), server.shop.path());
    let given: Value = serde_json::from_str(&answers(&[answer(8), answer(9)])).unwrap();
    let send = |status: u16| {
        phone
            .json("POST", "/api/phone/practice", &given)
            .expect(status)
    };
    assert_eq!(
        send(200).json()["practice"],
        json!({ "filed": 2, "there": 0 })
    );
    assert_eq!(
        send(200).json()["practice"],
        json!({ "filed": 0, "there": 2 })
    );
    assert_eq!(calls(shop).len(), 2);
    phone
        .json("POST", "/api/phone/practice", &json!([]))
        .expect(422);
    server
        .stranger()
        .json("POST", "/api/phone/practice", &given)
        .expect(401);
    run(shop, "people lead JK on", 0);
    run(shop, "prove-out begin --by JK --hold", 0);
    assert!(send(409).text().contains("kept back"));
}
