//! What sets teach each other is kept, and made again as soon as a record changes.

use std::sync::atomic::{AtomicUsize, Ordering};

use seepline::archive::Archive;
use seepline::{Id, Lesson, Timeline};

use crate::support::records::{at, check, shop};

/// Asks for the lessons of all sets, and says how many had to be made.
fn made(archive: &mut Archive, version: &str) -> (usize, Vec<Lesson>) {
    let count = AtomicUsize::new(0);
    let teach = |timeline: &Timeline| {
        count.fetch_add(1, Ordering::Relaxed);
        Lesson {
            name: timeline.jaw_set.name.clone(),
            ..Lesson::default()
        }
    };
    let lessons = archive.lessons(Id::derived(&[]), version, teach).unwrap();
    (count.into_inner(), lessons)
}

#[test]
fn a_lesson_is_kept_until_a_record_of_its_set_changes() {
    let mut shop = shop();
    let photos: [&[u8]; 1] = [b"a photo"];
    let filed = check(&shop.cut, &photos);
    let filed = shop.archive.file_check(shop.heron.id, &filed, &photos);
    let id = filed.unwrap().check;
    let sets = made(&mut shop.archive, "1").1.len();
    assert!(sets > 0);
    assert_eq!(made(&mut shop.archive, "1").0, 0);
    let (heron, cut) = (shop.heron.id, shop.cut.id);
    let changes: [&dyn Fn(&mut Archive); 4] = [
        &|a| drop(a.edit_jaw_set(heron, |s| s.stock = None).unwrap()),
        &|a| drop(a.edit_cut(cut, |c| c.taper = None).unwrap()),
        &|a| a.note_done(id, Some("skimmed"), at(40)).unwrap(),
        &|a| a.hide_check(id, at(50)).unwrap(),
    ];
    for change in changes {
        change(&mut shop.archive);
        assert_eq!(made(&mut shop.archive, "1").0, 1);
    }
}

#[test]
fn another_version_teaches_anew() {
    let mut shop = shop();
    let (first, lessons) = made(&mut shop.archive, "1");
    assert_eq!(first, lessons.len());
    assert_eq!(made(&mut shop.archive, "2").0, first);
}
