//! `seepline prove-out`: how far the program is proven in this shop.

use std::fs;
use std::path::Path;

use anyhow::Context;

use super::archive::{create_or_open, now, open, show};
use super::{Outcome, settings, text_options};
use crate::archive::{Archive, ArchiveError};
use crate::commands::cli::{BeginArgs, ProveOutVerb, RecordArgs};
use crate::people::prove::Plan;
use crate::report::{operating_curve, proof_to_json, proof_to_text};
use crate::taper::rules::Rules;

pub(super) fn run(verb: &ProveOutVerb) -> anyhow::Result<Outcome> {
    match verb {
        ProveOutVerb::Begin(args) => begin(args),
        ProveOutVerb::State {
            curve,
            rules,
            common,
        } => {
            let rules = settings::rules(rules)?;
            state(&open(&common.archive)?, curve.as_deref(), &rules, common)
        }
        ProveOutVerb::End { by, rules, common } => {
            let mut archive = open(&common.archive)?;
            let rules = settings::rules(rules)?;
            archive.end_prove_out(by, now(), rules.estimate())?;
            state(&archive, None, &rules, common)
        }
    }?;
    Ok(Outcome::Done)
}

fn begin(args: &BeginArgs) -> anyhow::Result<()> {
    let plan = match args.at_most {
        Some(share) => Plan::to_show(share, args.hold)?,
        None => Plan::of_checks(args.checks, args.hold)?,
    };
    let rules = settings::rules(&args.rules)?;
    let mut archive = create_or_open(&args.common.archive)?;
    archive.begin_prove_out(plan, &args.by, now())?;
    state(&archive, None, &rules, &args.common)
}

fn state(
    archive: &Archive,
    curve: Option<&Path>,
    rules: &Rules,
    common: &RecordArgs,
) -> anyhow::Result<()> {
    let proof = archive.proof(rules.estimate())?;
    let proof = proof.ok_or(ArchiveError::NoProveOut)?;
    let not_tried = archive.not_tried(&proof)?;
    if let Some(file) = curve {
        fs::write(file, operating_curve(&proof.prove_out.plan)).with_context(|| {
            let file = file.display();
            format!("{file} could not be written; check the folder and its free space")
        })?;
    }
    show(common.json, &proof_to_json(&proof, &not_tried), || {
        proof_to_text(&proof, &not_tried, text_options())
    })
}
