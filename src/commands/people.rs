//! `seepline people`: who must call first, who is a lead, whose record is whose, and erasing. How well people
//! agree is in [`super::agreement`].

use anyhow::{bail, ensure};
use serde_json::json;

use super::archive::{agreed, create_or_open, now, open, say, show};
use super::{Outcome, agreement, settings, text_options};
use crate::archive::Archive;
use crate::commands::cli::{ArchiveFolder, PeopleVerb, PersonArgs, RecordArgs, Switch};
use crate::page::Unserved;
use crate::people::opinion::Person;
use crate::people::records::{CallKind, CallRow, FiledCall, PersonRules, Sight};
use crate::report::{people_to_text, record_to_text, sight_in_words};

pub(super) fn run(verb: &PeopleVerb) -> anyhow::Result<Outcome> {
    match verb {
        PeopleVerb::List { common } => {
            let archive = open(&common.archive)?;
            list(&archive.people()?, archive.sight()?, common)
        }
        PeopleVerb::CallFirst { who, rule, common } => {
            edit(who, common, |rules| rules.call_first = *rule == Switch::On)
        }
        PeopleVerb::Lead { who, rule, common } => {
            edit(who, common, |rules| rules.lead = *rule == Switch::On)
        }
        PeopleVerb::SeeOthers { to, common } => see_others(*to, common),
        PeopleVerb::Show(args) => record(args),
        PeopleVerb::Export(args) => export(args),
        PeopleVerb::Agreement(args) => agreement::run(args),
        PeopleVerb::Erase { who, yes, archive } => erase(who, *yes, archive),
    }?;
    Ok(Outcome::Done)
}

fn list(people: &[PersonRules], sight: Sight, common: &RecordArgs) -> anyhow::Result<()> {
    let json = json!({"people": people, "see_others": sight});
    show(common.json, &json, || {
        people_to_text(people, sight, text_options())
    })
}

fn edit(
    who: &Person,
    common: &RecordArgs,
    edit: impl FnOnce(&mut PersonRules),
) -> anyhow::Result<()> {
    let mut archive = create_or_open(&common.archive)?;
    let rules = archive.edit_person(who, now(), edit)?;
    list(&[rules], archive.sight()?, common)
}

fn see_others(to: Option<Sight>, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = create_or_open(&common.archive)?;
    if let Some(to) = to {
        archive.set_sight(to, now())?;
    }
    let sight = archive.sight()?;
    show(common.json, &json!({"see_others": sight}), || {
        sight_in_words(sight) + "\n"
    })
}

/// The archive, where this one may see that record.
fn permitted(args: &PersonArgs) -> anyhow::Result<Archive> {
    let archive = open(&args.common.archive)?;
    ensure!(
        archive.may_see(&args.by, &args.who)?,
        "{} may not see the record of {}; everybody sees their own, and `seepline people see-others` says who \
         sees others'",
        args.by,
        args.who
    );
    Ok(archive)
}

fn rows_of(archive: &Archive, args: &PersonArgs) -> anyhow::Result<Vec<CallRow>> {
    let rules = settings::rules(&args.rules)?;
    let mut rows = archive.call_rows(rules.estimate())?;
    rows.retain(|r| r.person == args.who);
    Ok(rows)
}

fn record(args: &PersonArgs) -> anyhow::Result<()> {
    let rows = rows_of(&permitted(args)?, args)?;
    show(args.common.json, &rows, || {
        record_to_text(&rows, text_options())
    })
}

/// Everything that is kept of a person.
fn export(args: &PersonArgs) -> anyhow::Result<()> {
    let archive = permitted(args)?;
    let filed = archive.calls_by(&args.who)?;
    let (rulings, calls): (Vec<FiledCall>, Vec<FiledCall>) =
        filed.into_iter().partition(|c| c.kind == CallKind::Ruling);
    let mut labels = archive.labels()?;
    labels.retain(|l| l.by.as_ref() == Some(&args.who));
    let all = json!({
        "schema": 1,
        "person": args.who,
        "rules": archive.person_rules(&args.who)?,
        "calls": calls,
        "rulings": rulings,
        "labels": labels,
        "record": rows_of(&archive, args)?,
    });
    show(true, &all, String::new)
}

fn erase(who: &Person, yes: bool, folder: &ArchiveFolder) -> anyhow::Result<()> {
    let mut archive = open(folder)?;
    // Held to the end: a page that runs meanwhile would bring the initials back.
    let under_way = Unserved::of(archive.folder())?;
    let known = archive.people()?.iter().any(|p| p.person == *who);
    if !known && !under_way.names(who) {
        bail!(
            "nothing is kept of {who} in this archive; `seepline people list` shows whom it knows"
        );
    }
    let question = format!(
        "Erase {who}? The calls stay without the initials; this cannot be taken back, and backups, exports \
         and other archives keep what they hold."
    );
    if !agreed(&question, yes)? {
        return say("Nothing was erased.");
    }
    if !known {
        // Only a check under way names them; the number is the archive's to give.
        archive.edit_person(who, now(), |_| {})?;
    }
    let erased = archive.erase(who, now())?;
    // After the archive, whose number it is; where it fails, erasing again finds the check.
    under_way.erase(who, &erased.number)?;
    say(&format!(
        "{who} is erased. Calls and rulings that stay: {}, under the number {}, which says nothing of the person.",
        erased.calls, erased.number
    ))?;
    if !erased.log_emptied {
        bail!(
            "the initials still stand in the archive's log, since something else reads the archive: end that, \
             and start any command on the archive, which empties it"
        );
    }
    Ok(())
}
