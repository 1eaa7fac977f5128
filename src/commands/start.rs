//! `seepline start`: the first taper, before any check.

use anyhow::{Context, bail, ensure};

use super::archive::{lessons, open};
use super::{Outcome, print, settings, text_options};
use crate::archive::{Archive, Details};
use crate::commands::cli::StartArgs;
use crate::report;
use crate::taper::learning::{ComplianceSource, known_compliance};
use crate::taper::records::JawSet;
use crate::taper::rules::Rules;
use crate::taper::start::{
    ChuckRating, FeelerReading, FeltAt, JawGeometry, Material, Pressures, StartingTaper,
    TaperPerStep, from_compliance, from_feeler, from_geometry,
};
use crate::units::{Length, PerSide};

pub(super) fn run(args: &StartArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let mut shelf = args
        .jaws
        .as_ref()
        .map(|name| named(args, name))
        .transpose()?;
    let set = shelf.as_ref().map(|(_, set)| set);
    // What is given counts before what the archive knows.
    let start = if let Some(thickness) = args.feeler {
        from_feeler(&feeler(args, thickness, set)?, &rules)?
    } else if args.rated_force.is_some() {
        by_geometry(args, set, &rules)?
    } else if let Some((archive, set)) = &mut shelf {
        by_history(args, archive, set, &rules)?
    } else {
        bail!(
            "there is nothing to start from; give a feeler reading (--feeler), the chuck's rating \
             (--rated-force), or the name of a jaw set with finished checks"
        );
    };
    print(&if args.common.json {
        report::start_to_json(&start)?
    } else {
        report::start_to_text(&start, text_options()).into_bytes()
    })?;
    Ok(Outcome::Done)
}

fn named(args: &StartArgs, name: &str) -> anyhow::Result<(Archive, JawSet)> {
    let archive = open(&args.common.archive)?;
    let set = archive.jaw_set(name)?;
    Ok((archive, set))
}

/// As given, else as the set says.
fn known<T>(given: Option<T>, of_set: Option<T>, option: &str) -> anyhow::Result<T> {
    given
        .or(of_set)
        .with_context(|| format!("{option} is not known; give it, or note it with the jaw set"))
}

fn face_length(args: &StartArgs, set: Option<&JawSet>) -> anyhow::Result<Length> {
    known(
        args.face_length,
        set.and_then(|s| s.face_length),
        "--face-length",
    )
}

fn feeler(
    args: &StartArgs,
    thickness: Length,
    set: Option<&JawSet>,
) -> anyhow::Result<FeelerReading> {
    let open_end = args
        .open_end
        .context("say at which end the feeler went in, with --open-end tip or --open-end base")?;
    ensure!(
        open_end == FeltAt::Tip || args.taper.is_some(),
        "a feeler that goes in at the base says how much taper is too much; say with --taper how much is \
         cut now"
    );
    Ok(FeelerReading {
        thickness,
        depth: args.depth,
        face_length: face_length(args, set)?,
        too_thick: args.too_thick,
        open_end,
        present: args.taper.unwrap_or(PerSide::ZERO),
    })
}

fn pressures(args: &StartArgs, set: Option<&JawSet>) -> anyhow::Result<Pressures> {
    Ok(Pressures {
        boring: known(
            args.boring_pressure,
            set.and_then(|s| s.boring_pressure),
            "--boring-pressure",
        )?,
        production: known(
            args.production_pressure,
            set.and_then(|s| s.production_pressure),
            "--production-pressure",
        )?,
    })
}

fn by_geometry(
    args: &StartArgs,
    set: Option<&JawSet>,
    rules: &Rules,
) -> anyhow::Result<StartingTaper> {
    let of_set = set.and_then(|s| s.material.as_deref().and_then(Material::from_words));
    let jaw = JawGeometry {
        material: known(args.material, of_set, "--material")?,
        height: known(
            args.jaw_height,
            set.and_then(|s| s.jaw_height),
            "--jaw-height",
        )?,
        face_length: face_length(args, set)?,
        tip_below_top: args.tip_below_top.unwrap_or(Length::ZERO),
        width: known(args.width, set.and_then(|s| s.face_width), "--width")?,
        thickness: known(args.thickness, None, "--thickness")?,
    };
    let rating = ChuckRating {
        total_force: known(args.rated_force, None, "--rated-force")?,
        at: known(args.rated_pressure, None, "--rated-pressure")?,
        jaws: args.jaw_count,
    };
    let pressures = pressures(args, set)?;
    Ok(from_geometry(&jaw, &rating, &pressures, None, rules)?)
}

fn by_history(
    args: &StartArgs,
    archive: &mut Archive,
    set: &JawSet,
    rules: &Rules,
) -> anyhow::Result<StartingTaper> {
    let pressures = pressures(args, Some(set))?;
    let timeline = archive.timeline(set.id, Details::LeftOut)?;
    let others = lessons(archive, set.id, rules)?;
    let learned = known_compliance(&timeline, &others, rules.estimate()).with_context(|| {
        let name = &set.name;
        format!(
            "no finished check at known pressures is filed yet, neither of {name} nor of a set of its \
             material and height; give a feeler reading (--feeler) or the chuck's rating (--rated-force)"
        )
    })?;
    let (boring, production) = (pressures.boring, pressures.production);
    let foretold = learned
        .predict(production, boring)
        .context("the pressures are beyond what finished checks can say")?;
    let step = production
        .rise_from(boring)
        .context("the boring pressure is above the production pressure; check the two")?;
    let sisters = learned.source() == ComplianceSource::Sisters;
    let per_step = TaperPerStep {
        taper: foretold.median,
        low: foretold.low,
        high: foretold.high,
        step,
        sister: sisters.then(|| "sets of the same material and height".to_owned()),
    };
    Ok(from_compliance(&per_step, &pressures, rules)?)
}
