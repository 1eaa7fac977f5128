//! How well the calls of an archive agree: figures counted here by hand, and whose calls are in them.

use std::path::Path;

use seepline::{Call, CallKind, CalledChange, FiledCall, Id, Item, Pattern};
use serde_json::{Value, json};
use tempfile::TempDir;

use super::keeping::{call, person};
use crate::support::bench::Bench;
use crate::support::program::{Ran, Run, contains, in_shop, lacks};
use crate::support::records::{at, shop};

/// A pattern with the change.
type Said = (Pattern, &'static str);

const TIP: Said = (Pattern::TipOnly, "-1thou");
const BASE: Said = (Pattern::BaseOnly, "+1thou");
const FULL: Said = (Pattern::FullLength, "0");
/// The pattern asks for more, the change takes off.
const TURNED: Said = (Pattern::BaseOnly, "-1thou");

/// Six checks, made up: what the lead ruled, what AB called, what CD called. The program reads tip-only in
/// all of them (`samples::check`), and no later cut proves anything.
const CALLED: [(Option<Said>, Said, Option<Said>); 6] = [
    (Some(TIP), TIP, Some(TIP)),
    (Some(TIP), BASE, Some(TIP)),
    (Some(BASE), BASE, Some(TIP)),
    (Some(FULL), FULL, Some(FULL)),
    (Some(BASE), TURNED, Some(BASE)),
    (None, FULL, None),
];

fn filed(kind: CallKind, check: Id, by: &str, minute: i8, (pattern, change): Said) -> FiledCall {
    let change: CalledChange = change.parse().unwrap();
    FiledCall {
        call: Call::new(pattern, change, person(by), at(minute)).unwrap(),
        ..call(kind, Item::Check(check), by, minute)
    }
}

/// An archive with the calls, and once more the fourth check by AB, in practice. JK is a lead.
fn called() -> TempDir {
    let mut shop = shop();
    let jk = person("JK");
    shop.archive
        .edit_person(&jk, at(1), |p| p.lead = true)
        .unwrap();
    let mut checks = Vec::new();
    for (number, (ruled, ab, cd)) in CALLED.into_iter().enumerate() {
        let check = shop.file(&[&[number as u8]]).check;
        let said = [
            (CallKind::Check, "AB", Some(ab)),
            (CallKind::Check, "CD", cd),
            (CallKind::Ruling, "JK", ruled),
        ];
        for (kind, by, said) in said {
            if let Some(said) = said {
                let call = filed(kind, check, by, 10 + number as i8, said);
                shop.archive.file_call(&call).unwrap();
            }
        }
        checks.push(check);
    }
    let again = filed(CallKind::Practice, checks[3], "AB", 30, FULL);
    shop.archive.file_call(&again).unwrap();
    shop.folder
}

fn people(archive: &Path, line: &str) -> Ran {
    in_shop(archive, &format!("people {line}"))
        .env("SEEPLINE_ARCHIVE", archive)
        .ran()
}

fn report(archive: &Path, line: &str) -> Value {
    people(archive, &format!("agreement --json {line}"))
        .success()
        .json()
}

fn count(share: &Value) -> [u64; 2] {
    ["count", "of"].map(|key| share[key].as_u64().unwrap())
}

fn readers(report: &Value) -> Vec<&str> {
    let all = report["readers"].as_array().unwrap().iter();
    all.map(|r| r["reader"].as_str().unwrap()).collect()
}

#[test]
fn two_people_and_the_program_are_counted_as_by_hand() {
    let archive = called();
    let report = report(archive.path(), "--by JK");
    assert_eq!(readers(&report), ["AB", "CD", "seepline"]);
    // Of the five checks that both called, the first, the fourth and the fifth have the same pattern.
    let same = CALLED
        .iter()
        .filter(|(_, ab, cd)| cd.is_some_and(|cd| cd.0 == ab.0));
    assert_eq!(same.count(), 3);
    let pair = &report["pairs"][0];
    assert_eq!(pair["readers"], json!(["AB", "CD"]));
    assert_eq!(count(&pair["compared"]["agreement"]), [3, 5]);
    let share = pair["compared"]["agreement"]["share"].as_f64().unwrap();
    assert!((share - 0.6).abs() < 1e-12, "{share}");
    // A change of taper was right in four checks by the lead, in the sixth by the program alone. AB went
    // the wrong way in the second by the pattern and in the fifth by the sign; CD in the third; the
    // program, which takes all for tip-only, in the third and the fifth, and the sixth is not its own judge.
    let wrong = |at: usize| count(&report["readers"][at]["against_right"]["wrong_way"]);
    assert_eq!([0, 1, 2].map(wrong), [[2, 5], [1, 4], [2, 4]]);
    // Right patterns: AB all but the second and the sixth, the fourth twice; CD all but the third; the
    // program the first two of the five that a lead ruled on.
    let effective = |at: usize| count(&report["readers"][at]["against_right"]["effectiveness"]);
    assert_eq!([0, 1, 2].map(effective), [[5, 7], [4, 5], [2, 5]]);
    let again = &report["readers"][0]["repeatability"];
    assert_eq!(count(&again["same"]), [1, 1]);
    let known =
        json!([{"rests_on": "leads-ruling", "photos": 5}, {"rests_on": "program", "photos": 1}]);
    assert_eq!(report["right"]["known"], known);
    let facts = report["facts"].to_string();
    assert!(facts.contains("11 at checks") && facts.contains("1 in practice"));
    assert!(facts.contains("partly remembering"), "{facts}");
}

#[test]
fn others_are_in_it_only_for_those_who_may_see_them() {
    let archive = called();
    let archive = archive.path();
    // Leads see others, unless it is set otherwise; nobody who asks is no lead.
    people(archive, "agreement")
        .code(2)
        .stdout("")
        .stderr(contains("--by WHO").and(contains("see-others everyone")));
    let own = report(archive, "--by ab");
    assert_eq!(readers(&own), ["AB", "seepline"]);
    let facts = own["facts"].to_string();
    for says in ["Left out: the calls of 1 other person", "see-others"] {
        assert!(facts.contains(says), "{facts}");
    }
    let told = people(archive, "agreement --by AB").success().out();
    assert!(
        !told.contains("CD") && !own.to_string().contains("\"CD\""),
        "{told}"
    );
    assert!(told.contains("Left out"), "{told}");
    people(archive, "see-others nobody").success();
    people(archive, "agreement --by JK").success().stdout(
        contains("no calls to show")
            .and(contains("2 other people"))
            .and(lacks("AB")),
    );
    people(archive, "see-others everyone").success();
    let all = report(archive, "");
    assert_eq!(readers(&all), ["AB", "CD", "seepline"]);
    assert!(!all["facts"].to_string().contains("Left out"));
}

#[test]
fn the_page_to_print_is_written_where_it_is_asked_for() {
    let archive = called();
    let page = archive.path().join("agreement.html");
    let line = format!("agreement --by JK --html {}", page.display());
    let told = people(archive.path(), &line).success().out();
    assert!(
        told.contains("AB and CD: opposite ways 2 of 5; the same 3 of 5, 60\u{a0}%"),
        "{told}"
    );
    let page = std::fs::read_to_string(page).unwrap();
    assert!(page.contains("<h1>Agreement of the calls in the archive</h1>"));
    assert!(page.contains("3 of 5, 60\u{a0}%"));
    people(
        archive.path(),
        "agreement --by JK --html /no/such/folder/a.html",
    )
    .code(2)
    .stdout("")
    .stderr(contains("could not be written"));
}

#[test]
fn an_archive_without_calls_says_so() {
    // As with the other verbs.
    Bench::bare().run("people agreement --by AB").code(2);
    let bench = Bench::new();
    for by in ["", " --by AB"] {
        bench
            .run(&format!("people agreement{by}"))
            .success()
            .stdout(contains("No calls are filed in this archive yet"));
    }
    let empty = bench.json("people agreement");
    assert_eq!(
        (&empty["readers"], &empty["photos"]),
        (&json!([]), &json!(0))
    );
}
