//! Argument definitions only: what may be typed, not what it does.

mod archive;
mod jaws;
mod opinion;
mod prove;
mod read;
mod review;
mod serve;
mod start;
mod study;

use std::path::PathBuf;
use std::sync::LazyLock;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

pub use archive::{
    BackupArgs, CheckVerb, ExportArgs, HistoryArgs, ImportPhoneArgs, ImportPhotosArgs,
    ImportSetsArgs, ImportVerb, LabelArgs, MergeArgs, RecordArgs,
};
pub use jaws::{CutFields, CutVerb, JawSetFields, JawsVerb, ListArgs, Mounted};
pub use opinion::{PeopleAgreementArgs, PeopleVerb, PersonArgs, PracticeArgs, RuleArgs, Switch};
pub use prove::{BeginArgs, MeasuredArgs, ProveOutVerb};
pub use read::ReadArgs;
pub use review::{JoinArgs, Part, RereadArgs, ResultArgs, ReviewArgs};
pub use serve::{PageArgs, ServeArgs};
pub use start::{RecutArgs, SheetArgs, StartArgs};
pub use study::{StudyMakeArgs, StudyReportArgs, StudyVerb};

use crate::taper::rules::Rules;
use read::READ_EXAMPLES;

/// Reads photos of bored soft jaws after a contact check with marking compound: where each jaw grips
/// along its length, and what to change about the taper.
#[derive(Debug, Parser)]
#[command(name = "seepline", version = VERSION.as_str(), arg_required_else_help = true, after_help = TOP_EXAMPLES)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub verb: Verb,
}

/// The program's version, the commit that it was built from, and the version of its rules.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let rules = Rules::built_in().version();
    // All three decide what is read and advised.
    let (program, commit) = (env!("CARGO_PKG_VERSION"), env!("SEEPLINE_COMMIT"));
    format!("{program} (commit {commit}, rules {rules})")
});

/// One per job.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Read the photos of one check, one per jaw, and say what to change about the taper
    #[command(after_help = READ_EXAMPLES, after_long_help = READ_EXAMPLES)]
    Read(Box<ReadArgs>),
    /// Keep jaw sets in the archive: add, change, show, list and find them
    #[command(subcommand, after_help = jaws::EXAMPLES)]
    Jaws(Box<JawsVerb>),
    /// Keep the cuts of a jaw set
    #[command(subcommand, after_help = jaws::CUT_EXAMPLES)]
    Cut(Box<CutVerb>),
    /// Show a filed check, and note what was done about it
    #[command(subcommand, after_help = archive::CHECK_EXAMPLES)]
    Check(CheckVerb),
    /// Show a jaw set's cuts and checks, and how the taper that it needs became known
    ///
    /// After each check it says the taper that the set needs, with its interval: two checks at different tapers
    /// settle both the needed taper and what the compound shows. Other sets with the same compound narrow the
    /// first guess.
    #[command(after_help = archive::HISTORY_EXAMPLES)]
    History(HistoryArgs),
    /// The first taper, before any check: from a feeler, from finished checks, or roughly from geometry
    ///
    /// The feeler is taken where it is given, else the chuck's rating, else what finished checks have taught. A
    /// check follows in every case.
    #[command(after_help = start::START_EXAMPLES)]
    Start(Box<StartArgs>),
    /// A jaw set is mounted again: check instead, or bore again and to what diameter
    ///
    /// Says on what ring or plug to clamp, and what is left of the jaws afterwards. What was never noted is asked
    /// for.
    #[command(after_help = start::RECUT_EXAMPLES)]
    Recut(Box<RecutArgs>),
    /// A page about a jaw set to print and keep in its box
    ///
    /// One page of HTML, A4 or US Letter, with the set's id as a code.
    #[command(after_help = start::SHEET_EXAMPLES)]
    Sheet(SheetArgs),
    /// Read all photos below folders, and give a result per photo and per check; again, and it goes on
    ///
    /// The result's folder holds index.html, a report that opens without a server, and review.jsonl, an object per
    /// photo and per check with the advice as it would be given today, without a jaw set's earlier checks. Other
    /// rules or tapers advise anew without reading again.
    #[command(after_help = review::EXAMPLES, after_long_help = review::EXAMPLES)]
    Review(Box<ReviewArgs>),
    /// Join the parts of a review that were read apart into one result
    #[command(after_help = review::JOIN_EXAMPLES)]
    Join(JoinArgs),
    /// Read all filed photos again with this version, and say what it would answer otherwise
    ///
    /// For a new version, before it is taken into use. Each photo is read as it was filed, with its corners, tip and
    /// method, and held against what is filed and against what proved true: later cuts of the set, or a lead's ruling.
    /// Nothing that is filed is changed.
    #[command(after_help = review::REREAD_EXAMPLES, after_long_help = review::REREAD_EXAMPLES)]
    Reread(RereadArgs),
    /// Let several people call the same photos blind, and say how well they agree
    ///
    /// Twenty photos show little: even without an error it takes 35 calls to show an effectiveness of 90 %, and 189
    /// of photos that need work to show at most 2 % of misses.
    #[command(subcommand, after_help = study::EXAMPLES)]
    Study(Box<StudyVerb>),
    /// Learn to read checks: photos whose truth is known, what was missed comes back
    ///
    /// Asks about the shop's own finished checks, and with --photos about a folder's. The pictures are copies with
    /// neither name, time nor place. At the end a score names what is taken for what.
    #[command(after_help = opinion::PRACTICE_EXAMPLES)]
    Practice(PracticeArgs),
    /// The people who call: who must call first, who is a lead, whose record is whose
    #[command(subcommand, after_help = opinion::PEOPLE_EXAMPLES)]
    People(Box<PeopleVerb>),
    /// Prove the program out on this shop's own jaws: how far to trust it, with a number
    ///
    /// A lead fixes how many checks are held against what was right. Until then every answer says that it is not
    /// proven; the first that goes the wrong way ends it. After the end it keeps watching.
    #[command(subcommand, after_help = prove::EXAMPLES)]
    ProveOut(Box<ProveOutVerb>),
    /// Serve a page for phones at the machine: take the photos there, and get the answer there
    ///
    /// It is for a network that you trust, never for the internet: plain HTTP is not encrypted, and whoever has the
    /// printed address can see all jaw sets and file checks. Checks under way are kept in the archive's folder, and
    /// thrown away three days after they were last changed. Programs use the same address: /api/openapi.json
    /// describes it, and the key of the printed address goes along as `Authorization: Bearer KEY`.
    #[command(after_help = serve::EXAMPLES, after_long_help = serve::EXAMPLES)]
    Serve(ServeArgs),
    /// Write the page that reads on the phone itself, without a server, as a folder for any web server
    ///
    /// Over HTTPS a phone that opened it once has it without a network, too. Checks stay on the phone until its user shares
    /// them; `import phone` takes them into an archive.
    #[command(after_help = "Example:\n  seepline page --into /var/www/jaws")]
    Page(PageArgs),
    /// Take in what a shop has already: a table of jaw sets, a folder of photos of one set, or checks made on a phone
    #[command(subcommand, after_help = archive::IMPORT_EXAMPLES)]
    Import(ImportVerb),
    /// Write the whole archive as JSON and CSV into a folder; or labelled photos to give away
    ///
    /// Calls and initials go along, but into a pack to give away.
    #[command(
        after_help = "Examples:\n  seepline export for-the-spreadsheet\n  seepline export --labelled pack --licence CC0-1.0"
    )]
    Export(ExportArgs),
    /// Copy the whole archive, also while it is in use
    ///
    /// Calls and initials go along.
    #[command(after_help = "Example:\n  seepline backup /media/stick/jaws-in-november")]
    Backup(BackupArgs),
    /// Take another archive into this one; the same one again changes nothing
    ///
    /// What is in both goes by its content: the record that was changed last stands. Calls and initials come along.
    #[command(after_help = "Example:\n  seepline merge /media/stick/jaws-of-the-south-lathe")]
    Merge(MergeArgs),
    /// Say what this machine lacks: a place to keep the archive, free space, formats, a network
    #[command(
        after_help = "Example:\n  seepline doctor\n\nExit status: 0 nothing is lacking; 1 something is."
    )]
    Doctor(ArchiveFolder),
    /// Print a completion script for a shell
    #[command(after_help = COMPLETIONS_EXAMPLES)]
    Completions(CompletionsArgs),
    /// Print the manual: the page for man, or everything on one page of HTML
    #[command(after_help = MANUAL_EXAMPLES)]
    Manual(ManualArgs),
}

