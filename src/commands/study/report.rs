//! `seepline study report`: filled-in sheets in, how well the readers agree out.

use std::collections::BTreeMap;
use std::io::{self, IsTerminal};
use std::path::Path;

use anyhow::{Context, ensure};

use super::super::agreement::give;
use super::super::{Outcome, archive, complain, load, settings};
use super::{ANSWERS, KEY_FILE, KEY_FOLDER, folder_of, unless_held};
use crate::commands::cli::StudyReportArgs;
use crate::people::agreement::{Call, Calls, Reader, Right, agreement};
use crate::people::opinion::Person;
use crate::people::study::{Fault, Order, Study, numbered, read_sheet, read_truth};
use crate::reading::pattern::Pattern;
use crate::report::AgreementReport;
use crate::units::PerSide;

pub(super) fn run(args: &StudyReportArgs) -> anyhow::Result<Outcome> {
    let proof = archive::proof(&args.archive, &settings::rules(&args.rules)?);
    let study = unless_held(key(&args.folder)?, proof.as_ref());
    let mut problems = Vec::new();
    let right = args
        .truth
        .as_deref()
        .map(|file| truth(file, &study, &mut problems))
        .transpose()?;
    let answered = Answered::of(&study, &args.folder, &mut problems);
    ensure!(
        !answered.calls.is_empty(),
        "no sheet in {} has an answer that could be used{}; fill in {ANSWERS} in the readers' folders",
        args.folder.display(),
        problems
            .first()
            .map_or_else(String::new, |p| format!(" (the first thing: {p})"))
    );
    let mut report = whole(&study, answered, right, problems);
    report.facts.extend(proof.map(|p| p.line));
    if args.json || !seen_together() {
        complain(&report.problems);
    }
    give(&report, args.json, args.html.as_deref())?;
    Ok(if report.problems.is_empty() {
        Outcome::Done
    } else {
        Outcome::Unjudged
    })
}

/// Whether both streams go to one screen, where the text report names the problems already.
fn seen_together() -> bool {
    io::stdout().is_terminal() && io::stderr().is_terminal()
}

fn key(folder: &Path) -> anyhow::Result<Study> {
    let key = folder.join(KEY_FOLDER).join(KEY_FILE);
    let bytes = load::bytes_of(&key).with_context(|| {
        let folder = folder.display();
        format!("{folder} holds no study; name the folder that `seepline study make --into` made")
    })?;
    Study::parse(&bytes).with_context(|| format!("{} could not be used", key.display()))
}

fn truth(
    file: &Path,
    study: &Study,
    problems: &mut Vec<String>,
) -> anyhow::Result<BTreeMap<String, Right>> {
    let name = file.display().to_string();
    let bytes =
        load::bytes_of(file).with_context(|| format!("the table {name} could not be read"))?;
    let photos: Vec<&str> = study.photos.iter().map(|p| p.file.as_str()).collect();
    let (right, faults) = read_truth(&bytes, &photos);
    tell(&faults, &name, problems);
    ensure!(
        !right.is_empty(),
        "no line of {name} could be used{}",
        faults
            .first()
            .map_or_else(String::new, |f| format!(": {}", f.told(&name)))
    );
    Ok(right)
}

fn tell(faults: &[Fault], file: &str, problems: &mut Vec<String>) {
    problems.extend(faults.iter().map(|f| f.told(file)));
}

/// What the sheets say.
#[derive(Default)]
struct Answered {
    calls: Vec<Call>,
    /// A sentence each about who answered how many.
    facts: Vec<String>,
}

impl Answered {
    fn of(study: &Study, folder: &Path, problems: &mut Vec<String>) -> Self {
        let mut answered = Self::default();
        for (reader, order) in study.by_reader() {
            let file = folder.join(folder_of(reader)).join(ANSWERS);
            let name = file.display().to_string();
            match load::bytes_of(&file) {
                // One sheet that is missing keeps none of the others out.
                Err(what) => problems.push(format!("{name}: {what}")),
                Ok(bytes) => {
                    let sheet = read_sheet(&bytes, reader, order.len() as u32);
                    tell(&sheet.faults, &name, problems);
                    answered.add(study, reader, order, &sheet.answers);
                }
            }
        }
        answered
    }

    fn add(
        &mut self,
        study: &Study,
        reader: &Person,
        order: &Order,
        answers: &BTreeMap<u32, (Pattern, Option<PerSide>)>,
    ) {
        for (number, photo, round) in numbered(order) {
            let Some((pattern, change)) = answers.get(&number) else {
                continue;
            };
            self.calls.push(Call {
                reader: Reader::Person(reader.to_string()),
                item: study.photos[photo].file.clone(),
                repeat: round,
                pattern: *pattern,
                change: *change,
            });
        }
        let (given, all) = (answers.len(), order.len());
        if given < all {
            self.facts.push(format!(
                "{reader} answered {given} of {all}; the others are gaps."
            ));
        }
    }
}

fn whole(
    study: &Study,
    answered: Answered,
    right: Option<BTreeMap<String, Right>>,
    problems: Vec<String>,
) -> AgreementReport {
    let calls = answered.calls.into_iter().chain(study.programs_calls());
    // Numbers are of one photo and round each, so there are no doubles.
    let (calls, _) = Calls::new(calls);
    let calls = match right {
        Some(right) => calls.with_right(right),
        None => calls.with_the_program_standing_in(),
    };
    let readers: Vec<String> = study.readers.iter().map(ToString::to_string).collect();
    let mut facts = vec![format!(
        "{} photos, {} to each reader in random order, blind. Readers: {}; seepline {} read the originals once.",
        study.photos.len(),
        if study.rounds == 1 {
            "once".to_owned()
        } else {
            format!("{} times", study.rounds)
        },
        readers.join(", "),
        study.program
    )];
    facts.extend(answered.facts);
    AgreementReport {
        title: "Agreement study: reading contact checks".to_owned(),
        facts,
        agreement: agreement(&calls),
        problems,
    }
}
