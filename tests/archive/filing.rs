//! Every photo of a jaw set once.

use seepline::archive::{ArchiveError, Details, Filing};
use seepline::{FiledCheck, Pattern};

use crate::support::records::{Shop, at, check, cut, hash, jaw_set, shop};

/// The only check of heron.
fn only_check(shop: &Shop) -> FiledCheck {
    let timeline = shop
        .archive
        .timeline(shop.heron.id, Details::Whole)
        .unwrap();
    let mut all: Vec<FiledCheck> = timeline.cuts.into_iter().flat_map(|c| c.checks).collect();
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn file(shop: &mut Shop, given: &FiledCheck, photos: &[&[u8]]) -> Filing {
    let filed = shop
        .archive
        .file_check(shop.heron.id, given, photos)
        .unwrap();
    assert_eq!(filed.elsewhere, []);
    filed.filing
}

#[test]
fn the_same_photos_twice_are_one_check() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a", b"b"]);
    assert_eq!(file(&mut shop, &given, &[b"a", b"b"]), Filing::New);
    let before = only_check(&shop);
    assert_eq!(file(&mut shop, &given, &[b"a", b"b"]), Filing::Already);
    let other_order = check(&shop.cut, &[b"b", b"a", b"b"]);
    assert_eq!(
        file(&mut shop, &other_order, &[b"b", b"a"]),
        Filing::Already
    );
    assert_eq!(only_check(&shop), before);
}

#[test]
fn a_photo_twice_in_one_check_is_filed_once() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a", b"a"]);
    assert_eq!(file(&mut shop, &given, &[b"a", b"a"]), Filing::New);
    assert_eq!(only_check(&shop).readings.len(), 1);
}

#[test]
fn more_photos_extend_the_check() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a", b"b"]);
    file(&mut shop, &given, &[b"a", b"b"]);
    let id = shop.heron.id;
    let first = only_check(&shop);
    shop.archive
        .note_done(first.id, Some("recut"), at(3))
        .unwrap();
    let mut more = check(&shop.cut, &[b"c", b"b"]);
    more.advice.why = "Three jaws say so.".into();
    let filed = shop
        .archive
        .filed_with(id, &[&hash(b"c"), &hash(b"b")])
        .unwrap();
    assert_eq!(filed.map(|c| c.id), Some(first.id));
    assert_eq!(
        file(&mut shop, &more, &[b"c", b"b"]),
        Filing::Extended { added: 1 }
    );
    let now = only_check(&shop);
    let photos: Vec<&str> = now.readings.iter().map(|r| r.sha256.as_str()).collect();
    assert_eq!(photos, [hash(b"a"), hash(b"b"), hash(b"c")]);
    assert_eq!((now.id, now.done.as_deref()), (first.id, Some("recut")));
    assert_eq!(now.advice.why, "Three jaws say so.");
    assert!(now.changed > at(3));
}

#[test]
fn newer_readings_replace_older_ones_and_never_the_reverse() {
    let mut shop = shop();
    let old = check(&shop.cut, &[b"a", b"b"]);
    file(&mut shop, &old, &[b"a", b"b"]);
    let mut new = check(&shop.cut, &[b"a", b"b"]);
    // As numbers, not as texts: 0.10 comes after 0.2.
    new.program = "0.10.0".into();
    new.readings[0].confidence = 0.9;
    new.advice.why = "Read anew.".into();
    assert_eq!(file(&mut shop, &new, &[b"a", b"b"]), Filing::Refreshed);
    let now = only_check(&shop);
    assert_eq!(
        (now.readings[0].confidence, now.program.as_str()),
        (0.9, "0.10.0")
    );
    assert_eq!(now.advice.why, "Read anew.");
    assert_eq!(file(&mut shop, &old, &[b"a", b"b"]), Filing::Already);
    assert_eq!(only_check(&shop), now);
}

#[test]
fn newer_rules_count_too_and_part_of_a_check_leaves_its_advice() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a", b"b"]);
    file(&mut shop, &given, &[b"a", b"b"]);
    let mut part = check(&shop.cut, &[b"b"]);
    part.rules = "2".into();
    part.readings[0].confidence = 0.5;
    part.advice.why = "From one photo.".into();
    assert_eq!(file(&mut shop, &part, &[b"b"]), Filing::Refreshed);
    let now = only_check(&shop);
    assert_eq!(now.readings[1], part.readings[0]);
    assert_eq!(
        (now.advice.why.as_str(), now.rules.as_str()),
        ("The base is open.", "1")
    );
}

