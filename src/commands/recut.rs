//! `seepline recut` and `seepline sheet`: a jaw set comes back, and its page for the box.

use std::fs;

use anyhow::Context;

use super::archive::{now, open, say};
use super::jaws::apply_mounted;
use super::{Outcome, print, settings, text_options};
use crate::archive::Details;
use crate::archive::shelf::mounted_again;
use crate::commands::cli::{RecutArgs, SheetArgs};
use crate::report::{self, ProofNote};
use crate::taper::records::Mounting;
use crate::taper::recut::Present;

pub(super) fn run(args: &RecutArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let archive = open(&args.common.archive)?;
    let set = archive.jaw_set(&args.name)?;
    let advice = mounted_again(&archive, &set, present(args), &rules)?;
    print(&if args.common.json {
        report::recut_to_json(&advice)?
    } else {
        report::recut_to_text(&advice, text_options()).into_bytes()
    })?;
    Ok(Outcome::Done)
}

fn present(args: &RecutArgs) -> Present {
    let mut mounting = Mounting::default();
    apply_mounted(&mut mounting, &args.mounted);
    Present {
        mounting,
        production_pressure: args.production_pressure,
        worn: args.worn,
        drifting: args.drifting,
        run_out: args.run_out,
        damage: args.damage.clone(),
        back_face_run_out: args.back_face_run_out,
        workpiece_diameter: args.workpiece_diameter,
        next_taper: args.next_taper,
        stock: args.stock,
        stroke_left: args.stroke_left,
    }
}

pub(super) fn sheet(args: &SheetArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let archive = open(&args.archive)?;
    let set = archive.jaw_set(&args.name)?;
    let timeline = archive.timeline(set.id, Details::LeftOut)?;
    let proof = archive.proof(rules.estimate())?;
    let proof = proof.map(|p| ProofNote::of(&p, None));
    let page = report::sheet_to_html(&timeline, &rules, proof.as_ref(), now().date())?;
    let Some(file) = &args.into else {
        print(page.as_bytes())?;
        return Ok(Outcome::Done);
    };
    let shown = file.display();
    fs::write(file, page).with_context(|| {
        format!("the sheet could not be written to {shown}; check the folder and its free space")
    })?;
    say(&format!(
        "The sheet of {} is in {shown}; print it from a browser.",
        set.name
    ))?;
    Ok(Outcome::Done)
}
