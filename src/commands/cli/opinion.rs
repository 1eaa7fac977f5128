//! What `people`, `practice` and `check rule` take.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::{ArchiveFolder, RecordArgs, RulesFile};
use crate::people::opinion::{CalledChange, Person, pattern_called};
use crate::people::records::Sight;
use crate::reading::pattern::Pattern;

/// A rule holds or does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Switch {
    /// It holds.
    On,
    /// It does not.
    Off,
}

/// What to do about the people who call.
#[derive(Debug, Subcommand)]
pub enum PeopleVerb {
    /// List the people, and what holds for each
    List {
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Whether somebody must call before a reading is shown
    ///
    /// On the command line where that person says who reads (--by), and on the page, which then asks everybody who
    /// reads.
    CallFirst {
        /// Initials or shop number
        #[arg(value_parser = Person::parse)]
        who: Person,
        /// On or off
        #[arg(value_enum)]
        rule: Switch,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Whether somebody is a lead, who may rule what was right
    Lead {
        /// Initials or shop number
        #[arg(value_parser = Person::parse)]
        who: Person,
        /// On or off
        #[arg(value_enum)]
        rule: Switch,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// Who may see other people's records; without a word, what is set. Everybody sees their own
    SeeOthers {
        /// Who
        #[arg(value_enum)]
        to: Option<Sight>,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// A person's record: every call, and what was right
    Show(PersonArgs),
    /// A person's record as JSON, to hand over
    Export(PersonArgs),
    /// How well the calls filed here agree: with what was right, and with each other
    ///
    /// Only records that the one who asks may see are in it; how many people are left out is said.
    Agreement(PeopleAgreementArgs),
    /// Erase a person: calls and rulings stay, a random number stands in place of the initials
    ///
    /// It reaches this archive alone, not its backups, its exports or an archive that it is merged with later. End
    /// `seepline serve` before it: checks that are under way on the page hold initials, too.
    Erase {
        /// Initials or shop number
        #[arg(value_parser = Person::parse)]
        who: Person,
        /// Do not ask
        #[arg(long)]
        yes: bool,
        /// The archive's folder.
        #[command(flatten)]
        archive: ArchiveFolder,
    },
}

/// Whose record, and who asks.
#[derive(Debug, Args)]
pub struct PersonArgs {
    /// Whose: initials or shop number
    #[arg(value_parser = Person::parse)]
    pub who: Person,
    /// Who asks
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `people agreement` takes.
#[derive(Debug, Args)]
pub struct PeopleAgreementArgs {
    /// Who asks; needed unless everybody may see everybody's record (see-others)
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Option<Person>,
    /// Also write the report as HTML to print
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What a lead says was right.
#[derive(Debug, Args)]
pub struct RuleArgs {
    /// The check's id or its first digits
    pub id: String,
    /// The pattern that was right
    #[arg(value_parser = pattern_called)]
    pub pattern: Pattern,
    /// The change that was right: as `read --change` takes it
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub change: CalledChange,
    /// Who rules; a lead
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What `practice` takes.
#[derive(Debug, Args)]
pub struct PracticeArgs {
    /// Who practises: initials or a shop number
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// How many questions
    #[arg(long, value_name = "COUNT", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=500))]
    pub count: u16,
    /// Also ask about the photos in this folder, whose `truth.json` says what is right, such as sample-images
    #[arg(long, value_name = "DIR")]
    pub photos: Option<PathBuf>,
    /// Order the questions by this number; where not given, by another one each time, which is said
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// Keep the pictures that are asked about in this folder (made where it is missing); where not given
    /// they lie in the system's folder for passing things, and are removed at the end
    #[arg(long, value_name = "DIR")]
    pub pictures: Option<PathBuf>,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive's folder.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

pub(super) const PEOPLE_EXAMPLES: &str = "\
Examples:
  seepline people call-first AB on
  seepline people show AB --by AB
  seepline people export AB --by AB > AB.json
  seepline people agreement --by JK --html agreement.html

People are initials or shop numbers. None of this is a lock: whoever may write to
the archive's folder may change it. Erasing is for one archive: erase in each that
may be merged with it, and think of backups and exports made before.";

pub(super) const PRACTICE_EXAMPLES: &str = "\
Examples:
  seepline practice --by AB
  seepline practice --by AB --photos sample-images --count 20

Open the picture that is named, then type the pattern and the change that it asks
for, as for read --call and --change. Ctrl-D ends with the score so far. Every answer
is filed as it is given.";
