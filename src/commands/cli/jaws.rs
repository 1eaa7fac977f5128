//! What `jaws` and `cut` take.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use jiff::civil::{Date, DateTime};

use super::archive::RecordArgs;
use super::text_line;
use crate::taper::advice::Grip;
use crate::units::{Length, PerSide, Pressure};

/// What to do with jaw sets.
#[derive(Debug, Subcommand)]
pub enum JawsVerb {
    /// Add a jaw set; only its name is needed
    Add {
        /// What the shop calls it
        name: String,
        /// What is known of it.
        #[command(flatten)]
        fields: JawSetFields,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Change what is known of a jaw set; what is not named stays
    Change {
        /// The set's name or id
        name: String,
        /// A new name for it
        #[arg(long, value_name = "NAME")]
        rename: Option<String>,
        /// What is known of it now.
        #[command(flatten)]
        fields: JawSetFields,
        /// Clear a field, by its option's name without the dashes: material, stock, notes, …
        #[arg(long, value_name = "FIELD")]
        forget: Vec<String>,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Show a jaw set
    Show {
        /// The set's name or id
        name: String,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// List jaw sets; words find those that hold them all
    List(ListArgs),
    /// Delete a jaw set: it is hidden with its cuts and checks, and can be restored
    Delete {
        /// The set's name or id
        name: String,
        /// Do not ask
        #[arg(long)]
        yes: bool,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Bring a deleted jaw set back
    Restore {
        /// The set's name or id
        name: String,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
}

/// Which jaw sets to list.
#[derive(Debug, Args)]
pub struct ListArgs {
    /// Words to find in the name or any text field
    pub words: Vec<String>,
    /// Only outside or inside grip
    #[arg(long, value_enum)]
    pub grip: Option<Grip>,
    /// Part of the material
    #[arg(long, value_name = "TEXT")]
    pub material: Option<String>,
    /// Part of the machine
    #[arg(long, value_name = "TEXT")]
    pub machine: Option<String>,
    /// Part of the chuck
    #[arg(long, value_name = "TEXT")]
    pub chuck: Option<String>,
    /// Least workpiece diameter, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub diameter_from: Option<Length>,
    /// Largest workpiece diameter, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub diameter_to: Option<Length>,
    /// The deleted ones instead
    #[arg(long)]
    pub deleted: bool,
    /// Print them as a file that the page for a phone alone reads, so that a check there begins with its set: name, grip,
    /// material, length of the face, production pressure, taper of the last cut, and how the last check was made
    #[arg(long, conflicts_with_all = ["deleted", "json"])]
    pub for_phone: bool,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// Where jaws sit.
#[derive(Debug, Clone, Default, Args)]
pub struct Mounted {
    /// The lathe
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub machine: Option<String>,
    /// The chuck
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub chuck: Option<String>,
    /// Which jaw sits on which master jaw, as in "1-A 2-B 3-C"
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub master_jaws: Option<String>,
    /// Where on the serrations: a count and from where, or a scribed line
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub serration: Option<String>,
}

/// What may be known of a jaw set.
#[derive(Debug, Clone, Default, Args)]
pub struct JawSetFields {
    /// Whether the jaws close on the work's outer diameter or open against its inner diameter
    #[arg(long, value_enum)]
    pub grip: Option<Grip>,
    /// Of the jaws
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub material: Option<String>,
    /// From the serrations to the top of the jaw, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub jaw_height: Option<Length>,
    /// Length of the gripping face from tip to base, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub face_length: Option<Length>,
    /// Width of the gripping face, straight across, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub face_width: Option<Length>,
    /// Diameter as bored last, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub bored_diameter: Option<Length>,
    /// What is clamped in them
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub workpiece: Option<String>,
    /// Its diameter where it is clamped, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub workpiece_diameter: Option<Length>,
    /// Where the set sits now.
    #[command(flatten)]
    pub mounted: Mounted,
    /// Chuck pressure while boring, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub boring_pressure: Option<Pressure>,
    /// Chuck pressure in production, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub production_pressure: Option<Pressure>,
    /// Bolt torque as the shop states it
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub bolt_torque: Option<String>,
    /// What to clamp on while boring: ring or plug, and its diameter
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub bored_on: Option<String>,
    /// Per side, what may still be bored away, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub stock: Option<Length>,
    /// Free text
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub notes: Option<String>,
    /// A photo of the set itself; may be given again
    #[arg(long, value_name = "FILE")]
    pub photo: Vec<PathBuf>,
}

/// What to do with cuts.
#[derive(Debug, Subcommand)]
pub enum CutVerb {
    /// Note that a jaw set was bored
    Add {
        /// The set's name or id
        jaws: String,
        /// What is known of the cut.
        #[command(flatten)]
        fields: CutFields,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Change what is known of a cut; what is not named stays
    Change {
        /// The cut's id or its first digits
        id: String,
        /// What is known of it now.
        #[command(flatten)]
        fields: CutFields,
        /// Clear a field, by its option's name without the dashes: taper, notes, …
        #[arg(long, value_name = "FIELD")]
        forget: Vec<String>,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Show a cut
    Show {
        /// The cut's id or its first digits
        id: String,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Delete a cut: it is hidden with its checks, and can be restored
    Delete {
        /// The cut's id or its first digits
        id: String,
        /// Do not ask
        #[arg(long)]
        yes: bool,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Bring a deleted cut back
    Restore {
        /// The cut's id or its first digits
        id: String,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
}

/// What may be known of a cut. Pressure and mounting are the set's where they are not given.
#[derive(Debug, Clone, Default, Args)]
pub struct CutFields {
    /// Taper as cut, per side, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = PerSide::parse_taper, allow_hyphen_values = true)]
    pub taper: Option<PerSide>,
    /// When, as in 2026-03-04 or 2026-03-04T10:30; now where not given
    #[arg(long, value_name = "DATE", value_parser = day_or_time)]
    pub made: Option<DateTime>,
    /// Diameter to which it was bored or turned, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub diameter: Option<Length>,
    /// Depth along the spindle axis, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub depth: Option<Length>,
    /// Chuck pressure while boring, with a unit
    #[arg(long, value_name = "PRESSURE")]
    pub boring_pressure: Option<Pressure>,
    /// What was skimmed besides the gripping face, and by how much
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub skimmed: Option<String>,
    /// Per side, what was left after this cut until the jaws are used up, with a unit
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub stock_left: Option<Length>,
    /// Where the set sat.
    #[command(flatten)]
    pub mounted: Mounted,
    /// Free text
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub notes: Option<String>,
}

/// A day counts from midnight.
fn day_or_time(text: &str) -> Result<DateTime, String> {
    let day = || text.parse::<Date>().map(|d| d.at(0, 0, 0, 0));
    text.parse()
        .or_else(|_| day())
        .map_err(|_| format!("“{text}” is no date; write 2026-03-04 or 2026-03-04T10:30"))
}

pub(super) const EXAMPLES: &str = "\
Examples:
  seepline jaws add heron --material \"6061 aluminium\" --machine \"north lathe\" --face-length 1.25in
  seepline jaws change heron --production-pressure 300psi --master-jaws \"1-A 2-B 3-C\"
  seepline jaws list north aluminium
  seepline jaws show heron --json";

pub(super) const CUT_EXAMPLES: &str = "\
Examples:
  seepline cut add heron --taper 0.003in --diameter 2.5in --boring-pressure 100psi
  seepline cut change 3f2a --stock-left 0.2in";
