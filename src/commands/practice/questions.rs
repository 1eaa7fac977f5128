//! What can be asked: the shop's finished checks, and photos with a table of what is true of them.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Context;
use sha2::{Digest, Sha256};

use crate::advice::{Action, Grip, Setup};
use crate::archive::{Archive, Details};
use crate::commands::load;
use crate::commands::read::judge;
use crate::compound::Method;
use crate::face::TipDirection;
use crate::learning::History;
use crate::opinion::{
    self, Call, Candidate, Drill, Truth, compare, differences, places_filed, ruling_on,
};
use crate::records::{Answer, FiledAdvice, FiledCall, FiledCheck, FiledReading, Item, Timeline};
use crate::report::CallReport;
use crate::rules::Rules;

/// One check or photo, with what is right about it.
pub(super) struct Question {
    pub(super) item: Item,
    pub(super) truth: Truth,
    pub(super) method: Method,
    pub(super) grip: Grip,
    /// With where the tip points in the upright photo.
    pub(super) photos: Vec<(PathBuf, TipDirection)>,
    /// See [`Candidate::quality`].
    quality: f64,
    /// As filed; of photos of a table, which are read when they are asked, `None`.
    seen: Option<Seen>,
}

/// What the program sees in the photos of a question.
#[derive(Clone)]
pub(super) struct Seen {
    /// What it reads; `None` where it would have the photos taken again.
    pub(super) program: Option<Answer>,
    /// Per jaw, the places that decide it.
    decides: Vec<String>,
}

/// Everything that can be asked.
pub(super) fn all(
    archive: &Archive,
    photos: Option<&Path>,
    rules: &Rules,
) -> anyhow::Result<Vec<Question>> {
    let calls = archive.calls()?;
    let mut all = Vec::new();
    for timeline in archive.every_timeline(Details::Whole)? {
        all.extend(of_timeline(archive, &timeline, &calls, rules)?);
    }
    if let Some(folder) = photos {
        all.extend(of_folder(folder, rules)?);
    }
    Ok(all)
}

/// The checks of a set whose taper was left after one of them, and those that were ruled on.
fn of_timeline(
    archive: &Archive,
    timeline: &Timeline,
    calls: &[FiledCall],
    rules: &Rules,
) -> anyhow::Result<Vec<Question>> {
    let checks: Vec<&FiledCheck> = timeline.cuts.iter().flat_map(|c| &c.checks).collect();
    let left = |c: &&FiledCheck| c.advice.action == Action::Leave;
    let finished = checks.iter().rposition(left);
    let mut all = Vec::new();
    for (index, check) in checks.iter().enumerate() {
        let ruling = ruling_on(check.id, calls).map(|r| &r.call);
        if ruling.is_none() && finished.is_none_or(|last| index > last) {
            continue;
        }
        if let Some(truth) = opinion::truth(check.id, timeline, ruling, rules.estimate()) {
            all.push(of_check(archive, check, timeline.jaw_set.grip, truth)?);
        }
    }
    Ok(all)
}

fn of_check(
    archive: &Archive,
    check: &FiledCheck,
    grip: Grip,
    truth: Truth,
) -> anyhow::Result<Question> {
    let mut photos = Vec::new();
    for reading in &check.readings {
        photos.push((archive.photo_path(&reading.sha256)?, tip_of(reading)));
    }
    let confidence: f64 = check.readings.iter().map(|r| r.confidence).sum();
    let decides =
        |(index, r): (usize, &FiledReading)| format!("Jaw {}: {}.", index + 1, places_filed(r));
    Ok(Question {
        item: Item::Check(check.id),
        truth,
        method: check.method,
        grip,
        // A reading is less sure of a photo that is less plain.
        quality: confidence / check.readings.len().max(1) as f64,
        seen: Some(Seen {
            program: opinion::answer(&check.advice),
            decides: check.readings.iter().enumerate().map(decides).collect(),
        }),
        photos,
    })
}

