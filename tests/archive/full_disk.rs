//! A full disk: each check whole or absent, and the error says what to do.

use std::path::Path;

use seepline::archive::{Archive, ArchiveError};
use tempfile::TempDir;

use super::child::{photos, set_and_cut, whole_checks};
use crate::support::disk::SmallDisk;
use crate::support::records::check;

/// Files checks until one is refused; gives how many were filed, and the refusal.
fn fill(archive: &mut Archive) -> (u32, ArchiveError) {
    let (set, cut) = set_and_cut();
    for n in 0..10_000 {
        let photos = photos(n);
        let photos: Vec<&[u8]> = photos.iter().map(Vec::as_slice).collect();
        let mut given = check(&cut, &photos);
        given.advice.why = n.to_string();
        if let Err(error) = archive.file_check(set.id, &given, &photos) {
            return (n, error);
        }
    }
    panic!("ten thousand checks on a disk that should be full");
}

fn archive_in(folder: &Path) -> Archive {
    let (set, cut) = set_and_cut();
    let mut archive = Archive::create_or_open(folder).unwrap();
    archive.put_jaw_set(&set).unwrap();
    archive.put_cut(&cut).unwrap();
    archive
}

fn is_full(error: &ArchiveError) {
    assert!(matches!(error, ArchiveError::Full(_)), "{error:?}");
    assert!(error.to_string().contains("free some space"), "{error}");
}

#[test]
fn a_database_that_cannot_grow_keeps_what_it_has() {
    let folder = TempDir::new().unwrap();
    let mut archive = archive_in(folder.path());
    archive.hold_to_pages(20).unwrap();
    let (filed, error) = fill(&mut archive);
    is_full(&error);
    assert!(filed > 0);
    assert_eq!(
        whole_checks(folder.path()),
        (0..filed).collect::<Vec<u32>>()
    );
    // With space again, what was refused can be filed.
    drop(archive);
    let mut archive = Archive::open(folder.path()).unwrap();
    archive.hold_to_pages(60).unwrap();
    let (more, _) = fill(&mut archive);
    assert!(more > filed, "{more} {filed}");
    assert_eq!(whole_checks(folder.path()), (0..more).collect::<Vec<u32>>());
}

#[test]
fn a_small_real_disk_that_fills_up_keeps_what_it_has() {
    // Other sizes stop at other steps: a photo, the log, the log's index.
    for size in ["300k", "412k", "700k", "1000k", "1500k"] {
        let Some(disk) = SmallDisk::new(size) else {
            return;
        };
        let folder = disk.path();
        let mut archive = archive_in(folder);
        let (filed, error) = fill(&mut archive);
        is_full(&error);
        assert_eq!(
            whole_checks(folder),
            (0..filed).collect::<Vec<u32>>(),
            "{size}"
        );
        drop(archive);
        assert_eq!(
            whole_checks(folder),
            (0..filed).collect::<Vec<u32>>(),
            "{size}"
        );
        println!("{size}: {filed} checks, then: {error}");
    }
}
