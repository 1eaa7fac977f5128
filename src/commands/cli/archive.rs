//! What the other verbs of the archive take.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::opinion::RuleArgs;
use super::prove::MeasuredArgs;
use super::read::TipSaid;
use super::{ArchiveFolder, RulesFile, text_line};
use crate::people::opinion::{Person, pattern_called};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::report::Licence;
use crate::units::{PerSide, Pressure};

/// What every verb on a record takes.
#[derive(Debug, Clone, Default, Args)]
pub struct RecordArgs {
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// What to do with filed checks.
#[derive(Debug, Subcommand)]
pub enum CheckVerb {
    /// Show a check
    Show {
        /// The check's id or its first digits
        id: String,
        /// The rules.
        #[command(flatten)]
        rules: RulesFile,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Note what was done about a check
    Done {
        /// The check's id or its first digits
        id: String,
        /// In your words
        #[arg(value_parser = text_line)]
        what: String,
        /// The rules.
        #[command(flatten)]
        rules: RulesFile,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// A lead says what was right about a check; the latest ruling stands
    ///
    /// What was right is, in this order, the outcome that later cuts and checks of the set proved, a lead's ruling, a
    /// feeler, the program's reading; every output says which.
    Rule(Box<RuleArgs>),
    /// A lead says what can be read in one photo of a check: read wrongly, or refused wrongly
    ///
    /// It is kept as a label of the photo, as are corners that were given and a tip that was said to be elsewhere. What
    /// is filed of the check stays as it is.
    Label(LabelArgs),
    /// A feeler under full clamp says what was right about a check; the latest one stands
    ///
    /// The thickest leaf that goes in between jaw and work at the end that stands open is the change that the check asks
    /// for, per side. In a prove-out this counts whenever it is measured.
    Measured(Box<MeasuredArgs>),
    /// Delete a check: it is hidden, and can be restored
    Delete {
        /// The check's id or its first digits
        id: String,
        /// Do not ask
        #[arg(long)]
        yes: bool,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Bring a deleted check back
    Restore {
        /// The check's id or its first digits
        id: String,
        /// The rules.
        #[command(flatten)]
        rules: RulesFile,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
}

/// What a lead says can be read in a photo.
#[derive(Debug, Args)]
pub struct LabelArgs {
    /// The check's id or its first digits
    pub id: String,
    /// The pattern that can be read; unreadable where the photo should have been refused
    #[arg(value_parser = pattern_called)]
    pub pattern: Pattern,
    /// The photo: its file's name as `check show` has it, or the first digits of its SHA-256; needed where the check has
    /// several
    #[arg(long, value_name = "FILE")]
    pub photo: Option<String>,
    /// Who says so; a lead
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `history` takes.
#[derive(Debug, Args)]
pub struct HistoryArgs {
    /// The jaw set's name or id
    pub name: String,
    /// Also draw it into this file, as SVG or PNG by its ending
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What to take in.
#[derive(Debug, Subcommand)]
pub enum ImportVerb {
    /// A CSV table of jaw sets, one a line, the fields' names in the first line
    Sets(ImportSetsArgs),
    /// A folder of photos of one jaw set: grouped into checks by the time taken, read and filed
    Photos(Box<ImportPhotosArgs>),
    /// A file of checks that a phone made alone: read again, advised on with the jaw set's history, and filed
    ///
    /// A check that was taken in already is filed once, however often its file comes. So are answers of practice that lie in the file; they
    /// are of no jaw set.
    Phone(ImportPhoneArgs),
}

/// What `import sets` takes.
#[derive(Debug, Args)]
pub struct ImportSetsArgs {
    /// The table
    pub file: PathBuf,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `import photos` takes.
#[derive(Debug, Args)]
pub struct ImportPhotosArgs {
    /// The jaw set's name or id
    pub name: String,
    /// The folder of its photos
    #[arg(value_name = "FOLDER")]
    pub photos: PathBuf,
    /// Taper per side that each check was made at, oldest first, with a unit; once per check. A check
    /// with another taper than the one before begins a new cut
    #[arg(long, value_name = "LENGTH", value_parser = PerSide::parse_taper, allow_hyphen_values = true, required = true)]
    pub taper: Vec<PerSide>,
    /// Jaws photographed at each check; where not given, a pause of half an hour begins a new check
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(1..=12))]
    pub jaws_per_check: Option<u8>,
    /// How the checks were made
    #[arg(long, value_enum, default_value_t)]
    pub method: Method,
    /// Where the tip points in the upright photos: up, down, left, right, or unsaid. Once for all photos, or once
    /// per photo, oldest first
    #[arg(long, value_name = "WHERE")]
    pub tip: Vec<TipSaid>,
    /// Which jaw the photo shows, a number from 1: once per photo, oldest first. Photos of a check with the same number
    /// are of one jaw, and are read together
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u8).range(1..))]
    pub jaw: Vec<u8>,
    /// The compound's name or colour
    #[arg(long, value_name = "TEXT", value_parser = text_line)]
    pub compound: Option<String>,
    /// Chuck pressure while checking; where not given, the set's production pressure
    #[arg(long, value_name = "PRESSURE")]
    pub pressure: Option<Pressure>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `import phone` takes.
#[derive(Debug, Args)]
#[command(allow_missing_positional = true)]
pub struct ImportPhoneArgs {
    /// The jaw set's name or id; where not given, the one that each check was begun with on the phone
    pub name: Option<String>,
    /// The file that the phone saved or shared
    pub file: PathBuf,
    /// Only this check of the file, by its id or first digits; needed where the file holds several and a set is named, and may be
    /// given several times
    #[arg(long, value_name = "ID")]
    pub check: Vec<String>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `export` takes.
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// The folder to write into (made where it is missing)
    #[arg(value_name = "FOLDER", required_unless_present = "labelled")]
    pub to: Option<PathBuf>,
    /// Write a pack of labelled photos to give away into this folder instead: encoded anew, without names, people, times,
    /// places or devices
    ///
    /// In it are the photos of which anything is known (corners that were given, a tip that was said, a lead's word, what
    /// later cuts proved), or those that are named with --check and --jaws. Its index.html shows all that is in it: look
    /// at every photo before you give it away. Nothing is sent anywhere.
    #[arg(long, value_name = "DIR", requires = "licence", conflicts_with = "to")]
    pub labelled: Option<PathBuf>,
    /// The licence that the pack is given under
    #[arg(long, value_enum, requires = "labelled")]
    pub licence: Option<Licence>,
    /// Put the photos of this check into the pack, by its id or first digits; may be given several times
    #[arg(long, value_name = "ID", requires = "labelled")]
    pub check: Vec<String>,
    /// Leave out the photo with this number on the page of a pack that was made of the same photos; may be given several
    /// times, and the other photos keep their numbers
    #[arg(long, value_name = "NUMBER", requires = "labelled")]
    pub without: Vec<usize>,
    /// Put the photos of this jaw set into the pack; may be given several times
    #[arg(long, value_name = "NAME", requires = "labelled")]
    pub jaws: Vec<String>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

/// What `backup` takes.
#[derive(Debug, Args)]
pub struct BackupArgs {
    /// The folder to copy to; it must not hold an archive
    #[arg(value_name = "FOLDER")]
    pub to: PathBuf,
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

/// What `merge` takes.
#[derive(Debug, Args)]
pub struct MergeArgs {
    /// The other archive's folder; it is only read
    pub other: PathBuf,
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

pub(super) const CHECK_EXAMPLES: &str = "\
Examples:
  seepline check show 3f2a
  seepline check done 3f2a \"took 1 thou off, stoned jaw 2\"
  seepline check rule 3f2a edges-only --change none --by JK
  seepline check label 3f2a tip-only --photo jaw2.jpg --by JK";

pub(super) const HISTORY_EXAMPLES: &str = "\
Examples:
  seepline history heron
  seepline history heron --picture heron.svg";

pub(super) const IMPORT_EXAMPLES: &str = "\
Examples:
  seepline import sets jaws.csv
  Three checks of heron, cut with 4, 3 and 2 thousandths of taper per side:
    seepline import photos heron old-photos/heron --tip up --taper 4thou --taper 3thou --taper 2thou
  A check that a phone made alone, and checks that were begun with their jaw sets there:
    seepline import phone heron checks-2026-03-04.tar
    seepline import phone checks-2026-03-05.tar

A table's first line names the fields: name,grip,material,face_length,…";
