//! Prove-outs as records: kept, merged, exported, erased; and a drift after the end.

use seepline::archive::Archive;
use seepline::prove::{Plan, Progress, Proof};
use seepline::{
    Call, CallKind, CalledChange, FiledCall, Id, Item, Pattern, PerSide, Person, Rules,
};

use super::support::lead;
use crate::support::records::{Shop, at, check, hash, join, length, shop};

fn proof(archive: &Archive) -> Proof {
    archive
        .proof(Rules::built_in().estimate())
        .unwrap()
        .unwrap()
}

fn begun(shop: &mut Shop, checks: u32, held: bool) {
    shop.archive
        .edit_person(&lead(), at(0), |p| p.lead = true)
        .unwrap();
    let plan = Plan::of_checks(checks, held).unwrap();
    shop.archive.begin_prove_out(plan, &lead(), at(1)).unwrap();
}

/// A feeler at the base, as advised, or at the tip.
fn measured(shop: &mut Shop, check: Id, open_at_base: bool) {
    let leaf = PerSide::of(length("1thou"));
    let (pattern, change) = if open_at_base {
        (Pattern::TipOnly, -leaf)
    } else {
        (Pattern::BaseOnly, leaf)
    };
    let by = Person::parse("AB").unwrap();
    let call = Call::new(pattern, CalledChange::Change(change), by, at(9)).unwrap();
    shop.archive
        .file_call(&FiledCall {
            id: Id::random().unwrap(),
            kind: CallKind::Measured,
            item: Item::Check(check),
            session: None,
            call,
            revealed: None,
            told: None,
            changed: at(9),
        })
        .unwrap();
}

/// Files a check that advises to take taper off, and measures it.
fn checked(shop: &mut Shop, number: u8, open_at_base: bool) -> Id {
    let filed = shop.file(&[&[b'p', number]]);
    measured(shop, filed.check, open_at_base);
    filed.check
}

#[test]
fn proven_and_then_it_drifts() {
    let mut shop = shop();
    begun(&mut shop, 3, true);
    for number in 0..3 {
        checked(&mut shop, number, true);
    }
    assert_eq!(proof(&shop.archive).progress, Progress::Fulfilled);
    let rules = Rules::built_in().estimate();
    shop.archive.end_prove_out(&lead(), at(20), rules).unwrap();
    assert!(proof(&shop.archive).is_proven());
    for number in 3..6 {
        assert_eq!(proof(&shop.archive).watch.signalled_after, None);
        checked(&mut shop, number, false);
    }
    let drifted = proof(&shop.archive);
    assert_eq!(drifted.watch.signalled_after, Some(3));
    assert_eq!((drifted.counts.right, drifted.since.wrong_way), (3, 3));
    // What was filed before the beginning, or is filed again, adds nothing.
    shop.file(&[b"p\x00"]);
    assert_eq!(proof(&shop.archive), drifted);
}

#[test]
fn the_answer_stands_as_it_was_first_given() {
    let mut shop = shop();
    shop.file(&[b"before"]);
    begun(&mut shop, 3, false);
    let first = checked(&mut shop, 1, true);
    let before = shop.file(&[b"before"]).check;
    measured(&mut shop, before, true);
    assert_eq!(proof(&shop.archive).counts.answered, 1);
    // A newer version that reads it the other way.
    let mut newer = check(&shop.cut, &[b"p\x01"]);
    newer.program = "99.0.0".into();
    newer.advice.pattern = Pattern::BaseOnly;
    newer.advice.change = newer.advice.change.map(|c| -c);
    shop.archive
        .file_check(shop.heron.id, &newer, &[b"p\x01"])
        .unwrap();
    assert_eq!(proof(&shop.archive).counts.right, 1);
    // With another photo it is another answer.
    let mut more = newer.clone();
    more.readings.extend(check(&shop.cut, &[b"more"]).readings);
    shop.archive
        .file_check(shop.heron.id, &more, &[b"p\x01", b"more"])
        .unwrap();
    let now = proof(&shop.archive);
    assert_eq!(
        (now.counts.right, now.progress),
        (0, Progress::WentWrong(first))
    );
    // A deleted check counts for nothing.
    shop.archive.hide_check(first, at(30)).unwrap();
    assert_eq!(proof(&shop.archive).counts.judged, 0);
}

#[test]
fn a_check_that_lost_a_photo_keeps_its_answer() {
    let mut shop = shop();
    begun(&mut shop, 3, false);
    let filed = shop.file(&[b"1", b"2"]);
    measured(&mut shop, filed.check, true);
    let fewer = check(&shop.cut, &[b"2"]);
    let now = shop
        .archive
        .file_check_without(shop.heron.id, &fewer, &[], &[&hash(b"1")])
        .unwrap();
    assert_ne!(now.check, filed.check);
    assert_eq!(proof(&shop.archive).answered(), [now.check]);
}

#[test]
fn merging_exporting_and_erasing_keep_it_whole() {
    let mut a = shop();
    let mut b = a.sister();
    begun(&mut a, 2, true);
    checked(&mut a, 1, true);
    join(&mut a, &mut b);
    assert_eq!(proof(&b.archive), proof(&a.archive));
    // Judged there, and united with a check that has the same photo here.
    checked(&mut b, 2, true);
    let rules = Rules::built_in().estimate();
    b.archive.end_prove_out(&lead(), at(40), rules).unwrap();
    join(&mut a, &mut b);
    assert!(proof(&a.archive).is_proven());
    let exported = a.archive.export_json().unwrap();
    assert_eq!(
        exported["prove_outs"][0]["advised"]
            .as_array()
            .unwrap()
            .len(),
        2
    );
    a.archive.erase(&lead(), at(50)).unwrap();
    let text = a.archive.export_json().unwrap().to_string();
    assert!(!text.contains("\"JK\""), "{text}");
    join(&mut a, &mut b);
    assert!(proof(&b.archive).is_proven());
    assert!(
        !b.archive.export_json().unwrap()["prove_outs"]
            .to_string()
            .contains("\"JK\"")
    );
}

#[test]
fn an_export_has_nothing_of_what_is_kept_back() {
    let mut shop = shop();
    begun(&mut shop, 2, true);
    checked(&mut shop, 1, true);
    let exported = shop.archive.export_json().unwrap();
    assert!(
        exported["prove_outs"][0].get("advised").is_none(),
        "{exported}"
    );
}

/// Who was a lead when it was called stands, whatever becomes of them.
#[test]
fn a_leads_call_stays_one_after_the_lead_is_erased() {
    let mut shop = shop();
    begun(&mut shop, 2, false);
    let filed = shop.file(&[b"1"]);
    for (who, kind) in [
        (lead(), CallKind::Check),
        (Person::parse("CD").unwrap(), CallKind::Check),
    ] {
        let change = CalledChange::Change(PerSide::of(length("-1thou")));
        shop.archive
            .file_call(&FiledCall {
                id: Id::random().unwrap(),
                kind,
                item: Item::Check(filed.check),
                session: None,
                call: Call::new(Pattern::TipOnly, change, who, at(3)).unwrap(),
                revealed: Some(at(3)),
                told: None,
                changed: at(3),
            })
            .unwrap();
    }
    assert_eq!(proof(&shop.archive).counts.right, 1);
    shop.archive.erase(&lead(), at(5)).unwrap();
    assert_eq!(proof(&shop.archive).counts.right, 1);
}
