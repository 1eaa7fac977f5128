//! `seepline check`: show a filed check, note what was done about it, rule what was right, delete and
//! restore it.

use anyhow::bail;

use super::archive::{agreed, now, open, say, show};
use super::{Outcome, settings, text_options};
use crate::archive::Archive;
use crate::archive::shelf::{new_id, short};
use crate::commands::cli::{CheckVerb, LabelArgs, MeasuredArgs, RecordArgs, RuleArgs, RulesFile};
use crate::people::labels::{Label, Labelled};
use crate::people::opinion::{Basis, Call, CalledChange, rulings};
use crate::people::prove::Under;
use crate::people::records::{CallKind, FiledCall, Item};
use crate::reading::pattern::Pattern;
use crate::report::{ProofNote, filed_check_to_text, known_of_check_to_text, labels_to_text};
use crate::taper::estimate::OpenEnd;
use crate::taper::records::{Cut, FiledCheck, FiledReading, JawSet};
use crate::taper::rules::Rules;
use crate::units::PerSide;

pub(super) fn run(verb: &CheckVerb) -> anyhow::Result<Outcome> {
    match verb {
        CheckVerb::Show { id, rules, common } => {
            let archive = open(&common.archive)?;
            let check = archive.check(id)?.record;
            print_check(&archive, &check, rules, common)
        }
        CheckVerb::Done {
            id,
            what,
            rules,
            common,
        } => {
            let mut archive = open(&common.archive)?;
            let check = archive.check(id)?.record.id;
            archive.note_done(check, Some(what), now())?;
            // Again, as it is filed now.
            let check = archive.check(&check.to_string())?.record;
            print_check(&archive, &check, rules, common)
        }
        CheckVerb::Rule(args) => rule(args),
        CheckVerb::Label(args) => label(args),
        CheckVerb::Measured(args) => measured(args),
        CheckVerb::Delete { id, yes, common } => delete(id, *yes, common),
        CheckVerb::Restore { id, rules, common } => {
            let mut archive = open(&common.archive)?;
            let check = archive.check(id)?.record;
            archive.unhide_check(check.id, now())?;
            print_check(&archive, &check, rules, common)
        }
    }?;
    Ok(Outcome::Done)
}

fn print_check(
    archive: &Archive,
    check: &FiledCheck,
    rules: &RulesFile,
    common: &RecordArgs,
) -> anyhow::Result<()> {
    let rules = settings::rules(rules)?;
    let cut = archive.cut(&check.cut.to_string())?.record;
    let set = archive.jaw_set_or_hidden(cut.jaw_set)?;
    let calls = archive.calls_on(check.id)?;
    let said = rulings(&calls).get(&check.id).copied();
    let ruling = said.filter(|w| w.by == Basis::Ruling).map(|w| w.call);
    let called = calls.iter().filter(|c| c.kind == CallKind::Check).count();
    let right = archive.right(check.id, set.id, rules.estimate())?;
    let proof = proof_of(archive, check, &cut, &set, &rules)?;
    let photos: Vec<&str> = check.readings.iter().map(|r| r.sha256.as_str()).collect();
    let labels = archive.labels_of(&photos)?;
    let mut json = serde_json::to_value(check)?;
    json["called_by"] = called.into();
    json["labels"] = serde_json::to_value(&labels)?;
    json["ruling"] = serde_json::to_value(ruling)?;
    json["right"] = serde_json::to_value(right)?;
    if let Some(proof) = &proof {
        json["proof"] = serde_json::to_value(proof)?;
    }
    show(common.json, &json, || {
        let options = text_options();
        let known = known_of_check_to_text(called, ruling, right.as_ref(), options);
        filed_check_to_text(check, &cut, &set, proof.as_ref(), options)
            + &labels_to_text(&labels, check, options)
            + &known
    })
}

fn proof_of(
    archive: &Archive,
    check: &FiledCheck,
    cut: &Cut,
    set: &JawSet,
    rules: &Rules,
) -> anyhow::Result<Option<ProofNote>> {
    let proof = archive.proof(rules.estimate())?;
    let under = Under::of(set, cut, check);
    Ok(proof.map(|p| ProofNote::of(&p, Some(&under))))
}

fn rule(args: &RuleArgs) -> anyhow::Result<()> {
    let call = Call::new(args.pattern, args.change, args.by.clone(), now())?;
    file(
        &args.id,
        CallKind::Ruling,
        call,
        (&args.rules, &args.common),
    )
}

fn measured(args: &MeasuredArgs) -> anyhow::Result<()> {
    let (pattern, change) = felt(args.open, args.leaf.map(PerSide::of))?;
    let call = Call::new(pattern, change, args.by.clone(), now())?;
    file(
        &args.id,
        CallKind::Measured,
        call,
        (&args.rules, &args.common),
    )
}

/// The gap at the open end is the taper error, per side.
fn felt(open: OpenEnd, leaf: Option<PerSide>) -> anyhow::Result<(Pattern, CalledChange)> {
    let leaf = leaf.filter(|leaf| *leaf != PerSide::ZERO);
    Ok(match (open, leaf) {
        // Open at the base: too much taper, so some comes off.
        (OpenEnd::Base, Some(leaf)) => (Pattern::TipOnly, CalledChange::Change(-leaf)),
        (OpenEnd::Tip, Some(leaf)) => (Pattern::BaseOnly, CalledChange::Change(leaf)),
        (OpenEnd::Neither, None) => (Pattern::FullLength, CalledChange::Leave),
        (OpenEnd::Neither, Some(_)) => {
            bail!(
                "no leaf goes in where neither end stands open; leave the thickness out, or name the end"
            )
        }
        (_, None) => bail!(
            "the thickest leaf that goes in is missing; give it with its unit, as in 1.5thou, or say neither"
        ),
    })
}

fn file(
    id: &str,
    kind: CallKind,
    call: Call,
    (rules, common): (&RulesFile, &RecordArgs),
) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let check = archive.check(id)?.record;
    archive.file_call(&FiledCall {
        id: new_id()?,
        kind,
        item: Item::Check(check.id),
        session: None,
        call,
        revealed: None,
        told: None,
        changed: now(),
    })?;
    print_check(&archive, &check, rules, common)
}

fn label(args: &LabelArgs) -> anyhow::Result<()> {
    let mut archive = open(&args.common.archive)?;
    let check = archive.check(&args.id)?.record;
    let photo = photo_named(&check, args.photo.as_deref())?.sha256.clone();
    let label = Label {
        id: new_id()?,
        photo,
        what: Labelled::Pattern(args.pattern),
        by: Some(args.by.clone()),
        at: now(),
        changed: now(),
    };
    archive.keep_labels(&[label])?;
    print_check(&archive, &check, &args.rules, &args.common)
}

fn photo_named<'a>(check: &'a FiledCheck, name: Option<&str>) -> anyhow::Result<&'a FiledReading> {
    let is_meant = |r: &&FiledReading| name.is_none_or(|n| r.file == n || r.sha256.starts_with(n));
    let mut meant = check.readings.iter().filter(is_meant);
    match (meant.next(), meant.next()) {
        (Some(one), None) => Ok(one),
        (None, _) => bail!("the check has no photo of that name; `seepline check show` names them"),
        _ => bail!(
            "the check has several photos: say which with --photo, by its name or the digits of its SHA-256"
        ),
    }
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
    say(&format!(
        "The check is deleted; `seepline check restore {}` brings it back.",
        short(check.id)
    ))
}
