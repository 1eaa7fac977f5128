//! A person's record: their own, others', handed over, erased.

use std::time::Duration;

use seepline::{CallKind, Item, Sight};

use super::keeping::{call, person};
use super::tip_only;
use crate::support::bench::Bench;
use crate::support::program::{contains, lacks};
use crate::support::records::{at, shop};

#[test]
fn who_may_see_whose_record_is_one_setting() {
    let bench = Bench::new();
    bench
        .read(
            &tip_only(),
            "--jaws heron --call tip-only --change=-2thou --by AB",
        )
        .success();
    let own = bench.run("people show AB --by AB").success();
    assert!(own.out().contains("tip-only, take off: -2.0 thou"));
    let refused = || {
        bench
            .run("people show AB --by CD")
            .code(2)
            .stdout("")
            .stderr(contains("CD may not see the record of AB"));
        bench.run("people export AB --by CD").code(2).stdout("");
    };
    // Leads, unless it is set otherwise.
    refused();
    bench.run("people lead CD on").success();
    bench.run("people show AB --by CD").success();
    bench.run("people see-others nobody").success();
    refused();
    bench.run("people see-others everyone").success();
    bench.run("people show AB --by EF").success();
    bench
        .run("people see-others")
        .success()
        .stdout(contains("everyone"));
    // A record without saying who asks is not shown.
    bench
        .run("people show AB")
        .code(2)
        .stderr(contains("--by <WHO>"));
}

#[test]
fn an_export_holds_all_of_a_person_and_nothing_of_others() {
    let bench = Bench::new();
    for who in ["AB", "CD"] {
        let call = format!("--jaws heron --call tip-only --change=-2thou --by {who}");
        bench.read(&tip_only(), &call).success();
    }
    bench.run("people call-first AB on").success();
    let told = bench.run("people export AB --by AB").success().out();
    assert!(!told.contains("\"CD\""), "{told}");
    let json: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(
        (&json["person"], &json["rules"]["call_first"]),
        (&"AB".into(), &true.into())
    );
    assert_eq!(json["calls"].as_array().unwrap().len(), 1);
    assert_eq!(json["record"][0]["truth"]["by"], "program");
}

#[test]
fn an_erased_persons_calls_stay_without_them() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let (who, other) = (person("QXJZK7"), person("CD"));
    shop.archive
        .edit_person(&who, at(1), |p| p.lead = true)
        .unwrap();
    let calls = [
        call(CallKind::Check, Item::Check(check), "QXJZK7", 5),
        call(CallKind::Practice, Item::Check(check), "QXJZK7", 6),
        call(CallKind::Ruling, Item::Check(check), "QXJZK7", 7),
        call(CallKind::Check, Item::Check(check), "CD", 8),
    ];
    for call in &calls {
        shop.archive.file_call(call).unwrap();
    }
    let erased = shop.archive.erase(&who, at(9)).unwrap();
    assert_eq!(erased.calls, 3);
    assert!(erased.log_emptied);
    let now = shop.archive.calls().unwrap();
    assert_eq!(now.len(), 4);
    for (before, after) in calls.iter().zip(&now) {
        // All but the person as it was.
        assert_eq!(
            (before.call.pattern, before.call.change),
            (after.call.pattern, after.call.change)
        );
        let expected = if before.call.by == who {
            &erased.number
        } else {
            &other
        };
        assert_eq!(&after.call.by, expected);
    }
    assert!(
        shop.archive
            .people()
            .unwrap()
            .iter()
            .all(|p| p.person == other)
    );
    // A person of the same initials begins anew, and erasing again finds nobody.
    assert_eq!(shop.archive.calls_by(&who).unwrap(), []);
    assert!(shop.archive.erase(&who, at(10)).is_err());
    // Not a trace in any file of the archive: what was overwritten is gone, too.
    let json = shop.archive.export_json().unwrap().to_string();
    assert!(!json.contains("QXJZK7"));
    let folder = shop.folder.path();
    for file in ["archive.sqlite", "archive.sqlite-wal"] {
        let bytes = std::fs::read(folder.join(file)).unwrap_or_default();
        assert!(!bytes.windows(6).any(|w| w == b"QXJZK7"), "{file}");
    }
}

/// What reads the archive meanwhile keeps its log: that must be said.
#[test]
fn erasing_beside_a_reader_says_that_the_log_still_holds_the_initials() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let filed = call(CallKind::Check, Item::Check(check), "QXJZK7", 5);
    shop.archive.file_call(&filed).unwrap();
    let beside = rusqlite::Connection::open(shop.folder.path().join("archive.sqlite")).unwrap();
    beside
        .execute_batch("BEGIN; SELECT count(*) FROM calls;")
        .unwrap();
    // The reader stays to the end, however long it is waited for.
    shop.archive
        .wait_at_most(Duration::from_millis(50))
        .unwrap();
    let erased = shop.archive.erase(&person("QXJZK7"), at(9)).unwrap();
    assert!(!erased.log_emptied);
}

/// The number comes from the system's random numbers, so that erasing the same person in two archives gives
/// two numbers.
#[test]
fn the_number_does_not_follow_from_the_person() {
    let numbers: Vec<String> = (0..2)
        .map(|_| {
            let mut shop = shop();
            let check = shop.file(&[b"a"]).check;
            let filed = call(CallKind::Check, Item::Check(check), "AB", 5);
            shop.archive.file_call(&filed).unwrap();
            shop.archive
                .erase(&person("AB"), at(9))
                .unwrap()
                .number
                .to_string()
        })
        .collect();
    assert_ne!(numbers[0], numbers[1]);
}

#[test]
fn erasing_asks_and_says_what_it_cannot_reach() {
    let bench = Bench::new();
    bench
        .read(
            &tip_only(),
            "--jaws heron --call tip-only --change=-2thou --by AB",
        )
        .success();
    // Nobody is there to be asked.
    bench
        .run("people erase AB")
        .code(2)
        .stderr(contains("--yes"));
    bench
        .run("people erase AB --yes")
        .success()
        .stdout(contains("rulings that stay: 1").and(contains("#")));
    bench
        .run("people list")
        .success()
        .stdout(lacks("AB").and(lacks("#")));
}

#[test]
fn the_setting_and_the_rules_are_merged_by_time() {
    let (mut a, mut b) = (shop(), shop());
    let who = person("AB");
    a.archive
        .edit_person(&who, at(1), |p| p.call_first = true)
        .unwrap();
    b.archive
        .edit_person(&who, at(2), |p| p.lead = true)
        .unwrap();
    a.archive.set_sight(Sight::Nobody, at(4)).unwrap();
    b.archive.set_sight(Sight::Everyone, at(3)).unwrap();
    a.archive.merge(&b.archive).unwrap();
    b.archive.merge(&a.archive).unwrap();
    for archive in [&a.archive, &b.archive] {
        assert_eq!(archive.sight().unwrap(), Sight::Nobody);
        let rules = archive.person_rules(&who).unwrap();
        assert!(rules.lead && !rules.call_first);
    }
}
