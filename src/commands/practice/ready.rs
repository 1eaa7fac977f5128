//! A question that is about to be asked: its photos, and what the program sees in them.

use std::path::PathBuf;

use super::questions::{Question, Source};
use crate::archive::Archive;
use crate::commands::load;
use crate::people::opinion::{self, Call, compare, differences, places_filed};
use crate::people::records::Answer;
use crate::reading::face::TipDirection;
use crate::report::check;
use crate::report::{CallReport, ProofNote};
use crate::taper::advice::Setup;
use crate::taper::learning::History;
use crate::taper::records::{FiledAdvice, FiledCheck, FiledReading};
use crate::taper::rules::Rules;

pub(super) struct Ready<'a> {
    pub(super) question: &'a Question,
    /// With where the tip points in the upright photo, where that is known.
    pub(super) photos: Vec<(PathBuf, Option<TipDirection>)>,
    /// `None` where the photos are not of the archive, and were not read yet.
    filed: Option<FiledCheck>,
}

/// What the program sees in the photos of a question.
pub(super) struct Seen {
    /// What it reads; `None` where it would have the photos taken again.
    pub(super) program: Option<Answer>,
    /// Per jaw, the places that decide it.
    decides: Vec<String>,
}

impl<'a> Ready<'a> {
    pub(super) fn of(question: &'a Question, archive: &Archive) -> anyhow::Result<Self> {
        let id = match &question.source {
            Source::Check(id) => id,
            Source::Files(files) => {
                return Ok(Self {
                    question,
                    photos: files
                        .iter()
                        .map(|(file, tip)| (file.clone(), Some(*tip)))
                        .collect(),
                    filed: None,
                });
            }
        };
        let check = archive.check(&id.to_string())?.record;
        let mut photos = Vec::new();
        for reading in &check.readings {
            photos.push((archive.photo_path(&reading.sha256)?, reading.tip_read()));
        }
        Ok(Self {
            question,
            photos,
            filed: Some(check),
        })
    }

    /// Takes a moment where the photos were not read yet.
    pub(super) fn seen(&self, rules: &Rules, proof: Option<ProofNote>) -> Seen {
        match &self.filed {
            Some(check) => of_filed(check),
            None => self.read(rules, proof),
        }
    }

    /// What it reads is filed with the answer, so it is kept back where the advice is.
    fn read(&self, rules: &Rules, proof: Option<ProofNote>) -> Seen {
        let files: Vec<PathBuf> = self.photos.iter().map(|(file, _)| file.clone()).collect();
        let tips: Vec<_> = self.photos.iter().map(|(_, tip)| *tip).collect();
        let question = self.question;
        let common = load::Common {
            method: question.method,
            tips: &tips,
            corners: &[],
            jaws: &[],
        };
        let setup = Setup {
            grip: question.grip,
            ..Setup::default()
        };
        let photos = load::read_all(&files, common);
        let report = check::report(photos, question.method, setup, rules, &History::default())
            .with_proof(proof);
        Seen {
            program: opinion::answer(&FiledAdvice::of(&report.advice)),
            decides: CallReport::decides(&report),
        }
    }

    /// The call beside what was right.
    pub(super) fn reveal(&self, call: Call, seen: Seen, rules: &Rules) -> CallReport {
        let (truth, method) = (self.question.truth, self.question.method);
        let answer = truth.answer();
        let comparison = compare(&call, &answer);
        let right = opinion::reason(&answer, method, rules);
        let asked = opinion::asked_instead(&call, &answer, method, rules);
        CallReport {
            beside: "What was right",
            differences: differences(&call, &answer, &comparison, method),
            why: format!("{right} {asked}").trim_end().to_owned(),
            decides: seen.decides,
            answer: Some(answer),
            comparison: Some(comparison),
            truth: Some(truth),
            call,
        }
    }
}

fn of_filed(check: &FiledCheck) -> Seen {
    let decides = |(index, reading): (usize, &FiledReading)| {
        format!("Jaw {}: {}.", index + 1, places_filed(reading))
    };
    Seen {
        program: opinion::answer(&check.advice),
        decides: check.jaws().enumerate().map(decides).collect(),
    }
}
