//! Identifiers that hold across archives.

use std::fmt;
use std::str::FromStr;

use sha2::{Digest, Sha256};

/// 128 bits, written as 32 lower-case hexadecimal digits. Random, or derived from content.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(u128);

/// Not 32 hexadecimal digits.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("“{0}” is no record's id; an id has 32 hexadecimal digits")]
pub struct IdError(String);

impl Id {
    /// A new one; two never meet by chance.
    ///
    /// # Errors
    /// Where the system gives no random numbers.
    pub fn random() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes)?;
        Ok(Self(u128::from_be_bytes(bytes)))
    }

    /// The same for the same parts, in this order: the first half of their SHA-256.
    pub fn derived(parts: &[&str]) -> Self {
        let mut hash = Sha256::new();
        for part in parts {
            // The length keeps ("ab", "c") and ("a", "bc") apart.
            hash.update((part.len() as u64).to_be_bytes());
            hash.update(part.as_bytes());
        }
        let digest = hash.finalize();
        Self(
            digest
                .iter()
                .take(16)
                .fold(0, |id, b| id << 8 | u128::from(*b)),
        )
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Id({self})")
    }
}

impl FromStr for Id {
    type Err = IdError;

    fn from_str(text: &str) -> Result<Self, IdError> {
        let plain = text.len() == 32 && text.bytes().all(|b| b.is_ascii_hexdigit());
        let value = plain.then(|| u128::from_str_radix(text, 16).ok()).flatten();
        value
            .map(Self)
            .ok_or_else(|| IdError(text.chars().take(40).collect()))
    }
}

impl serde::Serialize for Id {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for Id {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_reads_back_and_parts_stay_apart() {
        let id = Id::random().unwrap();
        assert_eq!(id.to_string().parse(), Ok(id));
        assert_ne!(Id::derived(&["ab", "c"]), Id::derived(&["a", "bc"]));
        assert!("xyz".parse::<Id>().is_err());
        assert!("+0000000000000000000000000000001".parse::<Id>().is_err());
    }
}
