//! `seepline study`: several people call the same photos blind, and the report says how well they agree.

mod make;
mod report;
mod show;

use super::Outcome;
use crate::commands::cli::StudyVerb;
use crate::people::study::Study;
use crate::report::ProofNote;

/// Apart from what readers get, under a name that says so.
const KEY_FOLDER: &str = "key-not-for-readers";
const KEY_FILE: &str = "study.json";
const ANSWERS: &str = "answers.csv";

pub(super) fn run(verb: &StudyVerb) -> anyhow::Result<Outcome> {
    match verb {
        StudyVerb::Make(args) => make::run(args),
        StudyVerb::Report(args) => report::run(args),
    }
}

/// Without the program's changes, where a prove-out keeps them back.
fn unless_held(study: Study, proof: Option<&ProofNote>) -> Study {
    if proof.is_some_and(|p| p.held) {
        return study.held();
    }
    study
}

fn folder_of(reader: &crate::people::opinion::Person) -> String {
    format!("reader-{reader}")
}
