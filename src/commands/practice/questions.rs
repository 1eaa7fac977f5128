//! What can be asked: the shop's finished checks, and photos with a table of what is true of them.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::Context;
use sha2::{Digest, Sha256};

use crate::archive::{Archive, Details};
use crate::commands::load;
use crate::people::opinion::{self, Drill, Outcomes, Question, Truth, Word, rulings};
use crate::people::records::Item;
use crate::reading::face::TipDirection;
use crate::taper::advice::Grip;
use crate::taper::records::{FiledCheck, Id, Timeline};
use crate::taper::rules::Rules;

/// A question, and where its photos are.
pub(super) struct Sourced {
    pub(super) question: Question,
    pub(super) source: Source,
}

/// Where the photos of a question are.
pub(super) enum Source {
    /// A check of the archive.
    Check(Id),
    /// Files, each with where the tip points in it, upright.
    Files(Vec<(PathBuf, TipDirection)>),
}

/// Everything that can be asked.
pub(super) fn all(
    archive: &Archive,
    photos: Option<&Path>,
    rules: &Rules,
) -> anyhow::Result<Vec<Sourced>> {
    let calls = archive.calls()?;
    let rulings = rulings(&calls);
    let mut all = Vec::new();
    for timeline in archive.every_timeline(Details::LeftOut)? {
        all.extend(of_timeline(&timeline, &rulings, rules));
    }
    if let Some(folder) = photos {
        all.extend(of_folder(folder, rules)?);
    }
    Ok(all)
}

/// The checks of a set whose taper was left after one of them, and those that were ruled on.
fn of_timeline(
    timeline: &Timeline,
    rulings: &HashMap<Id, Word<'_>>,
    rules: &Rules,
) -> Vec<Sourced> {
    let checks: Vec<&FiledCheck> = timeline.checks().collect();
    let left = |c: &&FiledCheck| c.advice.leaves();
    // What the checks after that one needed is not known yet.
    let finished = checks.iter().rposition(left);
    let asked = |(index, check): &(usize, &&FiledCheck)| {
        finished.is_some_and(|last| *index <= last) || rulings.contains_key(&check.id)
    };
    let mut asked = checks.iter().enumerate().filter(asked).peekable();
    if asked.peek().is_none() {
        return Vec::new();
    }
    let outcomes = Outcomes::of(timeline, rules.estimate());
    let one = |(_, check): (usize, &&FiledCheck)| {
        let truth = outcomes.truth(check.id, rulings.get(&check.id).copied())?;
        Some(of_check(check, timeline.jaw_set.grip, truth))
    };
    asked.filter_map(one).collect()
}

fn of_check(check: &FiledCheck, grip: Grip, truth: Truth) -> Sourced {
    let confidence: f64 = check.jaws().map(|r| r.confidence).sum();
    let question = Question {
        item: Item::Check(check.id),
        truth,
        method: check.method,
        grip,
        // A reading is less sure of a photo that is less plain.
        quality: confidence / check.jaws().count().max(1) as f64,
    };
    Sourced {
        question,
        source: Source::Check(check.id),
    }
}

fn of_folder(folder: &Path, rules: &Rules) -> anyhow::Result<Vec<Sourced>> {
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

fn of_drill(folder: &Path, drill: Drill) -> Option<Sourced> {
    let photos: Vec<PathBuf> = drill.files.iter().map(|f| folder.join(f)).collect();
    let bytes = load::bytes_of(photos.first()?).ok()?;
    let sha256 = format!("{:x}", Sha256::digest(&bytes));
    Some(Sourced {
        question: Question::of_drill(&drill, sha256, bytes.len()),
        source: Source::Files(photos.into_iter().zip(drill.tips).collect()),
    })
}
