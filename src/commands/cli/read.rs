//! What `read` takes.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args, ValueEnum};

use super::{ArchiveFolder, RulesFile, text_line};
use crate::people::opinion::{CalledChange, Person, pattern_called};
use crate::reading::face::TipDirection;
use crate::reading::geometry::Quad;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::taper::advice::Grip;
use crate::units::{Length, PerSide, Pressure};

/// What somebody says of the tip of one photo; `None` is `unsaid`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TipSaid(pub Option<TipDirection>);

impl FromStr for TipSaid {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        if text == "unsaid" {
            return Ok(Self(None));
        }
        <TipDirection as ValueEnum>::from_str(text, false)
            .map(|tip| Self(Some(tip)))
            .map_err(|_| "write up, down, left, right or unsaid".to_owned())
    }
}

/// What `read` takes.
#[derive(Debug, Args)]
pub struct ReadArgs {
    /// Photos of one check, one per jaw, or several with --jaw: JPEG, PNG, WebP or HEIC
    #[arg(value_name = "PHOTO", required = true)]
    pub photos: Vec<PathBuf>,

    /// How the check was made: `seep`, compound painted on the clamped seam (compound = gap), or
    /// `transfer`, a thin film on the workpiece (compound = contact)
    ///
    /// The picture is asked for it, too: where it shows the other one, there is no change.
    #[arg(long, value_enum, default_value_t)]
    pub method: Method,

    /// Whether the jaws close on the work's outer diameter or open against its inner diameter
    /// (where not given: as the jaw set does, else outside)
    #[arg(long, value_enum)]
    pub grip: Option<Grip>,

    /// Where the jaw's tip (its free end) points in the upright photo: up, down, left, right, or unsaid. Once for
    /// all photos, or once per photo in the photos' order. Where nobody says, the likelier end that the picture
    /// shows is taken, and a change of taper is advised only where it plainly points up, or where a jaw of which that
    /// holds says the same
    #[arg(long, value_name = "WHERE")]
    pub tip: Vec<TipSaid>,

    /// The face's corners in the upright photo, in pixels: tip-left, tip-right, base-right, base-left,
    /// as seen with the tip up. Once per photo, in the photos' order; without it the face is searched for.
    /// They say where the tip is, and a tip at the other end that is named as well contradicts them
    #[arg(
        long,
        value_name = "X,Y X,Y X,Y X,Y",
        value_parser = crate::reading::corners::parse_corners,
        num_args = 1,
        allow_hyphen_values = true
    )]
    pub corners: Vec<Quad>,

    /// Which jaw the photo shows, a number from 1: once per photo, in the photos' order. Photos with the same number are
    /// of one jaw, from several sides, and are read together: what glare or a hand hides in one may be seen in another.
    /// What they contradict each other about is not judged
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u8).range(1..))]
    pub jaw: Vec<u8>,

    /// Taper cut now, per side, with a unit: how much more material was left at the tip than at the base
    ///
    /// Without it the change is given, but not the next taper.
    #[arg(long, value_name = "LENGTH", value_parser = PerSide::parse_taper, allow_hyphen_values = true)]
    pub taper: Option<PerSide>,

    /// Length of the gripping face from tip to base, with a unit
    ///
    /// With it the report adds the program of the next cut: what the diameter must do from tip to base.
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_positive, allow_hyphen_values = true)]
    pub length: Option<Length>,

    /// How far off the tip the cut starts, with a unit; 0: at the tip itself
    ///
    /// Such a cut spreads the change over this stretch, too, so the program holds more than the taper, and the
    /// start diameter moves; the report says by how much.
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse_not_negative, allow_hyphen_values = true)]
    pub clearance: Option<Length>,

    /// File the check in the archive under this jaw set's last cut, and let its history join the estimate
    ///
    /// Grip, face length and taper are the set's where they are not given. The same photo is filed once, however
    /// often it is read. A --taper that differs from the last cut's notes a new cut, and says so. Photos older
    /// than every cut that is noted count for a cut of their own; where two cuts may be meant, it asks for the
    /// taper. A check that is filed keeps its pressure, compound and mounting when it is read again.
    #[arg(long, value_name = "NAME")]
    pub jaws: Option<String>,

    /// The compound's name or colour, for the archive
    #[arg(long, value_name = "TEXT", value_parser = text_line, requires = "jaws")]
    pub compound: Option<String>,

    /// Chuck pressure while checking, with a unit (psi, bar), for the archive; where not given: the jaw
    /// set's production pressure
    #[arg(long, value_name = "PRESSURE", requires = "jaws")]
    pub pressure: Option<Pressure>,

    /// Call first: the pattern that you see, said before the reading is shown; then both stand side by side.
    /// With --jaws the call is filed with the check, and stands
    #[arg(long, value_name = "PATTERN", value_parser = pattern_called, requires_all = ["change", "by"])]
    pub call: Option<Pattern>,

    /// What the pattern that you called asks for, per side, with its sign and unit: -1thou takes taper off,
    /// +1thou adds it; “-2thou on diameter” where you think on the diameter; 0 leaves the taper, none
    /// mends something first
    #[arg(
        long,
        value_name = "AMOUNT",
        requires = "call",
        allow_hyphen_values = true
    )]
    pub change: Option<CalledChange>,

    /// Who reads: initials or a shop number
    ///
    /// 1 to 8 letters or digits; nothing else is kept of a person.
    #[arg(long, value_name = "WHO", value_parser = Person::parse)]
    pub by: Option<Person>,

    /// The archive's folder
    #[command(flatten)]
    pub archive: ArchiveFolder,

    /// Print one JSON object instead of the text report
    #[arg(long)]
    pub json: bool,

    /// Also write a picture of each reading into this folder (made where it is missing)
    #[arg(long, value_name = "DIR")]
    pub picture: Option<PathBuf>,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,
}

pub(super) const READ_EXAMPLES: &str = "\
Examples:
  Three jaws of one check, cut with 0.003 in taper per side:
    seepline read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --taper 0.003in

  With the program for the next cut, which starts 0.05 in off a face 1.25 in long:
    seepline read jaw*.jpg --taper 3thou --length 1.25in --clearance 0.05in

  Inside grip, checked with a film on the work, the photo taken with the tip to the right:
    seepline read jaw1.jpg --grip inside --method transfer --tip right

  The phone held another way for each jaw, the second one not known:
    seepline read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --tip unsaid --tip left --taper 3thou

  Two photos of the first jaw, from two sides, read together:
    seepline read jaw1-left.jpg jaw1-right.jpg jaw2.jpg jaw3.jpg --tip up --jaw 1 --jaw 1 --jaw 2 --jaw 3

  With the corners given, and a picture of the reading:
    seepline read jaw1.jpg --corners \"812,640 1630,655 1618,2480 798,2466\" --picture readings

  Filed under the jaw set heron, whose earlier checks join the estimate:
    seepline read jaw*.jpg --tip up --jaws heron

  Called before the reading is shown, then both side by side:
    seepline read jaw*.jpg --tip up --jaws heron --call tip-only --change -1thou --by AB

  For another program:
    seepline read jaw*.jpg --taper 0.08mm --json > check.json

Lengths take a unit: in, thou, mm or um.
Exit status: 0 every photo was read; 1 at least one could not be judged; 2 the command or a file is wrong.
NO_COLOR=1 prints without colour.

How to take the photos, what each pattern means and how the change is found: seepline manual --html.";
