//! What `start`, `recut` and `sheet` take.

use std::path::PathBuf;

use clap::Args;

use super::archive::RecordArgs;
use super::jaws::Mounted;
use super::{ArchiveFolder, RulesFile, text_line};
use crate::taper::start::{FeltAt, Material, USUAL_JAWS};
use crate::units::{Force, Length, PerSide, Pressure};

/// What `start` takes. The feeler is taken where it is given, else the chuck's rating, else what finished
/// checks have taught.
#[derive(Debug, Args)]
pub struct StartArgs {
    /// The jaw set's name or id: fills in what is not given, and answers from its finished checks
    #[arg(value_name = "NAME")]
    pub jaws: Option<String>,

    /// Thickest feeler that goes in at the open end, under full clamp, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub feeler: Option<Length>,
    /// How far it goes in, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub depth: Option<Length>,
    /// Thinnest feeler that does not go in at all, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub too_thick: Option<Length>,
    /// The end where the feeler goes in
    #[arg(long, value_enum)]
    pub open_end: Option<FeltAt>,
    /// Taper cut now, per side, with a unit; 0 for jaws that were bored straight
    #[arg(long, value_name = "LENGTH", value_parser = PerSide::parse_taper, allow_hyphen_values = true)]
    pub taper: Option<PerSide>,

    /// Length of the gripping face from tip to base, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub face_length: Option<Length>,
    /// Chuck pressure while boring, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub boring_pressure: Option<Pressure>,
    /// Chuck pressure in production, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub production_pressure: Option<Pressure>,

    /// Grip force of all jaws together as the chuck's maker rates it, with a unit (kN, N, lbf)
    #[arg(long, value_name = "FORCE")]
    pub rated_force: Option<Force>,
    /// Chuck pressure of that rating, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub rated_pressure: Option<Pressure>,
    /// How many jaws share the force
    #[arg(long, value_name = "COUNT", default_value_t = USUAL_JAWS, value_parser = clap::value_parser!(u8).range(1..=12))]
    pub jaw_count: u8,
    /// What the jaws are made of
    #[arg(long, value_enum)]
    pub material: Option<Material>,
    /// From the serrations to the top of the jaw, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub jaw_height: Option<Length>,
    /// Width of the jaw, across the grip force, with a unit; the face's where not given
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub width: Option<Length>,
    /// How much jaw stands behind the face, along the grip force, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub thickness: Option<Length>,
    /// From the jaw's top down to the tip of the face, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub tip_below_top: Option<Length>,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `recut` takes: what is so now. What is not given is as the set says, or unknown.
#[derive(Debug, Args)]
pub struct RecutArgs {
    /// The jaw set's name or id
    pub name: String,
    /// Where the set is mounted now.
    #[command(flatten)]
    pub mounted: Mounted,
    /// Chuck pressure that production will run at, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub production_pressure: Option<Pressure>,
    /// Wear was seen on a face
    #[arg(long)]
    pub worn: bool,
    /// Parts drift out of tolerance or off centre
    #[arg(long)]
    pub drifting: bool,
    /// Total indicated run-out of the faces, or of a master gripped in them, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub run_out: Option<Length>,
    /// Deepest wear or damage of a face, with a unit; once per jaw
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub damage: Vec<Length>,
    /// Run-out of the back face along the spindle axis, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub back_face_run_out: Option<Length>,
    /// Diameter of the next workpiece, with a unit; the set's own where not given
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub workpiece_diameter: Option<Length>,
    /// Taper to bore next, per side, with a unit; the last cut's where not given
    #[arg(long, value_name = "LENGTH", value_parser = PerSide::parse_taper, allow_hyphen_values = true)]
    pub next_taper: Option<PerSide>,
    /// Per side, what may still be bored away, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub stock: Option<Length>,
    /// How far each jaw can still move in the direction that clamps, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub stroke_left: Option<Length>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `sheet` takes.
#[derive(Debug, Args)]
pub struct SheetArgs {
    /// The jaw set's name or id
    #[arg(value_parser = text_line)]
    pub name: String,
    /// Write the page into this file instead of printing it
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

pub(super) const START_EXAMPLES: &str = "\
Examples:
  A 0.004 in feeler goes 0.5 in deep at the tip of a straight bore:
    seepline start --feeler 4thou --depth 0.5in --open-end tip --face-length 1.25in

  From what finished checks of heron, or of sets like it, have taught:
    seepline start heron --boring-pressure 100psi --production-pressure 300psi

  Roughly, from the jaw's size and the chuck's rating:
    seepline start heron --rated-force 60kN --rated-pressure 25bar --thickness 2in";

pub(super) const RECUT_EXAMPLES: &str = "\
Examples:
  seepline recut heron --machine \"north lathe\" --master-jaws \"1-A 2-B 3-C\"
  seepline recut heron --drifting --run-out 1.5thou --stroke-left 0.1in";

pub(super) const SHEET_EXAMPLES: &str = "\
Example:
  seepline sheet heron --into heron.html";
