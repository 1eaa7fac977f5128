//! Lengths in files: exact, with their unit, so that nothing is rounded or mistaken on the way back.

use super::{Length, PerSide, UM_PM};

impl Length {
    /// The exact value with its unit, for files: parsing gives the same length back.
    pub fn exact(self) -> String {
        let (sign, pm) = (if self.pm < 0 { "-" } else { "" }, self.pm.abs());
        let text = format!("{sign}{}.{:06}", pm / UM_PM, pm % UM_PM);
        format!("{}um", text.trim_end_matches('0').trim_end_matches('.'))
    }
}

impl serde::Serialize for Length {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.exact())
    }
}

impl<'de> serde::Deserialize<'de> for Length {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

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
