//! Lengths, pressures and forces in files: exact, with their unit, so that nothing is rounded or mistaken on the way back.

use super::{Force, Length, PerSide, Pressure, quantity};

impl Length {
    /// The exact value with its unit, for files: parsing gives the same length back.
    pub fn exact(self) -> String {
        quantity::exact(self.pm, 6, "um")
    }
}

/// In files each is its exact text.
macro_rules! as_exact_text {
    ($($of:ident),*) => {$(
        impl serde::Serialize for $of {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(&self.exact())
            }
        }

        impl<'de> serde::Deserialize<'de> for $of {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = String::deserialize(deserializer)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    )*};
}
as_exact_text!(Length, Pressure, Force);

impl serde::Serialize for PerSide {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.length().serialize(serializer)
    }
}

impl<'de> serde::Deserialize<'de> for PerSide {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Length::deserialize(deserializer).map(PerSide::of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_in_a_file_is_exact() {
        for text in ["0.003in", "-1.5thou", "31.75mm", "0", "0.000001um"] {
            let length = Length::parse_not_negative(text).or_else(|_| text.parse::<Length>());
            let length = length.unwrap();
            assert_eq!(length.exact().parse(), Ok(length), "{text}");
        }
        assert_eq!("0.003in".parse::<Length>().unwrap().exact(), "76.2um");
    }
}
