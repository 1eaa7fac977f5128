//! A consistent copy while the archive is in use.

use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use seepline::archive::{Archive, ArchiveError, Details};
use tempfile::TempDir;

use crate::support::records::{check, hash, shop};

#[test]
fn a_backup_holds_everything_and_is_an_archive_itself() {
    let mut shop = shop();
    shop.file(&[b"a", b"b"]);
    let target = TempDir::new().unwrap();
    let folder = target.path().join("new").join("backup");
    let done = shop.archive.backup(&folder).unwrap();
    assert_eq!((done.checks, done.photos, done.missing.len()), (1, 2, 0));
    let mut copy = Archive::open(&folder).unwrap();
    assert_eq!(copy.verify().unwrap(), []);
    assert_eq!(
        copy.export_json().unwrap(),
        shop.archive.export_json().unwrap()
    );
    copy.file_check(shop.heron.id, &check(&shop.cut, &[b"c"]), &[b"c"])
        .unwrap();
    assert_eq!(
        shop.archive
            .timeline(shop.heron.id, Details::LeftOut)
            .unwrap()
            .cuts[0]
            .checks
            .len(),
        1
    );
}

#[test]
fn a_backup_overwrites_nothing() {
    let shop = shop();
    let taken = |folder: &std::path::Path| ArchiveError::TargetTaken(folder.to_path_buf());
    let own = shop.folder.path();
    assert_eq!(shop.archive.backup(own), Err(taken(own)));
    let other = TempDir::new().unwrap();
    fs::write(other.path().join("archive.sqlite"), "whatever it is").unwrap();
    assert_eq!(shop.archive.backup(other.path()), Err(taken(other.path())));
    assert_eq!(
        fs::read(other.path().join("archive.sqlite")).unwrap(),
        b"whatever it is"
    );
}

#[test]
fn a_photo_that_is_gone_is_said() {
    let mut shop = shop();
    shop.file(&[b"a", b"b"]);
    fs::remove_file(shop.archive.photo_path(&hash(b"a")).unwrap()).unwrap();
    let target = TempDir::new().unwrap();
    let done = shop.archive.backup(target.path()).unwrap();
    assert_eq!((done.photos, done.missing), (1, vec![hash(b"a")]));
}

#[test]
fn it_is_whole_while_another_connection_files() {
    let mut shop = shop();
    let stop = AtomicBool::new(false);
    let mut writer = Archive::open(shop.folder.path()).unwrap();
    shop.file(&[b"a"]);
    thread::scope(|scope| {
        scope.spawn(|| {
            for n in 0_u32.. {
                if stop.load(Ordering::Relaxed) {
                    break;
                }
                let photos = [n.to_be_bytes(), (!n).to_be_bytes()];
                let photos: Vec<&[u8]> = photos.iter().map(<[u8; 4]>::as_slice).collect();
                writer
                    .file_check(shop.heron.id, &check(&shop.cut, &photos), &photos)
                    .unwrap();
            }
        });
        for _ in 0..8 {
            let target = TempDir::new().unwrap();
            shop.archive.backup(target.path()).unwrap();
            assert_eq!(Archive::open(target.path()).unwrap().verify().unwrap(), []);
        }
        stop.store(true, Ordering::Relaxed);
    });
}
