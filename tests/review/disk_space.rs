//! A folder for the result that fills up, or may not be written to.

use std::fs;
use std::path::Path;

use super::shop::{Shop, read_now};
use crate::support::disk::SmallDisk;

/// A run that could not write: nothing could be done, and it says where and what to do.
fn refused(shop: &Shop, into: &str) -> String {
    let output = shop.run("review", &format!("checks --tip up --into {into}"));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{errors}");
    assert!(errors.contains(into), "{errors}");
    errors
}

#[test]
fn a_disk_that_fills_up_keeps_what_was_read() {
    let shop = Shop::with_two_checks();
    shop.review("whole", "", 0);
    let whole = bytes_below(&shop.path("whole"));
    let mut met = Vec::new();
    // Of what the whole result takes; tmpfs gives space out in pages of 4 kB.
    for share in [1, 3, 5, 7, 9] {
        let size = (whole * share / 10).next_multiple_of(4096);
        let Some(disk) = SmallDisk::new(&size.to_string()) else {
            return;
        };
        let into = disk.path().display().to_string();
        let errors = refused(&shop, &into);
        assert!(errors.contains("space"), "{errors}");
        let kept = shop.kept(&into);
        // The same command goes on where there is space again.
        disk.remount("size=64m");
        let read = read_now(&shop.review(&into, "", 0));
        assert_eq!(read, 6 - kept, "{share} tenths");
        assert_eq!(shop.result(&into), shop.result("whole"));
        met.push(kept);
    }
    println!("photos kept by runs that a full disk ended: {met:?} of 6");
    assert!(met.iter().any(|kept| *kept > 0));
}

fn bytes_below(folder: &Path) -> u64 {
    let entries = fs::read_dir(folder).unwrap().flatten();
    let size = |entry: fs::DirEntry| match entry.metadata().unwrap() {
        data if data.is_dir() => bytes_below(&entry.path()),
        data => data.len(),
    };
    entries.map(size).sum()
}

#[test]
fn a_folder_that_may_not_be_written_to_is_left_as_it_is() {
    let shop = Shop::with_two_checks();
    let Some(disk) = SmallDisk::new("64m") else {
        return;
    };
    let into = disk.path().display().to_string();
    disk.remount("ro");
    refused(&shop, &into);
    assert_eq!(fs::read_dir(disk.path()).unwrap().count(), 0);
    // With a result in it.
    disk.remount("rw");
    shop.review(&into, "", 0);
    let result = shop.result(&into);
    disk.remount("ro");
    refused(&shop, &into);
    assert_eq!(shop.result(&into), result);
}