/// Where the archive lies.
#[derive(Debug, Clone, Default, Args)]
pub struct ArchiveFolder {
    /// The archive's folder; where not given, the platform's folder for a program's data
    #[arg(
        id = "archive",
        long = "archive",
        value_name = "DIR",
        env = "SEEPLINE_ARCHIVE"
    )]
    pub folder: Option<PathBuf>,
}

/// Which rules hold.
#[derive(Debug, Clone, Default, Args)]
pub struct RulesFile {
    /// Go by this rules table (TOML) instead of the one built in
    ///
    /// The one built in lies as rules.toml beside the manual in the packages, and in src/taper/rules/ of the
    /// source: copy it and change it to suit the shop.
    #[arg(
        id = "rules",
        long = "rules",
        value_name = "FILE",
        env = "SEEPLINE_RULES"
    )]
    pub file: Option<PathBuf>,
}

/// What `manual` takes.
#[derive(Debug, Args)]
pub struct ManualArgs {
    /// Print one HTML page instead, to read or to print: all topics in chapters, and every command
    #[arg(long)]
    pub html: bool,
}

/// What `completions` takes.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// The shell to complete in
    #[arg(value_enum)]
    pub shell: Shell,
}

/// Longest free text.
const LONGEST_TEXT: usize = 2000;

/// Free text on one line; blanks around it are dropped.
fn text_line(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err(
            "nothing is written there; leave the option out, or use --forget to clear a field"
                .into(),
        );
    }
    if text.chars().count() > LONGEST_TEXT || text.chars().any(char::is_control) {
        return Err(format!(
            "write it on one line of at most {LONGEST_TEXT} characters"
        ));
    }
    Ok(text.to_owned())
}

const TOP_EXAMPLES: &str = "\
Example:
  seepline read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --taper 0.003in

Everything on one page, topics and commands: seepline manual --html > manual.html

The advice is a second opinion: it does not replace the shop's rules or a qualified setter.";

const MANUAL_EXAMPLES: &str = "\
Examples:
  seepline manual | man -l -
  seepline manual --html > manual.html";

const COMPLETIONS_EXAMPLES: &str = "\
Example:
  seepline completions bash > ~/.local/share/bash-completion/completions/seepline";
