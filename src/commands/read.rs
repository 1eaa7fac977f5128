//! `seepline read`: the photos of one check in, readings and advice out.

use std::io::{self, IsTerminal, Write};

use super::{Outcome, load, pictures, print, settings};
use crate::advice::{Check, Setup, advise};
use crate::cli::ReadArgs;
use crate::report::{self, CheckReport, PhotoReport, TextOptions};
use crate::rules::Rules;

pub(super) fn run(args: &ReadArgs) -> anyhow::Result<Outcome> {
    let setup = settings::setup(args)?;
    let rules = settings::rules(args.rules.as_deref())?;
    let common = load::Common {
        method: args.method,
        tip: args.tip,
        corners: &args.corners,
    };
    let photos = load::read_all(&args.photos, common);
    let mut report = judge(photos, args, setup, &rules);
    let mut faults = file_faults(&report, args.json);
    let mut outcome = outcome_of(&report);
    if let Some(folder) = &args.picture {
        let unwritten = pictures::write_all(folder, &mut report);
        outcome = if unwritten.is_empty() {
            outcome
        } else {
            Outcome::Wrong
        };
        faults.extend(unwritten);
    }
    complain(&faults);
    print(&if args.json {
        report::to_json(&report)?
    } else {
        report::to_text(&report, text_options()).into_bytes()
    })?;
    Ok(outcome)
}

/// Advice over the photos that could be opened, each picture counted once.
fn judge(
    mut photos: Vec<PhotoReport>,
    args: &ReadArgs,
    setup: Setup,
    rules: &Rules,
) -> CheckReport {
    mark_doubles(&mut photos);
    for inspection in photos.iter_mut().filter_map(|p| p.outcome.as_mut().ok()) {
        rules.fill_refusal(&mut inspection.reading);
    }
    let counted = photos.iter().filter(|p| p.counts());
    let readings = counted
        .filter_map(|p| p.inspection().map(|i| &i.reading))
        .collect();
    let check = Check { readings, setup };
    let advice = advise(&check, rules);
    let (setup, rules) = (check.setup, rules.version().to_owned());
    CheckReport {
        photos,
        method: args.method,
        setup,
        rules,
        advice,
    }
}

/// The same file twice would weigh one jaw double.
fn mark_doubles(photos: &mut [PhotoReport]) {
    for later in 1..photos.len() {
        let (before, rest) = photos.split_at_mut(later);
        let Ok(inspection) = &mut rest[0].outcome else {
            continue;
        };
        let same = |p: &PhotoReport| {
            p.inspection()
                .is_some_and(|i| i.photo.sha256 == inspection.photo.sha256)
        };
        if let Some(first) = before.iter().position(same) {
            inspection.reading.warnings.push(format!(
                "the same picture as {}: counted once; give one photo of each jaw",
                before[first].file
            ));
            rest[0].same_as = Some(first);
        }
    }
}

fn outcome_of(report: &CheckReport) -> Outcome {
    let of_photo = |photo: &PhotoReport| match &photo.outcome {
        Err(_) => Outcome::Wrong,
        Ok(_) if photo.is_refused() => Outcome::Unjudged,
        Ok(_) => Outcome::Done,
    };
    report
        .photos
        .iter()
        .map(of_photo)
        .max()
        .unwrap_or(Outcome::Wrong)
}

/// One line per broken file. On a terminal the text report shows them already.
fn file_faults(report: &CheckReport, json: bool) -> Vec<String> {
    if !json && io::stdout().is_terminal() && io::stderr().is_terminal() {
        return Vec::new();
    }
    let fault = |p: &PhotoReport| p.outcome.as_ref().err().map(|e| format!("{}: {e}", p.file));
    report.photos.iter().filter_map(fault).collect()
}

fn complain(faults: &[String]) {
    let mut stderr = anstream::stderr().lock();
    for fault in faults {
        // Nothing is left to be told when even the error stream is gone.
        let _ = writeln!(stderr, "seepline: {}", report::printable(fault));
    }
}

/// What the standard output can show.
fn text_options() -> TextOptions {
    let stdout = io::stdout();
    let colour = anstream::AutoStream::choice(&stdout) != anstream::ColorChoice::Never;
    let columns = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    TextOptions {
        colour,
        unicode: supports_unicode::supports_unicode(),
        width: columns.filter(|_| stdout.is_terminal()),
    }
}
