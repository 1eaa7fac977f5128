//! `seepline start`: the first taper, before any check.

use super::archive::open;
use super::{Outcome, print, settings, text_options};
use crate::archive::Archive;
use crate::archive::shelf::first_taper;
use crate::commands::cli::StartArgs;
use crate::report;
use crate::taper::records::JawSet;
use crate::taper::start::Given;

pub(super) fn run(args: &StartArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    let mut shelf = args
        .jaws
        .as_ref()
        .map(|name| named(args, name))
        .transpose()?;
    let set = shelf.as_mut().map(|(archive, set)| (archive, &*set));
    let start = first_taper(&given(args), set, &rules)?;
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

fn given(args: &StartArgs) -> Given {
    Given {
        feeler: args.feeler,
        depth: args.depth,
        too_thick: args.too_thick,
        open_end: args.open_end,
        taper: args.taper,
        face_length: args.face_length,
        boring_pressure: args.boring_pressure,
        production_pressure: args.production_pressure,
        rated_force: args.rated_force,
        rated_pressure: args.rated_pressure,
        jaw_count: Some(args.jaw_count),
        material: args.material,
        jaw_height: args.jaw_height,
        width: args.width,
        thickness: args.thickness,
        tip_below_top: args.tip_below_top,
    }
}
