//! Calls in the archive: once, unchanged, merged, hidden with their check, whole after a kill.

use std::thread;
use std::time::Instant;

use seepline::archive::{Archive, ArchiveError};
use seepline::{
    Call, CallKind, CalledChange, FiledCall, Id, Item, Length, Pattern, PerSide, Person,
    PersonRules, Rules,
};
use tempfile::TempDir;

use super::tip_only;
use crate::support::bench::Bench;
use crate::support::records::{Shop, at, check, hash, join, shop};

pub(crate) fn person(text: &str) -> Person {
    Person::parse(text).unwrap()
}

pub(crate) fn call(kind: CallKind, item: Item, by: &str, minute: i8) -> FiledCall {
    let less = CalledChange::Change(PerSide::of(Length::from_tenths(-10)));
    FiledCall {
        id: Id::random().unwrap(),
        kind,
        item,
        session: None,
        call: Call::new(Pattern::TipOnly, less, person(by), at(minute)).unwrap(),
        revealed: Some(at(minute)),
        told: None,
        changed: at(minute),
    }
}

#[test]
fn a_person_calls_a_check_once_and_practises_it_often() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let first = call(CallKind::Check, Item::Check(check), "AB", 5);
    shop.archive.file_call(&first).unwrap();
    assert_eq!(
        shop.archive.call_on(check, &person("ab")).unwrap(),
        Some(first.clone())
    );
    let again = shop
        .archive
        .file_call(&call(CallKind::Check, Item::Check(check), "AB", 6));
    let Err(ArchiveError::CalledAlready {
        first: told,
        at: when,
    }) = again
    else {
        panic!("{again:?}");
    };
    assert!(told.contains("AB: tip-only, take off: -1.0 thou"), "{told}");
    assert_eq!(when, at(5));
    for minute in 7..9 {
        let practice = call(CallKind::Practice, Item::Check(check), "AB", minute);
        shop.archive.file_call(&practice).unwrap();
    }
    shop.archive
        .file_call(&call(CallKind::Check, Item::Check(check), "CD", 9))
        .unwrap();
    let all = shop.archive.calls().unwrap();
    assert_eq!(all.len(), 4);
    assert_eq!(all[0], first);
    // The rows for statistics tell the occasions apart and say what was right.
    let rows = shop
        .archive
        .call_rows(Rules::built_in().estimate())
        .unwrap();
    let kinds: Vec<CallKind> = rows.iter().map(|r| r.kind).collect();
    let (c, p) = (CallKind::Check, CallKind::Practice);
    assert_eq!(kinds, [c, p, p, c]);
    assert!(
        rows.iter()
            .all(|r| r.truth.is_some() && r.program.is_some())
    );
}

#[test]
fn calls_go_along_with_a_check_that_lost_a_photo() {
    let mut a = shop();
    let mut b = a.sister();
    let before = a.file(&[b"1", b"2"]).check;
    let made = call(CallKind::Check, Item::Check(before), "AB", 5);
    a.archive.file_call(&made).unwrap();
    b.archive.merge(&a.archive).unwrap();
    let given = check(&a.cut, &[b"2", b"3"]);
    let filed = a
        .archive
        .file_check_without(a.heron.id, &given, &[b"3"], &[&hash(b"1")])
        .unwrap();
    join(&mut a, &mut b);
    for archive in [&a.archive, &b.archive] {
        let calls = archive.calls().unwrap();
        assert_eq!(calls.len(), 1, "{calls:?}");
        assert_eq!(calls[0].item, Item::Check(filed.check));
        assert_eq!((&calls[0].call, calls[0].id), (&made.call, made.id));
        assert!(archive.holds_call(made.id).unwrap());
    }
    a.archive.hide_check(filed.check, at(9)).unwrap();
    assert!(!a.archive.holds_call(made.id).unwrap());
}

#[test]
fn a_check_that_is_not_there_cannot_be_called() {
    let mut shop = shop();
    let nowhere = call(CallKind::Check, Item::Check(Id::derived(&["x"])), "AB", 1);
    assert!(matches!(
        shop.archive.file_call(&nowhere),
        Err(ArchiveError::Unknown { .. })
    ));
    let no_photo = call(CallKind::Practice, Item::Photo("../x".into()), "AB", 1);
    assert!(matches!(
        shop.archive.file_call(&no_photo),
        Err(ArchiveError::BadHash(_))
    ));
    assert_eq!(shop.archive.calls().unwrap(), []);
}

