//! A question that is about to be asked: its photos, and what the program sees in them.

use std::path::PathBuf;

use super::questions::{Source, Sourced};
use crate::archive::Archive;
use crate::commands::load;
use crate::people::opinion::{self, Question, places_filed};
use crate::reading::face::TipDirection;
use crate::report::{ProofNote, Seen};
use crate::taper::records::{FiledCheck, FiledReading};
use crate::taper::rules::Rules;

pub(super) struct Ready<'a> {
    pub(super) question: &'a Question,
    /// With where the tip points in the upright photo, where that is known.
    pub(super) photos: Vec<(PathBuf, Option<TipDirection>)>,
    /// `None` where the photos are not of the archive, and were not read yet.
    filed: Option<FiledCheck>,
}

impl<'a> Ready<'a> {
    pub(super) fn of(asked: &'a Sourced, archive: &Archive) -> anyhow::Result<Self> {
        let question = &asked.question;
        let id = match &asked.source {
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
        let photos = load::read_all(&files, common);
        Seen::of_photos(photos, question, rules, proof)
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
