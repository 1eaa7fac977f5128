//! `seepline people agreement`: how well those whose calls are filed agree; and how such a report is given.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use anyhow::{Context, bail};

use super::archive::{open, say};
use super::{print, settings, text_options};
use crate::archive::Archive;
use crate::commands::cli::PeopleAgreementArgs;
use crate::people::agreement::{Calls, agreement};
use crate::people::opinion::Person;
use crate::people::records::{CallKind, CallRow, Sight};
use crate::report::{self, AgreementReport, sight_in_words};

const NO_CALLS: &str = "No calls are filed in this archive yet. `seepline read … --jaws SET --call PATTERN --change AMOUNT \
     --by WHO` files one before it shows the reading.";

pub(super) fn run(args: &PeopleAgreementArgs) -> anyhow::Result<()> {
    let archive = open(&args.common.archive)?;
    let rules = settings::rules(&args.rules)?;
    let mut rows = archive.call_rows(rules.estimate())?;
    let mut facts = Vec::new();
    if rows.is_empty() {
        facts.push(NO_CALLS.to_owned());
    } else {
        // Before anything is counted: no figure may tell of somebody whose record may not be seen.
        let hidden = hidden(&archive, &rows, args.by.as_ref())?;
        rows.retain(|row| !hidden.contains(&row.person));
        facts.extend(counted(&rows));
        facts.extend(left_out(hidden.len(), args.by.as_ref(), archive.sight()?));
    }
    let report = AgreementReport {
        title: "Agreement of the calls in the archive".to_owned(),
        agreement: agreement(&Calls::of_rows(&rows)),
        facts,
        problems: Vec::new(),
    };
    if rows.is_empty() && !args.common.json {
        write_page(&report, args.html.as_deref())?;
        return say(&report.facts.join(" "));
    }
    give(&report, args.common.json, args.html.as_deref())
}

/// Those whose record whoever asks may not see. Where nobody says who asks, all or nothing is seen.
fn hidden(
    archive: &Archive,
    rows: &[CallRow],
    by: Option<&Person>,
) -> anyhow::Result<BTreeSet<Person>> {
    let sight = archive.sight()?;
    let Some(by) = by else {
        if sight == Sight::Everyone {
            return Ok(BTreeSet::new());
        }
        bail!(
            "{} Say who asks with --by WHO, or let everybody see everybody's record with `seepline people \
             see-others everyone`",
            sight_in_words(sight)
        );
    };
    let people: BTreeSet<&Person> = rows.iter().map(|r| &r.person).collect();
    let mut hidden = BTreeSet::new();
    for whose in people {
        if !archive.may_see(by, whose)? {
            hidden.insert(whose.clone());
        }
    }
    Ok(hidden)
}

/// How many calls of which kind, and what that means for the figures.
fn counted(rows: &[CallRow]) -> Vec<String> {
    if rows.is_empty() {
        return vec!["There are no calls to show.".to_owned()];
    }
    let of = |kind| rows.iter().filter(|r| r.kind == kind).count();
    let [checks, practice, study] = [CallKind::Check, CallKind::Practice, CallKind::Study].map(of);
    let mut facts = vec![format!(
        "Calls: {checks} at checks, before the reading was shown; {practice} in practice; {study} in studies. A \
         check counts as one photo."
    )];
    if practice > 0 {
        facts.push(
            "In practice the answer is shown after each call, so that calling the same again is partly \
             remembering; only a study shows photos twice blind."
                .to_owned(),
        );
    }
    facts
}

fn left_out(people: usize, by: Option<&Person>, sight: Sight) -> Option<String> {
    let by = by.filter(|_| people > 0)?;
    let whose = if people == 1 {
        "1 other person".to_owned()
    } else {
        format!("{people} other people")
    };
    Some(format!(
        "Left out: the calls of {whose}, whose record {by} may not see. {} `seepline people see-others` changes \
         that.",
        sight_in_words(sight)
    ))
}

/// Writes the page where one is asked for, and prints.
pub(super) fn give(
    report: &AgreementReport,
    json: bool,
    html: Option<&Path>,
) -> anyhow::Result<()> {
    write_page(report, html)?;
    print(&if json {
        report::agreement_to_json(report)?
    } else {
        report::agreement_to_text(report, text_options()).into_bytes()
    })?;
    match html.filter(|_| !json) {
        Some(file) => say(&format!("The report to print is in {}.", file.display())),
        None => Ok(()),
    }
}

fn write_page(report: &AgreementReport, file: Option<&Path>) -> anyhow::Result<()> {
    let Some(file) = file else { return Ok(()) };
    fs::write(file, report::agreement_to_html(report)).with_context(|| {
        format!(
            "the report could not be written to {}; check the folder and its free space",
            file.display()
        )
    })
}