#[test]
fn another_outcome_by_the_same_version_stands() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a"]);
    file(&mut shop, &given, &[b"a"]);
    let mut told_the_tip = check(&shop.cut, &[b"a"]);
    told_the_tip.readings[0].pattern = Pattern::BaseOnly;
    assert_eq!(file(&mut shop, &told_the_tip, &[b"a"]), Filing::Refreshed);
    assert_eq!(only_check(&shop).readings[0].pattern, Pattern::BaseOnly);
}

#[test]
fn what_was_not_known_is_filled_in_and_what_was_stands() {
    let mut shop = shop();
    let mut bare = check(&shop.cut, &[b"a"]);
    bare.pressure = None;
    bare.mounting.chuck = None;
    file(&mut shop, &bare, &[b"a"]);
    let mut told = check(&shop.cut, &[b"a"]);
    told.compound = Some("red".into());
    assert_eq!(file(&mut shop, &told, &[b"a"]), Filing::Refreshed);
    let now = only_check(&shop);
    assert_eq!(
        (now.pressure, &now.mounting),
        (told.pressure, &told.mounting)
    );
    assert_eq!(now.compound.as_deref(), Some("blue"));
}

#[test]
fn photos_of_two_checks_stay_where_they_are() {
    let mut shop = shop();
    for photo in [b"a", b"b"] {
        let given = check(&shop.cut, &[photo]);
        file(&mut shop, &given, &[photo]);
    }
    let given = check(&shop.cut, &[b"b", b"c", b"a"]);
    let filed = shop
        .archive
        .file_check(shop.heron.id, &given, &[b"a", b"b", b"c"])
        .unwrap();
    assert_eq!(filed.filing, Filing::Extended { added: 1 });
    assert_eq!(filed.in_other_checks.len(), 1);
    let timeline = shop
        .archive
        .timeline(shop.heron.id, Details::LeftOut)
        .unwrap();
    let mut photos: Vec<String> = timeline.cuts[0]
        .checks
        .iter()
        .flat_map(|c| c.readings.iter().map(|r| r.sha256.clone()))
        .collect();
    photos.sort();
    let mut expected = [hash(b"a"), hash(b"b"), hash(b"c")];
    expected.sort();
    assert_eq!(photos, expected);
}

#[test]
fn filed_again_after_a_later_cut_it_stays_under_its_own() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a"]);
    file(&mut shop, &given, &[b"a"]);
    let later = cut(&shop.heron, 40);
    shop.archive.put_cut(&later).unwrap();
    let again = check(&later, &[b"a"]);
    let filed = shop
        .archive
        .file_check(shop.heron.id, &again, &[b"a"])
        .unwrap();
    assert_eq!((filed.filing, filed.cut), (Filing::Already, shop.cut.id));
}

#[test]
fn the_same_photo_of_another_set_is_filed_and_said() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a"]);
    file(&mut shop, &given, &[b"a"]);
    let wren = jaw_set("wren");
    let its_cut = cut(&wren, 0);
    shop.archive.put_jaw_set(&wren).unwrap();
    shop.archive.put_cut(&its_cut).unwrap();
    let filed = shop
        .archive
        .file_check(wren.id, &check(&its_cut, &[b"a"]), &[b"a"])
        .unwrap();
    assert_eq!(filed.filing, Filing::New);
    assert_eq!(filed.elsewhere.len(), 1);
    assert_eq!(
        (filed.elsewhere[0].name.as_str(), filed.elsewhere[0].jaw_set),
        ("heron", shop.heron.id)
    );
}

