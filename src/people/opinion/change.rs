//! What a person says should be done to the taper, and text → that.

use std::fmt;
use std::str::FromStr;

use crate::reading::pattern::Direction;
use crate::text::outside::echo;
use crate::units::{Length, LengthError, OnDiameter, PerSide};

/// What somebody says should be done to the taper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CalledChange {
    /// The taper is right: leave it.
    Leave,
    /// No change now: something else comes first, or the photo says nothing.
    NoChange,
    /// Cut again with this change, not zero; positive adds taper.
    Change(PerSide),
}

/// Why a text is no change of taper.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChangeError {
    /// A length without a sign or a word for the direction.
    #[error(
        "“{0}” does not say which way; write a minus to take taper off or a plus to add it, as in \
         --change -1thou or --change +1thou"
    )]
    NoDirection(String),
    /// A word for one direction and the sign of the other.
    #[error("“{0}” says both ways at once; write -1thou or “less 1thou”, +1thou or “more 1thou”")]
    BothWays(String),
    /// More than any jaw is cut to.
    #[error("“{0}” is more than 0.05 in per side, more than any jaw is cut to; check the unit")]
    TooLarge(String),
    /// No length.
    #[error(
        "{0}; a change is a signed length per side (-1thou), the same on the diameter (“-2thou on \
         diameter”), 0 to leave the taper, or none to mend something first"
    )]
    Length(#[from] LengthError),
}

/// Beyond this a change is a slip of the unit: jaws are bored with a few thousandths (assumption, as for
/// the taper itself).
pub(super) const LARGEST: PerSide = PerSide::of(Length::from_tenths(500));

/// Words for a direction that may stand before a length; common practice.
const LESS: [&str; 4] = ["take off", "less", "off", "minus"];
/// See [`LESS`].
const MORE: [&str; 3] = ["add", "more", "plus"];
/// What may stand behind a length.
const ON_DIAMETER: [&str; 5] = [
    // The longer ones first: cutting off “diameter” alone would leave “on the” to be read as a unit.
    "on the diameter",
    "on diameter",
    "on dia",
    "diameter",
    "dia",
];
/// See [`ON_DIAMETER`].
const PER_SIDE: [&str; 3] = ["per side", "a side", "side"];

impl CalledChange {
    /// Which way.
    pub fn direction(self) -> Direction {
        match self {
            Self::Change(by) if by < PerSide::ZERO => Direction::Less,
            Self::Change(_) => Direction::More,
            Self::Leave | Self::NoChange => Direction::None,
        }
    }

    /// Per side; zero where the taper is to be left. `None` for no change now.
    pub fn per_side(self) -> Option<PerSide> {
        match self {
            Self::Change(by) => Some(by),
            Self::Leave => Some(PerSide::ZERO),
            Self::NoChange => None,
        }
    }

    /// In words, both ways labelled: `take off: -1.0 thou per side (…)`.
    pub fn in_words(self) -> String {
        match self {
            Self::Leave => "leave the taper".to_owned(),
            Self::NoChange => "no change now".to_owned(),
            Self::Change(by) if by < PerSide::ZERO => format!("take off: {}", by.as_change()),
            Self::Change(by) => format!("add: {}", by.as_change()),
        }
    }
}

/// The text as it is kept: `leave`, `none`, or an exact length with its sign, per side.
impl fmt::Display for CalledChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Leave => f.write_str("leave"),
            Self::NoChange => f.write_str("none"),
            Self::Change(by) => {
                // Always with its sign: `from_str` reads this back, and takes no length without one.
                let plus = if *by > PerSide::ZERO { "+" } else { "" };
                write!(f, "{plus}{}", by.length().exact())
            }
        }
    }
}

/// As somebody types it, per side unless it says otherwise: `-1thou`, `+0.02mm`, `less 1 thou`,
/// `-2thou on diameter`, `0`, `leave`, `none`, `mend first`.
impl FromStr for CalledChange {
    type Err = ChangeError;

    fn from_str(text: &str) -> Result<Self, ChangeError> {
        let plain = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let plain = plain.to_lowercase();
        match plain.as_str() {
            // Zero needs no unit: there is no amount that could be mistaken.
            "0" | "leave" | "leave it" => return Ok(Self::Leave),
            "none" | "no change" | "mend" | "mend first" | "fix first" | "retake" => {
                return Ok(Self::NoChange);
            }
            _ => {}
        }
        // Words come off both ends, so that what is left must be a length with its unit and nothing else.
        let (way, rest) = direction_word(&plain);
        let (on_diameter, rest) = where_stated(rest);
        let length: Length = rest.parse()?;
        // Before the sign is asked for: “0 thou” goes no way.
        if length == Length::ZERO {
            return Ok(Self::Leave);
        }
        let length = signed(length, way, rest, text)?;
        // A call is kept per side, whichever way it was typed.
        let by = if on_diameter {
            OnDiameter::of(length).per_side()
        } else {
            PerSide::of(length)
        };
        if by.abs() > LARGEST {
            return Err(ChangeError::TooLarge(echo(text)));
        }
        Ok(Self::Change(by))
    }
}