/// Not even by somebody with an SQLite shell.
#[test]
fn a_call_that_was_made_cannot_be_changed() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    shop.archive
        .file_call(&call(CallKind::Check, Item::Check(check), "AB", 5))
        .unwrap();
    let db = rusqlite::Connection::open(shop.folder.path().join("archive.sqlite")).unwrap();
    for column in ["pattern", "change", "at", "kind"] {
        let changed = db.execute(&format!("UPDATE calls SET {column} = 'x'"), []);
        assert!(
            changed.unwrap_err().to_string().contains("not changed"),
            "{column}"
        );
    }
}

#[test]
fn calls_are_hidden_with_their_check_and_come_back_with_it() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let photo = Item::Photo(hash(b"elsewhere"));
    shop.archive
        .file_call(&call(CallKind::Check, Item::Check(check), "AB", 5))
        .unwrap();
    shop.archive
        .file_call(&call(CallKind::Practice, photo, "AB", 6))
        .unwrap();
    let count = |shop: &Shop| {
        let rows = shop
            .archive
            .call_rows(Rules::built_in().estimate())
            .unwrap();
        assert_eq!(rows.len(), shop.archive.calls().unwrap().len());
        rows.len()
    };
    assert_eq!(count(&shop), 2);
    shop.archive.hide_check(check, at(10)).unwrap();
    assert_eq!(count(&shop), 1);
    shop.archive.unhide_check(check, at(11)).unwrap();
    assert_eq!(count(&shop), 2);
    shop.archive.hide_cut(shop.cut.id, at(12)).unwrap();
    assert_eq!(count(&shop), 1);
    shop.archive.unhide_cut(shop.cut.id, at(13)).unwrap();
    shop.archive.hide_jaw_set(shop.heron.id, at(14)).unwrap();
    assert_eq!(count(&shop), 1);
}

#[test]
fn merging_takes_each_call_in_once_and_the_first_of_a_person_stands() {
    let mut a = shop();
    let mut b = a.sister();
    let check = a.file(&[b"1"]).check;
    assert_eq!(b.file(&[b"1"]).check, check);
    let early = call(CallKind::Check, Item::Check(check), "AB", 5);
    let late = call(CallKind::Check, Item::Check(check), "AB", 9);
    let other = call(CallKind::Check, Item::Check(check), "CD", 6);
    a.archive.file_call(&late).unwrap();
    b.archive.file_call(&early).unwrap();
    b.archive.file_call(&other).unwrap();
    let merged = join(&mut a, &mut b);
    assert_eq!(merged.calls, [2, 1]);
    assert_eq!(a.archive.calls().unwrap(), [early, other]);
}

#[test]
fn calls_follow_checks_that_are_united() {
    let mut a = shop();
    let mut b = a.sister();
    // Of both checks the photo 2 is one, so that they become one; AB called it on both machines.
    let ids = [a.file(&[b"1", b"2"]).check, b.file(&[b"2", b"1"]).check];
    assert_ne!(ids[0], ids[1]);
    for (shop, id, minute) in [(&mut a, ids[0], 5), (&mut b, ids[1], 4)] {
        shop.archive
            .file_call(&call(CallKind::Check, Item::Check(id), "AB", minute))
            .unwrap();
        shop.archive
            .file_call(&call(CallKind::Practice, Item::Check(id), "CD", minute))
            .unwrap();
    }
    join(&mut a, &mut b);
    let kept = ids[0].min(ids[1]);
    let calls = a.archive.calls_on(kept).unwrap();
    let told: Vec<(CallKind, _)> = calls.iter().map(|c| (c.kind, c.call.at)).collect();
    let mut expected = vec![
        (CallKind::Check, at(4)),
        (CallKind::Practice, at(4)),
        (CallKind::Practice, at(5)),
    ];
    let mut found = told.clone();
    expected.sort_unstable();
    found.sort_unstable();
    assert_eq!(found, expected);
}

/// Whatever was called, hidden and erased on both machines, merging both ways makes them the same.
#[test]
fn histories_drawn_at_random_end_up_the_same() {
    for seed in 1..=8_u64 {
        let mut a = shop();
        let mut b = a.sister();
        let mut state = seed;
        let mut draw = |below: u64| {
            // Knuth's MMIX generator; the high bits are the random ones.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        for _ in 0..16 {
            let (what, who, minute) = (draw(6), draw(2), draw(50) as i8);
            let (photo, name) = (vec![draw(4) as u8], ["AB", "CD", "7"][draw(3) as usize]);
            let shop = if who == 0 { &mut a } else { &mut b };
            let check = shop.file(&[&photo]).check;
            let of = |kind| call(kind, Item::Check(check), name, minute);
            match what {
                // Twice by the same person is refused, which is as good.
                0..=2 => _ = shop.archive.file_call(&of(CallKind::Check)),
                3 => shop.archive.file_call(&of(CallKind::Practice)).unwrap(),
                4 => {
                    let lead = |p: &mut PersonRules| p.lead = !p.lead;
                    let edited = shop.archive.edit_person(&person(name), at(minute), lead);
                    assert!(edited.is_ok());
                }
                _ if draw(3) == 0 => _ = shop.archive.erase(&person(name), at(minute)),
                _ => shop.archive.hide_check(check, at(minute)).unwrap(),
            }
        }
        join(&mut a, &mut b);
    }
}

