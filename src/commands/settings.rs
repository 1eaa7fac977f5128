//! Raw arguments → checked settings.

use anyhow::{Context, bail, ensure};
use std::fs;

use crate::commands::cli::{ReadArgs, RulesFile};
use crate::taper::advice::{Grip, Setup};
pub(super) use crate::taper::limits::LARGEST_TAPER;
use crate::taper::limits::{LONGEST_FACE, SHORTEST_FACE};
use crate::taper::records::JawSet;
use crate::taper::rules::Rules;
use crate::units::{Length, PerSide};

/// The check as the user describes it, filled in from the jaw set where there is one, or what is wrong
/// with the description.
pub(super) fn setup(args: &ReadArgs, set: Option<&JawSet>) -> anyhow::Result<Setup> {
    let (photos, corners) = (args.photos.len(), args.corners.len());
    ensure!(
        corners == 0 || corners == photos,
        "{corners} --corners for {photos} photos; give --corners once per photo, in the photos' \
         order, or not at all"
    );
    let tips = args.tip.len();
    ensure!(
        tips <= 1 || tips == photos,
        "{tips} --tip for {photos} photos; give --tip once for all photos, or once per photo in the photos' \
         order, with `unsaid` where you don't know"
    );
    let jaws = args.jaw.len();
    ensure!(
        jaws == 0 || jaws == photos,
        "{jaws} --jaw for {photos} photos; give --jaw once per photo, in the photos' order, the same number for \
         photos of one jaw, or not at all"
    );
    Ok(Setup {
        grip: grip(args.grip, set)?,
        taper: args.taper.map(taper).transpose()?,
        length: args
            .length
            .map(length)
            .transpose()?
            .or(set.and_then(|s| s.face_length)),
        clearance: args.clearance.map(clearance).transpose()?,
    })
}

fn grip(given: Option<Grip>, set: Option<&JawSet>) -> anyhow::Result<Grip> {
    match (given, set) {
        // Neither is taken: for the other grip the diameters to program run the other way.
        (Some(given), Some(set)) if given != set.grip => bail!(
            "{} is filed with the other grip; leave --grip out, or correct the set with `seepline jaws \
             change {} --grip …`",
            set.name,
            set.name
        ),
        (Some(given), _) => Ok(given),
        (None, set) => Ok(set.map_or_else(Grip::default, |s| s.grip)),
    }
}

pub(super) fn taper(taper: PerSide) -> anyhow::Result<PerSide> {
    ensure!(
        taper <= LARGEST_TAPER,
        "--taper is more than 0.05 in per side, more than any jaw is cut to; check the unit \
         (in, thou, mm, um)"
    );
    Ok(taper)
}

fn length(length: Length) -> anyhow::Result<Length> {
    ensure!(
        (SHORTEST_FACE..=LONGEST_FACE).contains(&length),
        "--length must be the face's length from tip to base, 2 mm to 500 mm; check the unit \
         (in, thou, mm, um)"
    );
    Ok(length)
}

fn clearance(clearance: Length) -> anyhow::Result<Length> {
    ensure!(
        clearance <= LONGEST_FACE,
        "--clearance is how far off the tip the cut starts, up to 500 mm; check the unit \
         (in, thou, mm, um)"
    );
    Ok(clearance)
}

/// The rules built in, or those of a file.
pub(super) fn rules(given: &RulesFile) -> anyhow::Result<Rules> {
    let Some(file) = &given.file else {
        return Ok(Rules::default());
    };
    let name = file.display();
    let text = fs::read_to_string(file).with_context(|| {
        format!("the rules file {name} could not be read; check its name, or leave --rules and SEEPLINE_RULES out")
    })?;
    Ok(Rules::parse(&text, &name.to_string())?)
}