fn signed(length: Length, way: Direction, number: &str, text: &str) -> Result<Length, ChangeError> {
    let has_sign = number.starts_with(['+', '-', '−']);
    match (way, has_sign) {
        // Never guessed: half of the guesses would be cut the wrong way.
        (Direction::None, false) => Err(ChangeError::NoDirection(echo(text))),
        (Direction::Less, false) => Ok(-length),
        (Direction::None, true) | (Direction::More, false) => Ok(length),
        // "less -1thou" may mean either.
        (_, true) => Err(ChangeError::BothWays(echo(text))),
    }
}

fn direction_word(text: &str) -> (Direction, &str) {
    let after = |words: &[&str]| {
        // “offset 1thou” must not pass for “off”.
        let ends = |c: char| c == ' ' || c.is_ascii_digit();
        let rest = |w: &&str| text.strip_prefix(w).filter(|r| r.starts_with(ends));
        words.iter().find_map(rest).map(str::trim_start)
    };
    match (after(&LESS), after(&MORE)) {
        (Some(rest), _) => (Direction::Less, rest),
        (None, Some(rest)) => (Direction::More, rest),
        (None, None) => (Direction::None, text),
    }
}

/// Whether the length is said to be on the diameter, and the length alone.
fn where_stated(text: &str) -> (bool, &str) {
    let before = |words: &[&str]| {
        let rest = |w: &&str| text.strip_suffix(w).filter(|r| r.ends_with(' '));
        words.iter().find_map(rest).map(str::trim_end)
    };
    match (before(&ON_DIAMETER), before(&PER_SIDE)) {
        (Some(rest), _) => (true, rest),
        (None, Some(rest)) => (false, rest),
        // Unsaid is per side, as tapers are everywhere in the program.
        (None, None) => (false, text),
    }
}

impl serde::Serialize for CalledChange {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for CalledChange {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thou_tenths(tenths: i32) -> CalledChange {
        CalledChange::Change(PerSide::of(Length::from_tenths(tenths)))
    }

    #[test]
    fn a_change_is_per_side_unless_it_says_on_the_diameter() {
        for text in [
            "-1thou",
            "-1 thou per side",
            "less 1thou",
            "take off 0.001in",
            "−1thou",
        ] {
            assert_eq!(text.parse(), Ok(thou_tenths(-10)), "{text}");
        }
        // A taper of t per side is 2t on the diameter (common practice).
        for text in [
            "-2thou on diameter",
            "-2 thou on the diameter",
            "less 2thou dia",
        ] {
            assert_eq!(text.parse(), Ok(thou_tenths(-10)), "{text}");
        }
        assert_eq!("Add 1.5 thou".parse(), Ok(thou_tenths(15)));
    }

    #[test]
    fn no_change_is_left_or_comes_later() {
        for text in ["0", "leave", " 0thou "] {
            assert_eq!(text.parse(), Ok(CalledChange::Leave), "{text}");
        }
        for text in ["none", "Mend first", "no change"] {
            assert_eq!(text.parse(), Ok(CalledChange::NoChange), "{text}");
        }
    }

    #[test]
    fn without_unit_or_direction_it_is_refused_with_what_to_write() {
        let fault = |text: &str| text.parse::<CalledChange>().unwrap_err();
        assert!(matches!(fault("1thou"), ChangeError::NoDirection(_)));
        assert!(matches!(
            fault("1thou on diameter"),
            ChangeError::NoDirection(_)
        ));
        assert!(matches!(
            fault("-1"),
            ChangeError::Length(LengthError::NoUnit(_))
        ));
        assert!(matches!(fault("less -1thou"), ChangeError::BothWays(_)));
        assert!(matches!(fault("-1in"), ChangeError::TooLarge(_)));
        assert!(matches!(fault(""), ChangeError::Length(_)));
        assert!(fault("1thou").to_string().contains("--change -1thou"));
        assert!(fault("-1").to_string().contains("no unit"));
    }

    #[test]
    fn what_is_kept_reads_back() {
        for change in [
            CalledChange::Leave,
            CalledChange::NoChange,
            thou_tenths(-15),
            thou_tenths(5),
        ] {
            assert_eq!(change.to_string().parse(), Ok(change));
        }
        assert_eq!(thou_tenths(10).to_string(), "+25.4um");
    }
}