#[test]
fn what_does_not_belong_together_is_refused_and_nothing_filed() {
    let mut shop = shop();
    let id = shop.heron.id;
    let wren = jaw_set("wren");
    let its_cut = cut(&wren, 0);
    let unknown = shop
        .archive
        .file_check(wren.id, &check(&its_cut, &[b"a"]), &[b"a"]);
    assert!(matches!(
        unknown,
        Err(ArchiveError::Unknown {
            what: "jaw set",
            ..
        })
    ));
    assert!(shop.archive.put_cut(&its_cut).is_err());
    shop.archive.put_jaw_set(&wren).unwrap();
    shop.archive.put_cut(&its_cut).unwrap();
    let others = shop
        .archive
        .file_check(id, &check(&its_cut, &[b"a"]), &[b"a"]);
    assert!(matches!(others, Err(ArchiveError::CutOfAnotherSet { .. })));
    let without = shop
        .archive
        .file_check(id, &check(&shop.cut, &[b"a", b"z"]), &[b"a"]);
    assert!(matches!(without, Err(ArchiveError::PhotoNotGiven { .. })));
    let empty = shop.archive.file_check(id, &check(&shop.cut, &[]), &[]);
    assert_eq!(empty, Err(ArchiveError::NoReadings));
    let timelines = shop.archive.every_timeline(Details::LeftOut).unwrap();
    assert!(
        timelines
            .iter()
            .flat_map(|t| &t.cuts)
            .all(|c| c.checks.is_empty())
    );
    assert!(
        shop.archive
            .put_cut(&seepline::Cut {
                jaw_set: id,
                ..its_cut
            })
            .is_err()
    );
}

fn photos_of(check: &FiledCheck) -> Vec<&str> {
    check.readings.iter().map(|r| r.sha256.as_str()).collect()
}

#[test]
fn photos_left_out_go_and_nothing_is_lost() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"a", b"b", b"c"]);
    file(&mut shop, &given, &[b"a", b"b", b"c"]);
    let before = only_check(&shop);
    shop.archive
        .note_done(before.id, Some("recut"), at(3))
        .unwrap();
    let mut again = check(&shop.cut, &[b"d", b"b", b"c"]);
    again.advice.why = "Of d, b and c.".into();
    // `d` is among those left out, too, but came again.
    let out = [&*hash(b"a"), &*hash(b"d"), &*hash(b"never filed")];
    let filed = shop
        .archive
        .file_check_without(shop.heron.id, &again, &[b"d"], &out)
        .unwrap();
    assert_eq!(filed.filing, Filing::Extended { added: 1 });
    let now = only_check(&shop);
    assert_eq!(photos_of(&now), [hash(b"b"), hash(b"c"), hash(b"d")]);
    assert_eq!(now.advice.why, "Of d, b and c.");
    assert_eq!((now.id, now.done.as_deref()), (filed.check, Some("recut")));
    let hidden = shop.archive.check(&before.id.to_string()).unwrap();
    assert!(hidden.hidden && now.id != before.id);
    assert_eq!(hidden.record.readings, before.readings);
    assert!(shop.archive.photo_path(&hash(b"a")).unwrap().is_file());
    assert_eq!(shop.archive.verify().unwrap(), []);
    // Only taken out.
    let fewer = check(&shop.cut, &[b"b", b"d"]);
    let filed = shop
        .archive
        .file_check_without(shop.heron.id, &fewer, &[], &[&hash(b"c")])
        .unwrap();
    assert_eq!(filed.filing, Filing::Refreshed);
    assert_eq!(photos_of(&only_check(&shop)), [hash(b"b"), hash(b"d")]);
    let filed = shop
        .archive
        .file_check_without(shop.heron.id, &fewer, &[], &[&hash(b"c")])
        .unwrap();
    assert_eq!(filed.filing, Filing::Already);
    // Added as ever, it is of the check again.
    assert_eq!(
        file(&mut shop, &given, &[b"a", b"b", b"c"]),
        Filing::Extended { added: 2 }
    );
}

#[test]
fn a_check_that_is_left_out_whole_is_replaced_under_its_own_cut_alone() {
    for other_cut in [false, true] {
        let mut shop = shop();
        let given = check(&shop.cut, &[b"a", b"b"]);
        file(&mut shop, &given, &[b"a", b"b"]);
        let cut = if other_cut {
            let cut = cut(&shop.heron, 1);
            shop.archive.put_cut(&cut).unwrap();
            cut
        } else {
            shop.cut.clone()
        };
        let again = check(&cut, &[b"c"]);
        let mut file = |out: &[&str]| {
            let filed = shop
                .archive
                .file_check_without(shop.heron.id, &again, &[b"c"], out);
            filed.unwrap()
        };
        file(&[&hash(b"a"), &hash(b"b")]);
        let timeline = shop.archive.timeline(shop.heron.id, Details::LeftOut);
        let cuts = timeline.unwrap().cuts;
        let all: Vec<_> = cuts.iter().flat_map(|c| &c.checks).collect();
        assert_eq!(all.len(), if other_cut { 2 } else { 1 });
        assert!(all.iter().any(|c| photos_of(c) == [hash(b"c")]));
    }
}