#[test]
fn two_at_once_file_one_call() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let folder = shop.folder.path();
    let one = |minute: i8| {
        let mut archive = Archive::open(folder).unwrap();
        archive
            .file_call(&call(CallKind::Check, Item::Check(check), "AB", minute))
            .is_ok()
    };
    let filed: usize = thread::scope(|scope| {
        let all: Vec<_> = (0..4).map(|m| scope.spawn(move || one(m))).collect();
        all.into_iter()
            .map(|t| usize::from(t.join().unwrap()))
            .sum()
    });
    assert_eq!(filed, 1);
    assert_eq!(shop.archive.calls().unwrap().len(), 1);
}

#[test]
fn export_and_backup_hold_every_call() {
    let mut shop = shop();
    let check = shop.file(&[b"a"]).check;
    let filed = call(CallKind::Check, Item::Check(check), "AB", 5);
    shop.archive.file_call(&filed).unwrap();
    let json = shop.archive.export_json().unwrap();
    let back: Vec<FiledCall> = serde_json::from_value(json["calls"].clone()).unwrap();
    assert_eq!(back, std::slice::from_ref(&filed));
    // -1 thou per side is -2 on the diameter (common practice) and -25.4 µm (1 in = 25.4 mm).
    assert_eq!(json["calls"][0]["change_stated"]["on_diameter_thou"], -2.0);
    let tables = shop.archive.export_csv().unwrap();
    let table = tables.iter().find(|t| t.name == "calls.csv").unwrap();
    let mut reader = csv::Reader::from_reader(table.bytes.as_slice());
    let header = reader.headers().unwrap().clone();
    let line = reader.records().next().unwrap().unwrap();
    let cell = |name: &str| {
        line.get(header.iter().position(|h| h == name).unwrap())
            .unwrap()
            .to_owned()
    };
    assert_eq!(
        (cell("person"), cell("pattern")),
        ("AB".into(), "tip-only".into())
    );
    assert_eq!(
        (cell("change_per_side_thou"), cell("change_on_diameter_mm")),
        ("-1".into(), "-0.0508".into())
    );
    let folder = TempDir::new().unwrap();
    shop.archive.backup(folder.path()).unwrap();
    assert_eq!(
        Archive::open(folder.path()).unwrap().calls().unwrap(),
        [filed]
    );
}

const KILLS: u32 = 10;

/// Killed at any moment of a `read --call`, the call is there whole or not at all, never without its check.
#[test]
fn a_kill_leaves_a_call_whole_or_absent() {
    let whole = {
        let bench = Bench::new();
        let started = Instant::now();
        bench
            .read(
                &tip_only(),
                "--jaws heron --taper 3thou --call tip-only --change=-1thou --by AB",
            )
            .success();
        assert_eq!(bench.calls().len(), 1);
        started.elapsed()
    };
    let (mut filed, mut kill) = (0, 0);
    // From the second half of the run, where it is filed, to well after it; where the machine has become slower
    // meanwhile, until one comes after it.
    while kill < KILLS || (filed == 0 && kill < 10 * KILLS) {
        let bench = Bench::new();
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_seepline"))
            .env("SEEPLINE_ARCHIVE", bench.archive())
            .args([
                "read",
                &tip_only()[0],
                "--tip",
                "up",
                "--jaws",
                "heron",
                "--taper",
                "3thou",
            ])
            .args(["--call", "tip-only", "--change=-1thou", "--by", "AB"])
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        thread::sleep(whole / 2 + whole * kill / 4);
        let _ = child.kill();
        child.wait().unwrap();
        let archive = Archive::open(&bench.archive()).unwrap();
        assert_eq!(archive.verify().unwrap(), [], "kill {kill}");
        let calls = archive.calls().unwrap();
        let heron = archive.jaw_set("heron").unwrap();
        let timeline = archive
            .timeline(heron.id, seepline::archive::Details::LeftOut)
            .unwrap();
        let checks: Vec<Id> = timeline
            .cuts
            .iter()
            .flat_map(|c| c.checks.iter().map(|k| k.id))
            .collect();
        for call in &calls {
            assert!(
                matches!(&call.item, Item::Check(id) if checks.contains(id)),
                "kill {kill}"
            );
            assert!(call.revealed.is_some());
        }
        filed += calls.len();
        kill += 1;
    }
    println!("{kill} kills, {filed} calls filed");
    assert!(filed > 0, "every kill came too early to try anything");
}
