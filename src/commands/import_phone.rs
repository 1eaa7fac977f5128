//! `seepline import phone`: checks that a phone made alone, and answers of practice that were given there, into the archive.

use std::fs::File;

use anyhow::{Context, bail, ensure};

use super::archive::open;
use super::{Outcome, complain, print, read, settings, text_options};
use crate::archive::from_phone::{Saved, practised, saved, take};
use crate::commands::cli::ImportPhoneArgs;
use crate::report::{self, CheckReport, words};
use crate::taper::rules::Rules;
use crate::under_way::Sheet;

pub(super) fn run(args: &ImportPhoneArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let name = args.file.display();
    let file = File::open(&args.file).with_context(|| {
        format!("the file {name} could not be read; check its name and permissions")
    })?;
    let all = saved(&file, usize::MAX).with_context(|| name.to_string())?;
    let answers = practised(&file)?;
    ensure!(
        !all.is_empty() || answers.is_some(),
        "{name} holds no check and no answer of practice"
    );
    let mut outcome = match answers {
        Some(answers) => answers_filed(args, &answers, &rules)?,
        None => Outcome::Done,
    };
    for check in chosen(all, args)? {
        let id = check.sheet.id;
        // One that cannot be filed keeps none of the others out.
        match filed(args, check, &file, &rules) {
            Ok(report) => {
                outcome = outcome.max(read::outcome_of(&report));
                print(&if args.common.json {
                    report::to_json(&report)?
                } else {
                    report::to_text(&report, text_options()).into_bytes()
                })?;
            }
            Err(error) => {
                outcome = Outcome::Wrong;
                complain(&[format!("check {id}: {error:#}")]);
            }
        }
    }
    Ok(outcome)
}

/// Those that were named, or all that say which set they are of, or the only one: checks of other jaws must not go under the set
/// that was named.
fn chosen(all: Vec<Saved>, args: &ImportPhoneArgs) -> anyhow::Result<Vec<Saved>> {
    let listed: String = all.iter().map(in_short).collect();
    if args.check.is_empty() {
        ensure!(
            all.len() <= 1 || args.name.is_none(),
            "the file holds {} checks; say with --check which are of {}, or leave the name out where each says its own:{listed}",
            all.len(),
            args.name.as_deref().unwrap_or_default()
        );
        return Ok(all);
    }
    let is = |check: &Saved, said: &String| check.sheet.id.to_string().starts_with(said.as_str());
    if let Some(said) = args
        .check
        .iter()
        .find(|said| all.iter().filter(|c| is(c, said)).count() != 1)
    {
        bail!("{said} is not the beginning of exactly one check of the file:{listed}");
    }
    let named = |check: &Saved| args.check.iter().any(|said| is(check, said));
    Ok(all.into_iter().filter(named).collect())
}

fn in_short(check: &Saved) -> String {
    let Sheet {
        id, begun, photos, ..
    } = &check.sheet;
    let set = check.sheet.set().map_or("no jaw set", |set| &set.name);
    format!(
        "\n  {id}, begun {begun}, {}, {set}",
        words::photos(photos.len())
    )
}

/// Each once, however often they come; those that no page writes keep none of the others out.
fn answers_filed(args: &ImportPhoneArgs, answers: &[u8], rules: &Rules) -> anyhow::Result<Outcome> {
    let took = take(&mut open(&args.common.archive)?, answers, rules)?;
    print(&if args.common.json {
        format!("{}\n", took.to_json()).into_bytes()
    } else {
        format!("{}\n", took.in_words()).into_bytes()
    })?;
    complain(&took.refused);
    Ok(if took.refused.is_empty() {
        Outcome::Done
    } else {
        Outcome::Wrong
    })
}

/// Reads it again, and files it as a whole or not at all.
fn filed(
    args: &ImportPhoneArgs,
    check: Saved,
    file: &File,
    rules: &Rules,
) -> anyhow::Result<CheckReport> {
    let archive = open(&args.common.archive)?;
    let set = check.set(&archive, args.name.as_deref())?;
    check.read(&archive, set, file)?.file(archive, file, rules)
}
