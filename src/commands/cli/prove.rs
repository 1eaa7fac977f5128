//! What `prove-out` and `check measured` take.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::{RecordArgs, RulesFile};
use crate::people::opinion::Person;
use crate::taper::estimate::OpenEnd;
use crate::units::Length;

/// What to do about proving the program out.
#[derive(Debug, Subcommand)]
pub enum ProveOutVerb {
    /// Begin: from here on every answer says how far the program is proven in this shop
    ///
    /// The plan is fixed now: so many checks held against what was right, and not one of them the wrong way. 20 show
    /// that at most 14 % of the answers go the wrong way, 59 that at most 5 % do, 299 that at most 1 % does, each
    /// with 95 % confidence.
    Begin(BeginArgs),
    /// Say how far it is, what that shows, and how many checks more a claim takes
    State {
        /// Also draw the plan's operating curve into this file, as SVG
        #[arg(long, value_name = "FILE")]
        curve: Option<PathBuf>,
        /// The rules.
        #[command(flatten)]
        rules: RulesFile,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
    /// End it; where the plan is fulfilled, the program is proven in this shop
    End {
        /// Who ends it; a lead
        #[arg(long, value_name = "WHO", value_parser = Person::parse)]
        by: Person,
        /// The rules.
        #[command(flatten)]
        rules: RulesFile,
        /// The archive, and how to print.
        #[command(flatten)]
        common: RecordArgs,
    },
}

/// What `prove-out begin` takes.
#[derive(Debug, Args)]
pub struct BeginArgs {
    /// Who begins it; a lead
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// How many checks
    #[arg(
        long,
        value_name = "COUNT",
        default_value_t = 20,
        conflicts_with = "at_most"
    )]
    pub checks: u32,
    /// As many checks as it takes to show that at most this share of the answers goes the wrong way, as in 5%
    #[arg(long, value_name = "SHARE", value_parser = share)]
    pub at_most: Option<f64>,
    /// Keep back what to change until the program is proven: the reading is shown, the change is not
    #[arg(long)]
    pub hold: bool,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// What a feeler showed.
#[derive(Debug, Args)]
pub struct MeasuredArgs {
    /// The check's id or its first digits
    pub id: String,
    /// The end that stands open under full clamp
    #[arg(value_enum)]
    pub open: OpenEnd,
    /// The thickest leaf that goes in there, with a unit; not for neither
    #[arg(value_name = "THICKNESS", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub leaf: Option<Length>,
    /// Who measured
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Person,
    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// `5%`, `0.05`: 0 to 1.
fn share(text: &str) -> Result<f64, String> {
    let (number, whole) = match text.trim().strip_suffix('%') {
        Some(percent) => (percent.trim(), 100.0),
        None => (text.trim(), 1.0),
    };
    let share = number.parse::<f64>().map(|n| n / whole);
    share
        .ok()
        .filter(|s| (0.0..=1.0).contains(s))
        .ok_or_else(|| format!("“{text}” is no share; write it as in 5% or 0.05"))
}

pub(super) const EXAMPLES: &str = "\
Examples:
  seepline people lead JK on
  seepline prove-out begin --by JK --checks 20 --hold
  seepline read jaw1.jpg jaw2.jpg jaw3.jpg --jaws heron --by JK --call tip-only --change -1thou
  seepline check measured 3f2a base 1.5thou --by AB
  seepline prove-out state --curve plan.svg
  seepline prove-out end --by JK

A check counts when it is known what was right without the reading: later cuts and checks of
the set proved it, a lead called it before the reading was shown, or a feeler showed it.";
