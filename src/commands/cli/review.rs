//! What `review` and `join` take.

use std::path::PathBuf;
use std::str::FromStr;

use clap::Args;

use super::{ArchiveFolder, RecordArgs, RulesFile};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::taper::advice::Grip;

/// What `review` takes.
#[derive(Debug, Args)]
pub struct ReviewArgs {
    /// Folders of photos, with all folders in them; files that are no photos are passed over
    #[arg(value_name = "FOLDER", required = true)]
    pub folders: Vec<PathBuf>,

    /// Where and how to write the result.
    #[command(flatten)]
    pub result: ResultArgs,

    /// A table (CSV) that says what photos belong to; its columns and an example are below
    #[arg(long, value_name = "FILE")]
    pub groups: Option<PathBuf>,

    /// How the checks were made, where neither the table nor the archive says so
    #[arg(long, value_enum, default_value_t)]
    pub method: Method,

    /// Where the jaws' tips point in the upright photos; taken to be up where not given, and then no
    /// change is advised unless the picture plainly shows it there
    #[arg(long, value_enum)]
    pub tip: Option<TipDirection>,

    /// Which way the jaws grip, where neither the table nor the archive says so (outside where not given)
    #[arg(long, value_enum)]
    pub grip: Option<Grip>,

    /// File every check whose jaw set is in the archive; what is filed already is left alone
    ///
    /// After a run that was stopped nothing is filed, since checks may lack photos then.
    #[arg(long, conflicts_with = "part")]
    pub file: bool,

    /// The archive's folder
    #[command(flatten)]
    pub archive: ArchiveFolder,

    /// Go on reading what arrives in the folders, until Ctrl-C
    #[arg(long, conflicts_with = "part")]
    pub watch: bool,

    /// Read only one part of several, split by the files' names, for `seepline join` to put together
    #[arg(long, value_name = "K/N")]
    pub part: Option<Part>,

    /// Photos read at once (where not given: as many as there are cores)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// Where and how a result is written.
#[derive(Debug, Clone, Args)]
pub struct ResultArgs {
    /// The result's folder (made where it is missing); named again, the review goes on from there
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,

    /// Also write the result here, one JSON object a line
    #[arg(long, value_name = "FILE")]
    pub jsonl: Option<PathBuf>,

    /// Also write the checks here as CSV, and the photos beside it with “-photos” in the name
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
}

/// What `join` takes.
#[derive(Debug, Args)]
pub struct JoinArgs {
    /// The results' folders of all parts
    #[arg(value_name = "PART_DIR", required = true)]
    pub parts: Vec<PathBuf>,

    /// Where and how to write the result.
    #[command(flatten)]
    pub result: ResultArgs,
    /// The archive, which says how far the program is proven in this shop.
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

/// What `reread` takes.
#[derive(Debug, Args)]
pub struct RereadArgs {
    /// The result's folder (made where it is missing); named again, it goes on from there
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,

    /// Photos read at once (where not given: as many as there are cores)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,

    /// The archive, and how to print.
    #[command(flatten)]
    pub common: RecordArgs,
}

/// One part of several: `3/8`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    number: u64,
    of: u64,
}

impl Part {
    /// Whether the file whose name has this SHA-256, lower-case hexadecimal, belongs to it: the first 16 digits,
    /// taken as a number, leave `number − 1` when divided by `of`.
    pub fn holds(self, sha256: &str) -> bool {
        let digits = sha256.get(..16).unwrap_or_default();
        u64::from_str_radix(digits, 16).is_ok_and(|n| n % self.of == self.number - 1)
    }
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let pair = text.split_once('/');
        let numbers = pair.and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
        match numbers {
            Some((number, of)) if 1 <= number && number <= of => Ok(Self { number, of }),
            _ => Err(format!(
                "“{text}” is no part; write which and of how many, for example 3/8"
            )),
        }
    }
}

pub(super) const EXAMPLES: &str = "\
Examples:
  Everything below a folder, one folder per jaw set in it:
    seepline review checks --tip up --into review

  The same again later: only what is new is read:
    seepline review checks --tip up --into review

  With a table of what belongs together, and the result for a spreadsheet:
    seepline review checks --tip up --into review --groups groups.csv --csv checks.csv

  As two jobs, put together afterwards:
    seepline review checks --tip up --into part1 --part 1/2
    seepline review checks --tip up --into part2 --part 2/2
    seepline join part1 part2 --into review

The table, of which only the column file must be there; known are file, jaw_set, check, taper, grip, method
and done. A file is named as in the result, or by its name alone where only one photo has it:
  file,jaw_set,check,taper,done
  2026/jaw1.jpg,heron,first,0.003in,took off 1 thou
  2026/jaw2.jpg,heron,first,0.003in,took off 1 thou

What belongs together: what the table says, else the check that the photo is filed under, else the photos
of one folder without a pause of more than half an hour between them; the jaw set is then the folder's name.

Exit status: 0 every photo was read; 1 at least one could not be judged or opened; 2 nothing could be done;
130 stopped by Ctrl-C or SIGTERM: the photos under way were finished, and the result holds what was read.";

pub(super) const REREAD_EXAMPLES: &str = "\
Example:
  seepline reread --into reread

DIR/reread.csv is the whole table: readings that ask for the opposite change first, then other patterns, readings that
are refused or too little certain now or were before, then other amounts. An amount is what the check asks for by
itself, without the earlier checks of its set.

Exit status: 0 no reading that had proven right goes another way; 1 at least one does; 2 a filed photo could not be
read, or nothing could be done; 130 stopped by Ctrl-C or SIGTERM: run it again to go on.";

pub(super) const JOIN_EXAMPLES: &str = "\
Example:
  seepline join part1 part2 part3 --into review --csv checks.csv";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_photo_is_in_one_part() {
        let part = |text: &str| text.parse::<Part>().unwrap();
        for sha256 in [
            "00000000000000070",
            "ffffffffffffffff1",
            "123456789abcdef05",
        ] {
            let holding = (1..=8).filter(|k| part(&format!("{k}/8")).holds(sha256));
            assert_eq!(holding.count(), 1);
        }
        assert!(part("8/8").holds("00000000000000070"));
        for wrong in ["0/8", "9/8", "3", "a/b", "1/0", "-1/2"] {
            assert!(wrong.parse::<Part>().is_err(), "{wrong}");
        }
    }
}
