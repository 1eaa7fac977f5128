//! Two machines' archives become one.

use seepline::JawSet;
use seepline::archive::{Details, Filing};

use crate::support::records::{Shop, at, check, cut, full_jaw_set, hash, jaw_set, join, shop};

#[test]
fn everything_of_the_other_archive_comes_in_once() {
    let (mut a, mut b) = (shop(), shop());
    b.archive.hide_jaw_set(b.heron.id, at(3)).unwrap();
    let mut wren = full_jaw_set("wren");
    wren.photos = vec![b.archive.store_photo(b"front").unwrap()];
    b.archive.put_jaw_set(&wren).unwrap();
    let its_cut = cut(&wren, 1);
    b.archive.put_cut(&its_cut).unwrap();
    b.archive
        .file_check(wren.id, &check(&its_cut, &[b"x", b"y"]), &[b"x", b"y"])
        .unwrap();
    let before = b.archive.timeline(wren.id, Details::Whole).unwrap();
    let merged = join(&mut a, &mut b);
    assert_eq!((merged.added, merged.changed), ([2, 2, 1], [0, 0, 0]));
    assert_eq!((merged.photos, merged.renamed.len()), (3, 0));
    assert_eq!(a.archive.timeline(wren.id, Details::Whole).unwrap(), before);
}

#[test]
fn the_later_version_stands_also_of_hiding() {
    let mut a = shop();
    let mut b = a.sister();
    let id = a.heron.id;
    let note = |shop: &mut Shop, text: &str, minute| {
        let edit = |set: &mut JawSet| {
            set.notes = Some(text.into());
            set.changed = at(minute);
        };
        shop.archive.edit_jaw_set(id, edit).unwrap();
    };
    note(&mut a, "later", 9);
    note(&mut b, "earlier", 8);
    // A clock that is behind: hiding comes after what it hides all the same.
    b.archive
        .hide_cut(
            b.cut.id,
            at(0).checked_sub(jiff::Span::new().days(9)).unwrap(),
        )
        .unwrap();
    join(&mut a, &mut b);
    assert_eq!(
        b.archive.jaw_set("heron").unwrap().notes.as_deref(),
        Some("later")
    );
    assert!(a.archive.cut(&a.cut.id.to_string()).unwrap().hidden);
}

#[test]
fn a_check_keeps_the_photos_of_both() {
    let mut a = shop();
    let mut b = a.sister();
    for shop in [&mut a, &mut b] {
        shop.file(&[b"1"]);
    }
    a.file(&[b"1", b"2"]);
    b.file(&[b"1", b"3"]);
    join(&mut a, &mut b);
    let timeline = a.archive.timeline(a.heron.id, Details::Whole).unwrap();
    let [only] = timeline.cuts[0].checks.as_slice() else {
        panic!("one check: {timeline:?}");
    };
    assert_eq!(only.readings.len(), 3);
}

/// An archive that was copied before has the photo still.
#[test]
fn a_photo_left_out_does_not_come_back() {
    let mut a = shop();
    let mut b = a.sister();
    for shop in [&mut a, &mut b] {
        shop.file(&[b"1", b"2", b"3"]);
    }
    let again = check(&a.cut, &[b"4", b"2", b"3"]);
    a.archive
        .file_check_without(a.heron.id, &again, &[b"4"], &[&hash(b"1")])
        .unwrap();
    join(&mut a, &mut b);
    let timeline = b.archive.timeline(b.heron.id, Details::Whole).unwrap();
    let [only] = timeline.cuts[0].checks.as_slice() else {
        panic!("one check: {timeline:?}");
    };
    let photos: Vec<&str> = only.readings.iter().map(|r| r.sha256.as_str()).collect();
    assert_eq!(photos, [hash(b"2"), hash(b"3"), hash(b"4")]);
}

#[test]
fn checks_with_a_photo_in_common_become_one() {
    let mut a = shop();
    let mut b = a.sister();
    let ids = [
        a.file(&[b"1", b"2"]).check,
        b.file(&[b"2", b"1", b"3"]).check,
    ];
    let merged = join(&mut a, &mut b);
    assert_eq!(merged.united.len(), 1);
    assert_eq!(merged.united[0].kept, ids[0].min(ids[1]));
    let timeline = b.archive.timeline(b.heron.id, Details::Whole).unwrap();
    assert_eq!(timeline.cuts[0].checks.len(), 1);
    assert_eq!(timeline.cuts[0].checks[0].readings.len(), 3);
    // Filing it once more finds it.
    let again = check(&a.cut, &[b"3"]);
    let filed = a.archive.file_check(a.heron.id, &again, &[b"3"]).unwrap();
    assert_eq!(filed.filing, Filing::Already);
}