/// Where the tip points, by the corners that were read: tip-left, tip-right, base-right, base-left.
fn tip_of(reading: &FiledReading) -> TipDirection {
    let corners = &reading.detail["face"]["corners_px"];
    let at = |corner: usize, axis: usize| corners[corner][axis].as_f64().unwrap_or_default();
    let toward = |axis| at(0, axis) + at(1, axis) - at(2, axis) - at(3, axis);
    let (x, y) = (toward(0), toward(1));
    match (x.abs() > y.abs(), x > 0.0, y > 0.0) {
        (true, true, _) => TipDirection::Right,
        (true, false, _) => TipDirection::Left,
        (false, _, true) => TipDirection::Down,
        (false, _, false) => TipDirection::Up,
    }
}

fn of_folder(folder: &Path, rules: &Rules) -> anyhow::Result<Vec<Question>> {
    let file = folder.join("truth.json");
    let text = fs::read_to_string(&file).with_context(|| {
        format!(
            "{} could not be read; --photos takes a folder with a table of what is true of its photos, such \
             as sample-images",
            file.display()
        )
    })?;
    let drills = opinion::drills(&text, rules.estimate().increment)
        .with_context(|| file.display().to_string())?;
    let one = |drill: Drill| of_drill(folder, drill);
    // Photos of the table that are not there are passed over.
    Ok(drills.into_iter().filter_map(one).collect())
}

fn of_drill(folder: &Path, drill: Drill) -> Option<Question> {
    let photos: Vec<PathBuf> = drill.files.iter().map(|f| folder.join(f)).collect();
    let bytes = load::bytes_of(photos.first()?).ok()?;
    Some(Question {
        item: Item::Photo(format!("{:x}", Sha256::digest(&bytes))),
        truth: drill.truth,
        method: drill.method,
        grip: drill.grip,
        // A smaller file holds less of the face.
        quality: bytes.len() as f64,
        seen: None,
        photos: photos.into_iter().map(|p| (p, drill.tip)).collect(),
    })
}

impl Question {
    pub(super) fn candidate(&self) -> Candidate {
        Candidate {
            item: self.item.clone(),
            pattern: self.truth.pattern,
            quality: self.quality,
        }
    }

    /// What the program sees in it, which takes a moment where the photos were not read yet.
    pub(super) fn seen(&self, rules: &Rules) -> Seen {
        if let Some(seen) = &self.seen {
            return seen.clone();
        }
        let files: Vec<PathBuf> = self.photos.iter().map(|(file, _)| file.clone()).collect();
        let common = load::Common {
            method: self.method,
            tip: self.photos.first().map(|(_, tip)| *tip),
            corners: &[],
        };
        let setup = Setup {
            grip: self.grip,
            ..Setup::default()
        };
        let photos = load::read_all(&files, common);
        let report = judge(photos, self.method, setup, rules, &History::default());
        Seen {
            program: opinion::answer(&FiledAdvice::of(&report.advice)),
            decides: CallReport::decides(&report),
        }
    }

    /// The call beside what was right.
    pub(super) fn reveal(&self, call: Call, seen: Seen, rules: &Rules) -> CallReport {
        let answer = Answer {
            pattern: self.truth.pattern,
            change: self.truth.change,
        };
        let comparison = compare(&call, &answer);
        CallReport {
            beside: "What was right",
            differences: differences(&call, &answer, &comparison, self.method),
            why: self.why(&call, &answer, rules),
            decides: seen.decides,
            answer: Some(answer),
            comparison: Some(comparison),
            truth: Some(self.truth),
            call,
        }
    }

    fn why(&self, call: &Call, answer: &Answer, rules: &Rules) -> String {
        let right = opinion::reason(answer, self.method, rules);
        let asked = opinion::asked_instead(call, answer, self.method, rules);
        format!("{right} {asked}").trim_end().to_owned()
    }
}
