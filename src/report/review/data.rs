//! The table's data: scripts that fill one variable, since a page from a folder may not fetch files.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::super::words;
use super::{Review, paths, shown};
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::review::{CheckLine, Flag, PhotoLine};
use crate::units::PerSide;

/// Checks in one script: some megabytes at most.
const CHUNK: usize = 5000;
/// Thumbnails in one row.
const THUMBS: usize = 3;
/// The script takes the first one for no number to cut by.
const ACTIONS: [&str; 7] = [
    "Leave the taper as it is",
    "Cut again with less taper",
    "Cut again with more taper",
    "Fix first, no taper change yet",
    "Say what is left open, and read again",
    "Take the photo again",
    "Not proven here: what to change is kept back",
];

/// How many scripts the rows take.
pub(super) fn chunks(review: &Review<'_>) -> usize {
    review.order.len().div_ceil(CHUNK)
}

pub(super) fn chunk_path(chunk: usize) -> String {
    format!("data/checks-{chunk}.js")
}

/// The variable itself, with what the rows' numbers stand for.
pub(super) fn names(review: &Review<'_>) -> String {
    let sets = review.order.sets.iter();
    let set =
        |(i, name): (usize, Option<&str>)| json!([shown::set_name(name), review.paths.set(i, 0)]);
    let flags = Flag::ALL.map(|f| json!([f.word(), shown::flag(f)]));
    // No word of a change where none is said.
    let said = &review.totals.actions;
    // Each once: rows name them by their place, which also sorts them.
    let changes = review.totals.changes.iter().copied();
    let value = json!({
        "sets": sets.map(|s| s.name.as_deref()).enumerate().map(set).collect::<Vec<_>>(),
        "patterns": Pattern::ALL.map(words::name),
        "actions": ACTIONS.map(|action| said.contains(action).then_some(action)),
        "reasons": Reason::ALL.map(words::reason),
        "flags": flags,
        "changes": changes.map(shown::change).collect::<Vec<_>>(),
        "rows": [],
    });
    format!("var seepline={};\n", script(&value))
}

/// One array a row: stem of the page, set, time, pattern, action, confidence in per cent, flags and
/// reasons as bits, change, number of photos, photos with thumbnails, names of the files, what was done.
pub(super) fn rows(review: &Review<'_>, chunk: usize, into: &mut dyn Write) -> io::Result<()> {
    let changes: Vec<PerSide> = review.totals.changes.iter().copied().collect();
    let first = chunk * CHUNK;
    let last = review.order.len().min(first + CHUNK);
    write!(into, "seepline.rows[{chunk}]=[")?;
    for index in first..last {
        let comma = if index == first { "" } else { "," };
        let row = script(&row(review, index, &changes)?);
        write!(into, "{comma}{row}")?;
    }
    writeln!(into, "];")
}

fn row(review: &Review<'_>, index: usize, changes: &[PerSide]) -> io::Result<Value> {
    let check = &review.lines.check(index)?;
    let photos = &review.photos_of(index)?;
    let place = |c: PerSide| changes.binary_search(&c).ok();
    let made = check.made.as_deref().map(|m| shown::time(Some(m)));
    Ok(json!([
        review.paths.check_stem(index),
        review.order.set_of(index),
        made.unwrap_or_default(),
        Pattern::ALL.iter().position(|p| *p == check.pattern),
        action(check),
        words::whole_percent(check.confidence) as u8,
        review.findings.bits(index),
        reasons(photos),
        // The script takes what is below zero for none.
        check.change.and_then(place).map_or(-1, |i| i as i64),
        check.photos.len(),
        thumbs(photos),
        files(photos),
        check.done.as_deref().map(shown::free).unwrap_or_default(),
    ]))
}

/// By these a check is found, too; the folders above them are on its page.
fn files(photos: &[PhotoLine]) -> String {
    let names = photos
        .iter()
        .map(|p| shown::name(p.file.rsplit('/').next().unwrap_or(&p.file)));
    names.collect::<Vec<_>>().join(", ")
}

/// Place in [`ACTIONS`].
fn action(check: &CheckLine) -> Option<usize> {
    let words = shown::action(check);
    ACTIONS.iter().position(|a| *a == words)
}

fn reasons(photos: &[PhotoLine]) -> u16 {
    let refusals = photos.iter().filter_map(|p| p.refusal);
    let bit = |r: Reason| {
        Reason::ALL
            .iter()
            .position(|o| *o == r)
            .map_or(0, |i| 1 << i)
    };
    refusals.fold(0, |bits, r| bits | bit(r))
}

fn thumbs(photos: &[PhotoLine]) -> Vec<&str> {
    let whole = photos.iter().filter(|p| p.error.is_none());
    let names = whole
        .map(|p| p.sha256.as_str())
        .filter(|s| paths::is_sha256(s));
    names.take(THUMBS).collect()
}

/// JSON that may also stand inside a page: no `<` that could end a script element (HTML standard,
/// 4.12.1.3, restrictions for contents of script elements).
pub(super) fn script(value: &Value) -> String {
    value
        .to_string()
        .replace('<', "\\u003c")
        // Line ends in JavaScript before 2019, though not in JSON: older browsers would stop at them.
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}
