//! A table of photos whose truth is known, such as `sample-images/truth.json`, → questions.

use serde::Deserialize;

use super::super::truth::{Basis, Truth, exactly};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::taper::advice::Grip;
use crate::taper::learning::Interval;
use crate::units::PerSide;

/// Photos of one check, or one photo, with what is right about them.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// As in the table, from its folder.
    pub files: Vec<String>,
    /// What is right.
    pub truth: Truth,
    /// How the check was made.
    pub method: Method,
    /// Which way the jaws grip.
    pub grip: Grip,
    /// Where the tip points in each upright photo, as `files`.
    pub tips: Vec<TipDirection>,
}

/// Not a table of that kind.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "line {line} of the table: {reason}; see the README beside `sample-images/truth.json` for what it holds"
)]
pub struct TableError {
    line: usize,
    reason: String,
}

#[derive(Deserialize)]
struct Table {
    #[serde(default)]
    checks: Vec<CheckRow>,
    photos: Vec<PhotoRow>,
}

#[derive(Deserialize)]
struct CheckRow {
    photos: Vec<String>,
    pattern: Pattern,
    taper_error_um: f64,
}

#[derive(Deserialize)]
struct PhotoRow {
    file: String,
    readable: bool,
    pattern: Option<Pattern>,
    #[serde(default)]
    taper_error_um: Option<f64>,
    #[serde(default)]
    method: Method,
    #[serde(default)]
    grip: Grip,
    #[serde(default)]
    tip: TipDirection,
}

/// Every check of the table, and every photo that is in none of them. An amount is right within `step`, the
/// shop's smallest step, of the true one.
///
/// # Errors
/// Where the text is no such table.
pub fn drills(text: &str, step: PerSide) -> Result<Vec<Drill>, TableError> {
    let table: Table = serde_json::from_str(text).map_err(|e| TableError {
        line: e.line(),
        reason: e.to_string(),
    })?;
    let in_checks: Vec<&String> = table.checks.iter().flat_map(|c| &c.photos).collect();
    // A check's photos are asked together: its answer is about all of its jaws.
    let single = |p: &&PhotoRow| !in_checks.contains(&&p.file);
    let row_of = |file: &String| table.photos.iter().find(|p| p.file == *file);
    let mut all = Vec::new();
    for check in &table.checks {
        let rows: Vec<Option<&PhotoRow>> = check.photos.iter().map(row_of).collect();
        // Method and grip stand with the photos; the first one's hold for the check. Each photo has its own tip.
        if let Some(Some(row)) = rows.first() {
            let truth = truth(Some(check.pattern), Some(check.taper_error_um), step);
            // One that is not in the table, as the first.
            let tips = rows.iter().map(|r| r.map_or(row.tip, |r| r.tip));
            all.push(drill(check.photos.clone(), tips.collect(), truth, row));
        }
    }
    for row in table.photos.iter().filter(single) {
        // The table may say what a face has though this photo of it can't show it; then unreadable is
        // right.
        let pattern = row.pattern.filter(|_| row.readable);
        let truth = truth(pattern, row.taper_error_um, step);
        all.push(drill(vec![row.file.clone()], vec![row.tip], truth, row));
    }
    Ok(all)
}

fn drill(files: Vec<String>, tips: Vec<TipDirection>, truth: Truth, row: &PhotoRow) -> Drill {
    Drill {
        files,
        truth,
        method: row.method,
        grip: row.grip,
        tips,
    }
}

/// The right change is the error turned round; where the jaws grip along their whole length, none.
fn truth(pattern: Option<Pattern>, error_um: Option<f64>, step: PerSide) -> Truth {
    let pattern = pattern.unwrap_or(Pattern::Unreadable);
    // change = −taper error.
    let exact = |um: f64| PerSide::from_computed_micrometres(-um);
    let change = match pattern {
        // Whatever error is left is too small for the compound to show: nothing to cut.
        Pattern::FullLength => Some(exactly(PerSide::ZERO)),
        pattern if is_taper(pattern) => error_um.and_then(exact).map(|median| Interval {
            low: median - step,
            median,
            high: median + step,
        }),
        _ => None,
    };
    Truth {
        pattern,
        change,
        by: Basis::Table,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_photo_of_a_check_has_its_own_tip() {
        let table = r#"{
            "checks": [{ "photos": ["a.jpg", "b.jpg"], "pattern": "tip-only", "taper_error_um": 50.0 }],
            "photos": [
                { "file": "a.jpg", "readable": true, "pattern": "tip-only", "tip": "up" },
                { "file": "b.jpg", "readable": true, "pattern": "tip-only", "tip": "left" },
                { "file": "c.jpg", "readable": true, "pattern": "full-length", "tip": "down" }
            ]
        }"#;
        let drills = drills(table, PerSide::ZERO).expect("a table");
        let tips: Vec<&[TipDirection]> = drills.iter().map(|d| &d.tips[..]).collect();
        let [up, left, down] = [TipDirection::Up, TipDirection::Left, TipDirection::Down];
        assert_eq!(tips, [&[up, left][..], &[down]]);
    }
}
