//! Every field comes back as it went in.

use seepline::archive::{Archive, Details};
use seepline::{Id, Method, Pattern, Reason};

use crate::support::records::{at, check, cut, full_jaw_set, jaw_set, reading, shop};

#[test]
fn every_field_of_every_record_comes_back() {
    let mut shop = shop();
    let set = full_jaw_set("Wren, großer Satz");
    let cut = cut(&set, 3);
    let mut given = check(&cut, &[b"one", b"two"]);
    given.method = Method::Transfer;
    given.done = Some("recut to 1.5 thou".into());
    given.readings[1].pattern = Pattern::Unreadable;
    given.readings[1].refusal = Some(Reason::BurntOut);
    given.readings[1].seen = None;
    given.readings[1].taken = None;
    shop.archive.put_jaw_set(&set).unwrap();
    shop.archive.put_cut(&cut).unwrap();
    let filed = shop
        .archive
        .file_check(set.id, &given, &[b"one", b"two"])
        .unwrap();
    given.id = filed.check;
    // A second connection, so that nothing comes from memory.
    let again = Archive::open(shop.folder.path()).unwrap();
    let timeline = again.timeline(set.id, Details::Whole).unwrap();
    assert_eq!(timeline.jaw_set, set);
    assert_eq!(timeline.cuts.len(), 1);
    assert_eq!(timeline.cuts[0].cut, cut);
    assert_eq!(timeline.cuts[0].checks, [given.clone()]);
    assert_eq!(again.check(&given.id.to_string()).unwrap().record, given);
    assert_eq!(again.cut(&cut.id.to_string()[..8]).unwrap().record, cut);
}

#[test]
fn what_is_not_known_stays_unknown() {
    let shop = shop();
    assert_eq!(shop.archive.jaw_set("heron").unwrap(), shop.heron);
}

#[test]
fn an_id_follows_from_the_set_and_the_first_photo() {
    let mut shop = shop();
    let given = check(&shop.cut, &[b"b", b"a"]);
    let filed = shop
        .archive
        .file_check(shop.heron.id, &given, &[b"a", b"b"])
        .unwrap();
    let parts = [shop.heron.id.to_string(), reading(b"b").sha256];
    assert_eq!(filed.check, Id::derived(&[&parts[0], &parts[1]]));
}

#[test]
fn changes_made_at_once_both_count() {
    let mut shop = shop();
    let mut other = Archive::open(shop.folder.path()).unwrap();
    let id = shop.heron.id;
    other
        .edit_jaw_set(id, |s| s.notes = Some("marked".into()))
        .unwrap();
    let now = shop.archive.edit_jaw_set(id, |s| {
        s.material = Some("steel".into());
        s.changed = at(9);
    });
    let now = now.unwrap();
    assert_eq!(
        (now.notes.as_deref(), now.material.as_deref()),
        (Some("marked"), Some("steel"))
    );
    assert_eq!(other.jaw_set("heron").unwrap(), now);
}

#[test]
fn photos_stay_byte_for_byte_and_are_never_written_over() {
    let shop = shop();
    let bytes = b"\xff\xd8 a photo \x00\xff".to_vec();
    let hash = shop.archive.store_photo(&bytes).unwrap();
    let path = shop.archive.photo_path(&hash).unwrap();
    let written = std::fs::metadata(&path).unwrap().modified().unwrap();
    shop.archive.store_photo(&bytes).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
    assert_eq!(
        std::fs::metadata(&path).unwrap().modified().unwrap(),
        written
    );
}

#[test]
fn only_a_hash_becomes_a_path() {
    let mut shop = shop();
    for text in [
        "../../etc/passwd",
        "",
        "ABCDEF",
        &"g".repeat(64),
        &"é".repeat(32),
    ] {
        assert!(shop.archive.photo_path(text).is_err(), "{text}");
    }
    let mut set = jaw_set("wren");
    set.photos = vec!["../x".into()];
    assert!(shop.archive.put_jaw_set(&set).is_err());
    assert!(shop.archive.jaw_set("wren").is_err());
}
