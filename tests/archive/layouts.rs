//! Archives of every earlier layout become the newest and keep what they hold.
//!
//! `layouts/N.sql` is the dump of an archive as the version with layout N wrote it; a new migration adds
//! the dump of the layout before it.

use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use seepline::archive::{Archive, Details};
use seepline::{Length, Pattern};
use tempfile::TempDir;

use crate::support::records::shop;

fn version(file: &Path) -> i64 {
    let db = Connection::open(file).unwrap();
    db.pragma_query_value(None, "user_version", |row| row.get(0))
        .unwrap()
}

/// What the layout consists of, by name.
fn schema(file: &Path) -> Vec<(String, String)> {
    let db = Connection::open(file).unwrap();
    let sql = "SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY name";
    let mut statement = db.prepare(sql).unwrap();
    let rows = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap();
    rows.collect::<Result<_, _>>().unwrap()
}

fn dump(version: i64) -> PathBuf {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/archive/layouts");
    PathBuf::from(folder).join(format!("{version}.sql"))
}

#[test]
fn every_earlier_layout_becomes_the_newest() {
    let fresh = shop();
    let newest = fresh.folder.path().join("archive.sqlite");
    for earlier in 1..version(&newest) {
        let folder = TempDir::new().unwrap();
        let file = folder.path().join("archive.sqlite");
        let text = fs::read_to_string(dump(earlier)).unwrap();
        let db = Connection::open(&file).unwrap();
        db.execute_batch(&text).unwrap();
        drop(db);
        assert_eq!(version(&file), earlier);
        let archive = Archive::open(folder.path()).unwrap();
        let heron = archive.jaw_set("heron").unwrap();
        assert_eq!(heron.face_length, Some(Length::from_tenths(12_500)));
        let timeline = archive.timeline(heron.id, Details::Whole).unwrap();
        assert_eq!(timeline.cuts.len(), 2);
        let check = &timeline.cuts[1].checks[0];
        assert_eq!(
            (check.readings.len(), check.advice.pattern),
            (2, Pattern::TipOnly)
        );
        assert_eq!(check.readings[1].detail["file"], "jaw2.jpg");
        assert_eq!(check.readings[1].phone, None);
        let labels = archive.labels().unwrap().len();
        assert_eq!(labels, usize::from(earlier >= 6), "layout {earlier}");
        drop(archive);
        assert_eq!(version(&file), version(&newest));
        assert_eq!(schema(&file), schema(&newest));
    }
}

#[test]
fn migrating_twice_is_migrating_once() {
    let shop = shop();
    let file = shop.folder.path().join("archive.sqlite");
    let before = (schema(&file), shop.archive.export_json().unwrap());
    for _ in 0..2 {
        let archive = Archive::create_or_open(shop.folder.path()).unwrap();
        assert_eq!((schema(&file), archive.export_json().unwrap()), before);
    }
}

#[test]
fn a_file_whose_making_was_cut_off_becomes_an_archive() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("archive.sqlite"), "").unwrap();
    let archive = Archive::open(folder.path()).unwrap();
    assert_eq!(archive.every_timeline(Details::Whole).unwrap(), []);
}
