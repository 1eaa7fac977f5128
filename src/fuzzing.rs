//! What the fuzz targets in `tests/fuzz` need of the private parts. Compiled for them alone: cargo-fuzz sets
//! `--cfg fuzzing`, and no ordinary build has it.

use std::collections::BTreeSet;

pub use crate::page::{Answered, Page};

use crate::archive::Problem;
use crate::people::opinion::Person;
use crate::people::study::{Fault, read_sheet, read_truth};
use crate::review::Table;
use crate::taper::limits::LARGEST_TAPER;

/// A panic of this crate ends the run, also where it would be caught; a decoder of others may panic inside of
/// `read_photo`, which expects it.
pub fn only_others_may_panic() {
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map_or("", |l| l.file());
        if !place.contains("/registry/") && !place.starts_with("/rustc/") {
            eprintln!("{info}");
            std::process::abort();
        }
    }));
}

/// Reads `table` as every table that people fill in apart from the one of jaw sets: a review's `--groups`, a
/// study's answer sheet of the reader AB with `numbers`, a study's truth. Gives the lines named as problems.
pub fn tables(table: &[u8], files: &[&str], numbers: u32) -> BTreeSet<u64> {
    let (groups, problems) = Table::parse(table, LARGEST_TAPER);
    // Lines whose file is not there are problems, too, and found only here.
    let (_, unused) = groups.of_files(files);
    let named = problems
        .iter()
        .chain(&unused)
        .map(|p: &Problem| (p.line, &p.what));
    let mut lines: BTreeSet<u64> = named.map(said).collect();
    if let Ok(reader) = Person::parse("AB") {
        let sheet = read_sheet(table, &reader, numbers);
        assert!(sheet.answers.keys().all(|n| (1..=numbers).contains(n)));
        lines.extend(lines_of(&sheet.faults));
    }
    let (right, faults) = read_truth(table, files);
    assert!(right.keys().all(|photo| files.contains(&photo.as_str())));
    lines.extend(lines_of(&faults));
    lines
}

fn lines_of(faults: &[Fault]) -> impl Iterator<Item = u64> {
    faults.iter().filter_map(|f| Some(said((f.line?, &f.what))))
}

fn said((line, what): (u64, &String)) -> u64 {
    assert!(!what.is_empty());
    line
}
