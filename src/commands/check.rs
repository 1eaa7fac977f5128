//! `seepline check`: show a filed check, note what was done about it, delete and restore it.

use super::archive::{agreed, now, open, say, show};
use super::{Outcome, text_options};
use crate::archive::Archive;
use crate::cli::{CheckVerb, RecordArgs};
use crate::records::{FiledCheck, Id};
use crate::report::filed_check_to_text;

pub(super) fn run(verb: &CheckVerb) -> anyhow::Result<Outcome> {
    match verb {
        CheckVerb::Show { id, common } => {
            let archive = open(&common.archive)?;
            let check = archive.check(id)?.record;
            print_check(&archive, &check, common)
        }
        CheckVerb::Done { id, what, common } => {
            let mut archive = open(&common.archive)?;
            let check = archive.check(id)?.record.id;
            archive.note_done(check, Some(what), now())?;
            let check = archive.check(&check.to_string())?.record;
            print_check(&archive, &check, common)
        }
        CheckVerb::Delete { id, yes, common } => delete(id, *yes, common),
        CheckVerb::Restore { id, common } => {
            let mut archive = open(&common.archive)?;
            let check = archive.check(id)?.record;
            archive.unhide_check(check.id, now())?;
            print_check(&archive, &check, common)
        }
    }?;
    Ok(Outcome::Done)
}

fn print_check(archive: &Archive, check: &FiledCheck, common: &RecordArgs) -> anyhow::Result<()> {
    let cut = archive.cut(&check.cut.to_string())?.record;
    let set = set_of(archive, cut.jaw_set)?;
    show(common.json, check, || {
        filed_check_to_text(check, &cut, &set, text_options())
    })
}

/// Also where the set is deleted.
fn set_of(archive: &Archive, id: Id) -> anyhow::Result<crate::records::JawSet> {
    let id = id.to_string();
    Ok(archive
        .jaw_set(&id)
        .or_else(|_| archive.hidden_jaw_set(&id))?)
}

fn delete(id: &str, yes: bool, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let check = archive.check(id)?.record;
    let question = format!(
        "Delete the check of {} with {} readings?",
        check.made.date(),
        check.readings.len()
    );
    if !agreed(&question, yes)? {
        return say("Nothing was deleted.");
    }
    archive.hide_check(check.id, now())?;
    let short = &check.id.to_string()[..8];
    say(&format!(
        "The check is deleted; `seepline check restore {short}` brings it back."
    ))
}
