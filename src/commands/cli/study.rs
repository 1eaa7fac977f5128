//! What `study` takes.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::read::TipSaid;
use super::{ArchiveFolder, RulesFile};
use crate::reading::method::Method;
use crate::taper::advice::Grip;

/// Agreement studies.
#[derive(Debug, Subcommand)]
pub enum StudyVerb {
    /// Make a folder in which several people call the same photos blind, in random order
    #[command(after_help = MAKE_EXAMPLES)]
    Make(StudyMakeArgs),
    /// Read the filled-in sheets and say how well the readers agree
    #[command(after_help = REPORT_EXAMPLES)]
    Report(StudyReportArgs),
}

/// What `study make` takes.
#[derive(Debug, Args)]
pub struct StudyMakeArgs {
    /// The folder that the photos are in, with all folders in it
    #[arg(long, value_name = "DIR")]
    pub photos: PathBuf,

    /// Who will call: initials or shop numbers, with commas
    #[arg(long, value_name = "READER,…", required = true, value_delimiter = ',')]
    pub readers: Vec<String>,

    /// How often everybody sees each photo
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u32).range(1..=10))]
    pub repeats: u32,

    /// The same seed gives the same orders (where not given: drawn, and noted in the key)
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,

    /// How the checks were made, all of them: a print read as a seep-in check turns every call round
    #[arg(long, value_enum, default_value_t)]
    pub method: Method,

    /// Where the tip points in the upright photos: up, down, left, right, or unsaid. Once for all photos, or once per photo
    /// in the order of their names; the readers see all tips up. Up where nobody says, and then seepline calls only
    /// photos that plainly show it there
    #[arg(long, value_name = "WHERE")]
    pub tip: Vec<TipSaid>,

    /// A table (CSV) with the columns file and tip, such as `review` takes: what it says of a photo goes before --tip
    #[arg(long, value_name = "FILE")]
    pub groups: Option<PathBuf>,

    /// Which way the jaws grip
    #[arg(long, value_enum, default_value_t)]
    pub grip: Grip,

    /// The study's folder (made where it is missing); sheets that are there already stay as they are
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive's folder: it knows whether changes are kept back.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

/// What `study report` takes.
#[derive(Debug, Args)]
pub struct StudyReportArgs {
    /// The study's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,

    /// A table (CSV) of what was right, as below. Without it seepline's own reading stands in
    #[arg(long, value_name = "FILE")]
    pub truth: Option<PathBuf>,

    /// Print one JSON object instead of the text report
    #[arg(long)]
    pub json: bool,

    /// Also write the report as HTML to print
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive's folder: it knows whether changes are kept back.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

pub(super) const EXAMPLES: &str = "\
Examples:
  seepline study make --photos checks --readers AB,CD,7 --tip up --into study
  seepline study report study --truth right.csv --html agreement.html";

const MAKE_EXAMPLES: &str = "\
Example:
  seepline study make --photos checks --readers AB,CD,7 --repeats 2 --tip up --into study

Give each reader only the own folder, study/reader-AB and so on: a page to look at, pictures under neutral
numbers without names, times or places, a sheet to print and answers.csv to fill in. Which number is which
photo stands in study/key-not-for-readers.

Exit status: 0 the study is made of all photos; 1 some photos could not be opened and are left out; 2 nothing
could be made.";

const REPORT_EXAMPLES: &str = "\
Examples:
  seepline study report study
  seepline study report study --truth right.csv --html agreement.html

The table of what was right, one line a photo; a photo is named by its place below the folder of photos, or by
its name alone where only one has it:
  photo,pattern,change_per_side,rests_on
  heron/jaw1.jpg,tip-only,-1thou,later-cuts
  heron/jaw2.jpg,full-length,,lead

Exit status: 0 all sheets were used in full; 1 something in them was left out, and is named; 2 there is no
report.";
