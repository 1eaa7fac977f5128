//! Killed at any moment, an archive opens and holds each check whole or not at all, and every one that
//! was said to be filed.

use std::io::{BufRead, BufReader, Read};
use std::time::{Duration, Instant};
use std::{fs, thread};

use seepline::archive::{Archive, ArchiveError};
use tempfile::TempDir;

use super::child::{command, whole_checks};

const KILLS: u32 = 200;
/// A new archive so often, so that its making, too, is cut off, and looking at all of it stays quick.
const KILLS_PER_ARCHIVE: u32 = 20;

#[test]
fn a_kill_leaves_every_check_whole_or_absent() {
    let started = Instant::now();
    let (mut filed, mut cut_short) = (0, 0);
    let mut folder = TempDir::new().unwrap();
    let mut known: Vec<u32> = Vec::new();
    for kill in 0..KILLS {
        if kill % KILLS_PER_ARCHIVE == 0 {
            folder = TempDir::new().unwrap();
            known.clear();
        }
        let said = killed(&folder, kill);
        known = match Archive::open(folder.path()) {
            // Killed before there was anything.
            Err(ArchiveError::Missing(_)) if known.is_empty() && said.is_empty() => continue,
            _ => {
                let now = whole_checks(folder.path());
                assert!(
                    known.iter().chain(&said).all(|n| now.contains(n)),
                    "kill {kill}"
                );
                assert!(now.windows(2).all(|w| w[0] < w[1]), "kill {kill}: {now:?}");
                now
            }
        };
        filed += said.len();
        let incoming = folder.path().join("photos").join("incoming");
        cut_short += fs::read_dir(incoming).map_or(0, Iterator::count);
    }
    println!(
        "{KILLS} kills, {filed} checks filed, half-written photos seen {cut_short} times, {:.0} s",
        started.elapsed().as_secs_f64()
    );
    assert!(
        filed >= KILLS as usize / 2,
        "the kills came too early to show anything: {filed}"
    );
}

/// Starts a process that files, and kills it: every other time at some moment after its start, else some
/// moment after its first check. Gives what it said it had filed.
fn killed(folder: &TempDir, kill: u32) -> Vec<u32> {
    let mut child = command(folder.path(), 0).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap());
    let mut said = String::new();
    // Up to 120 ms in even steps, in an order that shares no factor with their number: filing a check
    // takes some milliseconds, so that all phases of it are met.
    let wait = Duration::from_micros(u64::from(kill * 37 % KILLS) * 600);
    if kill.is_multiple_of(2) {
        while !said.contains("filed") && lines.read_line(&mut said).unwrap() > 0 {}
    }
    thread::sleep(wait);
    child.kill().unwrap();
    child.wait().unwrap();
    lines.read_to_string(&mut said).unwrap();
    said.lines()
        // The harness writes its own words before the first.
        .filter_map(|line| line.split("filed ").nth(1)?.parse().ok())
        .collect()
}
