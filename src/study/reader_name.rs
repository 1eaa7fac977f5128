//! Initials or a shop number.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// Longest name: initials and shop numbers are short (common practice), and names of persons are not wanted.
const LONGEST: usize = 8;

/// One to eight letters and digits, in capitals; names a folder too.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub(crate) struct ReaderName(String);

impl FromStr for ReaderName {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let name = text.trim().to_uppercase();
        let fits = (1..=LONGEST).contains(&name.chars().count());
        if fits && name.chars().all(char::is_alphanumeric) {
            return Ok(Self(name));
        }
        let shown: String = text.chars().filter(|c| !c.is_control()).take(40).collect();
        Err(format!(
            "“{shown}” is no reader; give initials or a shop number, one to eight letters and digits, as in AB or 7"
        ))
    }
}

impl TryFrom<String> for ReaderName {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl From<ReaderName> for String {
    fn from(name: ReaderName) -> Self {
        name.0
    }
}

impl fmt::Display for ReaderName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}
