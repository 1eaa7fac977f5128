//! A table of photos whose truth is known, such as `sample-images/truth.json`, → questions.

use serde::Deserialize;

use super::super::truth::{Basis, Truth, exactly};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::taper::advice::Grip;
use crate::taper::learning::Interval;
use crate::text::outside::echo_place;
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
/// Where the text is no such table, and where a tip-only or base-only photo has no error: its right change would be
/// none, and every change that is called would count as one for nothing.
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
            let truth = truth(Some(check.pattern), Some(check.taper_error_um), step)
                .ok_or_else(|| no_error(text, &row.file))?;
            // One that is not in the table, as the first.
            let tips = rows.iter().map(|r| r.map_or(row.tip, |r| r.tip));
            all.push(drill(check.photos.clone(), tips.collect(), truth, row));
        }
    }
    for row in table.photos.iter().filter(single) {
        // The table may say what a face has though this photo of it can't show it; then unreadable is
        // right.
        let pattern = row.pattern.filter(|_| row.readable);
        let truth =
            truth(pattern, row.taper_error_um, step).ok_or_else(|| no_error(text, &row.file))?;
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

/// At the line of the table that names the file first.
fn no_error(text: &str, file: &str) -> TableError {
    let named = serde_json::Value::from(file).to_string();
    let before = text.find(&named).map_or("", |at| &text[..at]);
    TableError {
        line: before.matches('\n').count() + 1,
        reason: format!(
            "“{}” is tip-only or base-only and has no taper_error_um that is a length; give it in micrometres",
            echo_place(file)
        ),
    }
}

/// The right change is the error turned round; where the jaws grip along their whole length, none. `None` where the
/// pattern asks for a change and nothing says how much.
fn truth(pattern: Option<Pattern>, error_um: Option<f64>, step: PerSide) -> Option<Truth> {
    let pattern = pattern.unwrap_or(Pattern::Unreadable);
    // change = −taper error.
    let exact = |um: f64| PerSide::from_computed_micrometres(-um);
    let change = match pattern {
        // Whatever error is left is too small for the compound to show: nothing to cut.
        Pattern::FullLength => Some(exactly(PerSide::ZERO)),
        pattern if is_taper(pattern) => {
            let median = error_um.and_then(exact)?;
            Some(Interval {
                low: median - step,
                median,
                high: median + step,
            })
        }
        _ => None,
    };
    Some(Truth {
        pattern,
        change,
        by: Basis::Table,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn photo(fields: &str) -> Result<Vec<Drill>, TableError> {
        let text = format!("{{\n\"photos\": [\n{{\"file\": \"a.jpg\", {fields}}}]}}");
        drills(&text, PerSide::of(Length::from_tenths(5)))
    }

    #[test]
    fn an_open_end_needs_the_error_that_opens_it() {
        for pattern in ["tip-only", "base-only"] {
            let error = photo(&format!("\"readable\": true, \"pattern\": \"{pattern}\""));
            let error = error.unwrap_err().to_string();
            assert!(
                error.contains("line 3") && error.contains("a.jpg"),
                "{error}"
            );
        }
        let known =
            photo("\"readable\": true, \"pattern\": \"tip-only\", \"taper_error_um\": 25.4");
        let change = known.unwrap()[0].truth.change.unwrap();
        // 25.4 µm too much taper: one thousandth of an inch is to be taken off.
        assert_eq!(change.median, PerSide::of(Length::from_tenths(-10)));
    }

    #[test]
    fn what_is_no_matter_of_taper_needs_none() {
        for fields in [
            "\"readable\": false, \"pattern\": \"tip-only\"",
            "\"readable\": true, \"pattern\": \"one-side\"",
            "\"readable\": true, \"pattern\": \"full-length\"",
        ] {
            assert_eq!(photo(fields).unwrap().len(), 1, "{fields}");
        }
    }

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