#[test]
fn different_sets_of_one_name_both_stay() {
    let (mut a, mut b) = (shop(), shop());
    b.archive.put_jaw_set(&jaw_set("Heron (2)")).unwrap();
    let merged = join(&mut a, &mut b);
    assert_eq!(merged.renamed.len(), 1);
    let renamed = &merged.renamed[0];
    assert_eq!(
        (renamed.from.as_str(), renamed.to.as_str()),
        ("heron", "heron (3)")
    );
    assert_eq!(renamed.jaw_set, b.heron.id);
    assert_eq!(a.archive.jaw_set("heron").unwrap().id, a.heron.id);
    assert_eq!(a.archive.jaw_set("heron (3)").unwrap().id, b.heron.id);
}

#[test]
fn sets_that_swapped_names_swap_them_here_too() {
    let mut a = shop();
    let mut b = a.sister();
    let wren = jaw_set("wren");
    for shop in [&mut a, &mut b] {
        shop.archive.put_jaw_set(&wren).unwrap();
    }
    let (id, other) = (b.heron.id, wren.id);
    let rename = |shop: &mut Shop, id, name: &str| {
        let edit = |set: &mut JawSet| {
            set.name = name.into();
            set.changed = at(20);
        };
        shop.archive.edit_jaw_set(id, edit).unwrap();
    };
    rename(&mut b, id, "for a moment");
    rename(&mut b, other, "heron");
    rename(&mut b, id, "wren");
    let merged = join(&mut a, &mut b);
    assert_eq!(merged.renamed, []);
    assert_eq!(a.archive.jaw_set("heron").unwrap().id, other);
}

#[test]
fn a_photo_that_nobody_has_is_said_and_the_rest_comes_in() {
    let mut a = shop();
    let mut b = a.sister();
    b.file(&[b"1", b"2"]);
    let path = b.archive.photo_path(&hash(b"2")).unwrap();
    std::fs::write(path, b"damaged").unwrap();
    let merged = a.archive.merge(&b.archive).unwrap();
    assert_eq!((merged.photos, merged.missing), (1, vec![hash(b"2")]));
    assert_eq!(merged.added, [0, 0, 1]);
}

/// Whatever was done on both machines, merging both ways makes them the same.
#[test]
fn histories_drawn_at_random_end_up_the_same() {
    for seed in 1..=10_u64 {
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
        for step in 0..14 {
            let (what, who, minute) = (draw(6), draw(2), draw(50) as i8);
            let photos: Vec<Vec<u8>> = (0..=draw(2)).map(|_| vec![draw(6) as u8]).collect();
            let photos: Vec<&[u8]> = photos.iter().map(Vec::as_slice).collect();
            let shop = if who == 0 { &mut a } else { &mut b };
            let (set, cut) = (shop.heron.id, shop.cut.id);
            match what {
                0 | 1 => {
                    // Refused while the cut is hidden, which is as good.
                    let given = check(&shop.cut, &photos);
                    let _ = shop.archive.file_check(set, &given, &photos);
                }
                2 => {
                    let edit = |s: &mut JawSet| {
                        s.notes = Some(format!("step {step}"));
                        s.changed = at(minute);
                    };
                    shop.archive.edit_jaw_set(set, edit).unwrap();
                }
                3 => {
                    let timeline = shop.archive.timeline(set, Details::LeftOut).unwrap();
                    let checks = timeline.cuts.first().map(|c| c.checks.clone());
                    if let Some(first) = checks.unwrap_or_default().first() {
                        shop.archive.hide_check(first.id, at(minute)).unwrap();
                    }
                }
                4 => {
                    let given = check(&shop.cut, &photos);
                    let out: Vec<String> = (0..=draw(2)).map(|_| hash(&[draw(6) as u8])).collect();
                    let out: Vec<&str> = out.iter().map(String::as_str).collect();
                    let _ = shop.archive.file_check_without(set, &given, &photos, &out);
                }
                _ if draw(3) == 0 => shop.archive.hide_cut(cut, at(minute)).unwrap(),
                _ => _ = shop.archive.unhide_cut(cut, at(minute)),
            }
        }
        join(&mut a, &mut b);
    }
}
