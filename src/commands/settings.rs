//! Raw arguments → checked settings.

use anyhow::{Context, bail, ensure};
use std::fs;
use std::path::Path;

use crate::advice::Setup;
use crate::cli::ReadArgs;
use crate::rules::Rules;
use crate::units::{Length, PerSide};

/// Tapers beyond this are a slip of the unit: jaws are bored with thousandths of an inch, and 50 of
/// them are 1.27 mm over one grip length (assumption).
const LARGEST_TAPER_UM: f64 = 1270.0;
/// No face is shorter than this or longer than [`LONGEST_FACE_UM`] (assumption; 2 mm and 0.5 m).
const SHORTEST_FACE_UM: f64 = 2_000.0;
const LONGEST_FACE_UM: f64 = 500_000.0;

/// The check as the user describes it, or what is wrong with the description.
pub(super) fn setup(args: &ReadArgs) -> anyhow::Result<Setup> {
    let (photos, corners) = (args.photos.len(), args.corners.len());
    ensure!(
        corners == 0 || corners == photos,
        "{corners} --corners for {photos} photos; give --corners once per photo, in the photos' \
         order, or not at all"
    );
    Ok(Setup {
        grip: args.grip,
        taper: args.taper.map(taper).transpose()?,
        length: args.length.map(length).transpose()?,
        clearance: args.clearance.map(clearance).transpose()?,
    })
}

fn taper(taper: Length) -> anyhow::Result<PerSide> {
    if taper < Length::ZERO {
        bail!(
            "--taper is negative; it states how much more material was left at the tip than at the \
             base, so give zero or more, per side"
        );
    }
    ensure!(
        taper.as_um() <= LARGEST_TAPER_UM,
        "--taper is more than 0.05 in per side, more than any jaw is cut to; check the unit \
         (in, thou, mm, um)"
    );
    Ok(PerSide::new(taper))
}

fn length(length: Length) -> anyhow::Result<Length> {
    ensure!(
        (SHORTEST_FACE_UM..=LONGEST_FACE_UM).contains(&length.as_um()),
        "--length must be the face's length from tip to base, 2 mm to 500 mm; check the unit \
         (in, thou, mm, um)"
    );
    Ok(length)
}

fn clearance(clearance: Length) -> anyhow::Result<Length> {
    ensure!(
        (0.0..=LONGEST_FACE_UM).contains(&clearance.as_um()),
        "--clearance is how far off the tip the cut starts: zero or more, up to 500 mm; check the \
         sign and the unit (in, thou, mm, um)"
    );
    Ok(clearance)
}

/// The rules built in, or those of a file.
pub(super) fn rules(file: Option<&Path>) -> anyhow::Result<Rules> {
    let Some(file) = file else {
        return Ok(Rules::default());
    };
    let name = file.display();
    let text = fs::read_to_string(file).with_context(|| {
        format!("the rules file {name} could not be read; check its name, or leave --rules out")
    })?;
    Rules::from_toml(&text).with_context(|| format!("the rules file {name} is broken"))
}
