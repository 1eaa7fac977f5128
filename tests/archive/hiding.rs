//! Deleting hides, and can be taken back.

use seepline::archive::{ArchiveError, Details, Filing, Find};

use crate::support::records::{at, check, jaw_set, shop};

#[test]
fn a_hidden_set_is_out_of_every_list_and_comes_back_whole() {
    let mut shop = shop();
    shop.file(&[b"a"]);
    let before = shop
        .archive
        .timeline(shop.heron.id, Details::Whole)
        .unwrap();
    let id = shop.heron.id;
    shop.archive.hide_jaw_set(id, at(5)).unwrap();
    assert!(shop.archive.jaw_set("heron").is_err());
    assert_eq!(shop.archive.jaw_sets(&Find::default()).unwrap(), []);
    assert_eq!(shop.archive.every_timeline(Details::LeftOut).unwrap(), []);
    assert_eq!(shop.archive.hidden_jaw_set("heron").unwrap().id, id);
    let hidden = Find {
        hidden: true,
        ..Find::default()
    };
    assert_eq!(shop.archive.jaw_sets(&hidden).unwrap().len(), 1);
    shop.archive.unhide_jaw_set(id, at(6)).unwrap();
    let after = shop.archive.timeline(id, Details::Whole).unwrap();
    assert_eq!(after.cuts, before.cuts);
    assert_eq!(after.jaw_set.changed, at(6));
}

#[test]
fn a_hidden_name_is_free_until_it_comes_back() {
    let mut shop = shop();
    let id = shop.heron.id;
    shop.archive.hide_jaw_set(id, at(5)).unwrap();
    let next = jaw_set("Heron");
    shop.archive.put_jaw_set(&next).unwrap();
    let taken = ArchiveError::NameTaken("heron".into());
    assert_eq!(shop.archive.unhide_jaw_set(id, at(6)), Err(taken));
    assert_eq!(shop.archive.jaw_set("heron").unwrap().id, next.id);
}

#[test]
fn photos_of_a_hidden_check_may_be_filed_again_and_nothing_of_it_is_lost() {
    let mut shop = shop();
    let set = shop.heron.id;
    let both = check(&shop.cut, &[b"a", b"b"]);
    let first = shop.archive.file_check(set, &both, &[b"a", b"b"]).unwrap();
    shop.archive.hide_check(first.check, at(5)).unwrap();
    let again = shop
        .archive
        .file_check(set, &check(&shop.cut, &[b"a"]), &[b"a"])
        .unwrap();
    assert_eq!(again.filing, Filing::New);
    assert_ne!(again.check, first.check);
    let kept = shop.archive.check(&first.check.to_string()).unwrap();
    assert!(kept.hidden && kept.record.readings.len() == 2);
    let refused = shop.archive.unhide_check(first.check, at(6));
    assert!(matches!(refused, Err(ArchiveError::FiledTwice { .. })));
    assert!(shop.archive.check(&first.check.to_string()).unwrap().hidden);
    shop.archive.hide_check(again.check, at(7)).unwrap();
    shop.archive.unhide_check(first.check, at(8)).unwrap();
}

#[test]
fn checks_of_a_hidden_cut_are_hidden_with_it() {
    let mut shop = shop();
    let (set, cut) = (shop.heron.id, shop.cut.id);
    shop.archive
        .file_check(set, &check(&shop.cut, &[b"a"]), &[b"a"])
        .unwrap();
    shop.archive.hide_cut(cut, at(5)).unwrap();
    let summary = &shop.archive.jaw_sets(&Find::default()).unwrap()[0];
    assert_eq!(
        (summary.cuts, summary.checks, summary.last_check.clone()),
        (0, 0, None)
    );
    assert_eq!(
        shop.archive.timeline(set, Details::LeftOut).unwrap().cuts,
        []
    );
    let refused = shop
        .archive
        .file_check(set, &check(&shop.cut, &[b"a"]), &[b"a"]);
    assert!(matches!(
        refused,
        Err(ArchiveError::Unknown { what: "cut", .. })
    ));
    shop.archive.unhide_cut(cut, at(6)).unwrap();
    assert_eq!(
        shop.archive.timeline(set, Details::LeftOut).unwrap().cuts[0]
            .checks
            .len(),
        1
    );
}

#[test]
fn what_is_not_there_cannot_be_hidden() {
    let mut shop = shop();
    let id = jaw_set("x").id;
    for refused in [
        shop.archive.hide_jaw_set(id, at(1)),
        shop.archive.hide_cut(id, at(1)),
        shop.archive.hide_check(id, at(1)),
        shop.archive.unhide_check(id, at(1)),
        shop.archive.note_done(id, None, at(1)),
    ] {
        assert!(matches!(refused, Err(ArchiveError::Unknown { .. })));
    }
}
