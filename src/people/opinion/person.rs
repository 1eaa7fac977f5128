//! Who says something: initials or a shop number, nothing more.

use std::fmt;
use std::str::FromStr;

use crate::text::outside::echo;

/// Longest initials or number.
const LONGEST: usize = 8;
/// Before the number of somebody whose initials were erased; no initials begin so.
const ERASED: char = '#';
/// Hexadecimal digits of that number.
const DIGITS: usize = 8;

/// Initials or a shop number, 1 to 8 letters and digits, in upper case; or, after erasing, a number that
/// says nothing of the person: `#3f2a9c0d`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Person(String);

/// Neither initials nor a number.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("“{0}” is no initials or shop number; write 1 to 8 letters or digits, as in AB or 117")]
pub struct PersonError(String);

impl Person {
    /// What stands in place of the initials after erasing. `random` must have nothing to do with them.
    pub fn erased(random: u32) -> Self {
        Self(format!("{ERASED}{random:08x}"))
    }

    /// Whether these are no initials any more.
    pub fn is_erased(&self) -> bool {
        self.0.starts_with(ERASED)
    }

    /// Initials or a shop number as somebody types them; the number of an erased person is neither.
    ///
    /// # Errors
    /// Where the text is not 1 to 8 letters or digits.
    pub fn parse(text: &str) -> Result<Self, PersonError> {
        let upper = text.trim().to_uppercase();
        let plain = upper.chars().all(char::is_alphanumeric);
        if plain && (1..=LONGEST).contains(&upper.chars().count()) {
            Ok(Self(upper))
        } else {
            Err(PersonError(echo(text)))
        }
    }
}

impl fmt::Display for Person {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// As kept: initials, a number, or an erased person's number.
impl FromStr for Person {
    type Err = PersonError;

    fn from_str(text: &str) -> Result<Self, PersonError> {
        let digit = |c: char| c.is_ascii_digit() || ('a'..='f').contains(&c);
        match text.strip_prefix(ERASED) {
            Some(rest) if rest.len() == DIGITS && rest.chars().all(digit) => {
                Ok(Self(text.to_owned()))
            }
            _ => Self::parse(text),
        }
    }
}

impl serde::Serialize for Person {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> serde::Deserialize<'de> for Person {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn initials_and_numbers_are_people_and_nothing_else_is() {
        for (given, kept) in [("ab", "AB"), (" 117 ", "117"), ("öK2", "ÖK2")] {
            assert_eq!(Person::parse(given).unwrap().to_string(), kept);
        }
        for text in [
            "",
            " ",
            "A B",
            "Ann-Marie",
            "ninechars",
            "a@b",
            "#3f2a9c0d",
            "A\nB",
        ] {
            assert!(Person::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn an_erased_person_reads_back_but_cannot_be_typed() {
        let gone = Person::erased(0x3f2a);
        assert_eq!(gone.to_string(), "#00003f2a");
        assert_eq!(gone.to_string().parse(), Ok(gone.clone()));
        assert!(gone.is_erased() && Person::parse(&gone.to_string()).is_err());
    }
}
