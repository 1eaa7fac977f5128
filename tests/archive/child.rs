//! This test program started again as another process that files checks.

use std::env;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use jiff::civil::date;
use seepline::archive::{Archive, Details};
use seepline::{Cut, Id, JawSet};

use crate::support::program::test_alone;
use crate::support::records::{check, cut, jaw_set};

const FOLDER: &str = "SEEPLINE_TEST_FOLDER";
const COUNT: &str = "SEEPLINE_TEST_COUNT";

/// The set and the cut that every child knows.
pub(crate) fn set_and_cut() -> (JawSet, Cut) {
    let mut set = jaw_set("heron");
    set.id = Id::derived(&["the children's set"]);
    let mut cut = cut(&set, 0);
    cut.id = Id::derived(&["the children's cut"]);
    (set, cut)
}

/// The photos of the `n`-th check: some kilobytes, so that writing one takes several steps.
pub(crate) fn photos(n: u32) -> Vec<Vec<u8>> {
    let photo = |jaw: u32| {
        let block = format!("check {n}, jaw {jaw}\n");
        block.repeat(400).into_bytes()
    };
    (1..=3).map(photo).collect()
}

/// Files checks 0, 1, 2, … and says `filed n` after each.
pub(crate) fn command(folder: &Path, count: u32) -> Command {
    let mut command = test_alone(module_path!(), "files_checks");
    command.env(FOLDER, folder).env(COUNT, count.to_string());
    command
}

/// Every check is whole: all photos, readings and details. Gives their numbers, in order.
pub(crate) fn whole_checks(folder: &Path) -> Vec<u32> {
    let archive = Archive::open(folder).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    let mut numbers = Vec::new();
    for timeline in archive.every_timeline(Details::Whole).unwrap() {
        for check in timeline.cuts.iter().flat_map(|c| &c.checks) {
            let number: u32 = check.advice.why.parse().unwrap();
            let expected = photos(number);
            let photos: Vec<&[u8]> = expected.iter().map(Vec::as_slice).collect();
            let whole = crate::support::records::check(&timeline.cuts[0].cut, &photos);
            assert_eq!(check.readings, whole.readings);
            for (reading, photo) in check.readings.iter().zip(&photos) {
                let path = archive.photo_path(&reading.sha256).unwrap();
                assert_eq!(std::fs::read(path).unwrap(), *photo);
            }
            numbers.push(number);
        }
    }
    numbers.sort_unstable();
    numbers
}

#[test]
#[ignore = "is the other process of other tests"]
fn files_checks() {
    let (Some(folder), Ok(count)) = (env::var_os(FOLDER), env::var(COUNT)) else {
        return;
    };
    let folder = PathBuf::from(folder);
    let (set, cut) = set_and_cut();
    let mut archive = Archive::create_or_open(&folder).unwrap();
    archive.put_jaw_set(&set).unwrap();
    archive.put_cut(&cut).unwrap();
    let before = archive.timeline(set.id, Details::LeftOut).unwrap();
    let start = before.cuts[0].checks.len() as u32;
    let start = if count == "0" { start } else { 0 };
    let end = start
        + count
            .parse::<u32>()
            .map_or(u32::MAX, |n| if n == 0 { 100_000 } else { n });
    for n in start..end {
        let photos = photos(n);
        let photos: Vec<&[u8]> = photos.iter().map(Vec::as_slice).collect();
        let mut given = check(&cut, &photos);
        given.advice.why = n.to_string();
        given.made = date(2026, 3, 4).at(0, 0, 0, 0);
        archive.file_check(set.id, &given, &photos).unwrap();
        // Straight to the pipe: what is said was filed, what was filed last may not be said.
        let mut out = std::io::stdout().lock();
        writeln!(out, "filed {n}")
            .and_then(|()| out.flush())
            .unwrap();
    }
}
