//! `seepline practice`: questions from finished checks and from photos whose truth is known.

mod ask;
mod pictures;
mod questions;
mod ready;

use std::io;

use anyhow::ensure;

use super::archive::{create_or_open, now, open};
use super::{Outcome, print, settings, text_options};
use crate::archive::Archive;
use crate::archive::shelf::new_id;
use crate::commands::cli::PracticeArgs;
use crate::people::opinion::{self, Person, Try, answered, boxes, draw};
use crate::report::{CallReport, ProofNote, call_to_text, score_to_text};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use ask::Asked;
use pictures::Pictures;
use questions::Sourced;
use ready::Ready;

pub(super) fn run(args: &PracticeArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let mut archive = archive(args)?;
    let questions = questions::all(&archive, args.photos.as_deref(), &rules)?;
    ensure!(
        !questions.is_empty(),
        "there is nothing to practise on: no jaw set of this archive has a check after which its taper was \
         left, and no check was ruled on; file some, or give --photos DIR, such as sample-images"
    );
    let (round, seed) = beginning(args)?;
    let candidates: Vec<_> = questions.iter().map(|q| q.question.candidate()).collect();
    let places = boxes(&answered(&archive.calls_by(&args.by)?));
    let order = draw(&candidates, &places, usize::from(args.count), seed);
    let pictures = Pictures::at(args.pictures.as_deref(), round)?;
    print(heading(args, order.len(), seed).as_bytes())?;
    let session = Session {
        by: &args.by,
        round,
        rules: &rules,
        pictures: &pictures,
        proof: archive
            .proof(rules.estimate())?
            .map(|p| ProofNote::of(&p, None)),
    };
    let chosen: Vec<&Sourced> = order.iter().map(|i| &questions[*i]).collect();
    let tries = session.ask_all(&mut archive, &chosen)?;
    print(score_to_text(&opinion::score(&tries), text_options()).as_bytes())?;
    Ok(Outcome::Done)
}

/// Without photos of one's own there is nothing to ask from an archive that is not there.
fn archive(args: &PracticeArgs) -> anyhow::Result<Archive> {
    let archive = match args.photos {
        Some(_) => create_or_open(&args.archive)?,
        None => open(&args.archive)?,
    };
    ensure!(
        !archive.is_read_only(),
        "the archive in {} may only be read, so no answer could be kept; change its permissions, or practise \
         with another one",
        archive.folder().display()
    );
    Ok(archive)
}

/// An id for the round, and the number that orders it.
fn beginning(args: &PracticeArgs) -> anyhow::Result<(Id, u64)> {
    let digits = new_id()?.to_string();
    // Six digits are enough to be told apart, and to be typed.
    let drawn = u64::from_str_radix(&digits[..6], 16).unwrap_or_default();
    Ok((new_id()?, args.seed.unwrap_or(drawn)))
}

fn heading(args: &PracticeArgs, questions: usize, seed: u64) -> String {
    format!(
        "Practice of {}, questions: {questions}, ordered by --seed {seed}.\nPatterns: {}.\nChange: -1thou takes \
         taper off, per side; 0 leaves it; none mends something first. Ctrl-D ends.\n",
        args.by,
        opinion::all_patterns()
    )
}

/// One round.
struct Session<'a> {
    by: &'a Person,
    round: Id,
    rules: &'a Rules,
    pictures: &'a Pictures,
    proof: Option<ProofNote>,
}

impl Session<'_> {
    /// Asks one after the other until the questions or the answers end; what cannot be shown is passed over.
    fn ask_all(&self, archive: &mut Archive, questions: &[&Sourced]) -> anyhow::Result<Vec<Try>> {
        let mut tries = Vec::new();
        let mut lines = io::stdin().lines();
        for (index, question) in questions.iter().enumerate() {
            let ready = Ready::of(question, archive)?;
            let shown = match self.pictures.show(&ready, index + 1) {
                Ok(shown) => shown,
                Err(error) => {
                    super::complain(&[format!("{error:#}; the question is passed over")]);
                    continue;
                }
            };
            let place = (index + 1, questions.len());
            print(ask::question(&ready, &shown, place).as_bytes())?;
            let Asked::Call(call) = ask::call(&mut lines, self.by)? else {
                break;
            };
            let seen = ready.seen(self.rules, self.proof.clone());
            let filed =
                ready
                    .question
                    .answered(call.clone(), self.round, seen.program, (new_id()?, now()));
            // Before the answer is shown: nobody can look first and answer then.
            archive.file_call(&filed)?;
            let report = CallReport::of_practice(call, ready.question, seen.decides, self.rules);
            print(call_to_text(&report, text_options()).as_bytes())?;
            tries.extend(Try::of(&filed));
        }
        Ok(tries)
    }
}
