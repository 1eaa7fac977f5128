//! Several connections and processes at once lose nothing and double nothing.

use std::thread;

use seepline::archive::{Archive, Details, Filing};
use tempfile::TempDir;

use super::child::{command, whole_checks};
use crate::support::records::{check, cut, jaw_set, shop};

#[test]
fn an_archive_made_by_several_at_once_is_one() {
    for _ in 0..5 {
        let folder = TempDir::new().unwrap();
        let path = folder.path().join("shop");
        thread::scope(|scope| {
            for n in 0..6 {
                let path = &path;
                scope.spawn(move || {
                    let mut archive = Archive::create_or_open(path).unwrap();
                    archive
                        .put_jaw_set(&jaw_set(&format!("plover {n}")))
                        .unwrap();
                });
            }
        });
        let archive = Archive::open(&path).unwrap();
        assert_eq!(archive.every_timeline(Details::LeftOut).unwrap().len(), 6);
    }
}

#[test]
fn of_several_that_file_the_same_photos_one_files_them() {
    let shop = shop();
    let news = thread::scope(|scope| {
        let file = || {
            let mut archive = Archive::open(shop.folder.path()).unwrap();
            let photos: Vec<[u8; 1]> = (0..25).map(|n| [n]).collect();
            let new = photos.iter().filter(|p| {
                let photos = [p.as_slice()];
                let filed = archive.file_check(shop.heron.id, &check(&shop.cut, &photos), &photos);
                filed.unwrap().filing == Filing::New
            });
            new.count()
        };
        let all: Vec<_> = (0..4).map(|_| scope.spawn(file)).collect();
        all.into_iter().map(|t| t.join().unwrap()).sum::<usize>()
    });
    let timeline = shop
        .archive
        .timeline(shop.heron.id, Details::LeftOut)
        .unwrap();
    assert_eq!((news, timeline.cuts[0].checks.len()), (25, 25));
}

#[test]
fn two_processes_that_file_at_once_lose_and_double_nothing() {
    const COUNT: u32 = 30;
    let folder = TempDir::new().unwrap();
    let children: Vec<_> = (0..2)
        .map(|_| command(folder.path(), COUNT).spawn().unwrap())
        .collect();
    for child in children {
        let output = child.wait_with_output().unwrap();
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    assert_eq!(
        whole_checks(folder.path()),
        (0..COUNT).collect::<Vec<u32>>()
    );
}

#[test]
fn a_reader_sees_no_half_of_a_check_while_another_files() {
    let mut shop = shop();
    let reader = Archive::open(shop.folder.path()).unwrap();
    let later = cut(&shop.heron, 9);
    thread::scope(|scope| {
        let writer = scope.spawn(|| {
            for n in 0_u8..40 {
                let photos: [&[u8]; 3] = [&[n], &[n, n], &[n, n, n]];
                shop.archive
                    .file_check(shop.heron.id, &check(&shop.cut, &photos), &photos)
                    .unwrap();
            }
            shop.archive.put_cut(&later).unwrap();
        });
        while !writer.is_finished() {
            let timeline = reader.timeline(shop.heron.id, Details::Whole).unwrap();
            let mut checks = timeline.cuts.iter().flat_map(|c| &c.checks);
            assert!(checks.all(|c| c.readings.len() == 3));
        }
    });
}
