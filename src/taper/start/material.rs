//! What soft jaws are made of.

/// A jaw material with handbook moduli.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum Material {
    /// Aluminium alloys; the moduli of 6061-T6.
    Aluminium,
    /// Low-carbon steel.
    Steel,
    /// Grey cast iron; the moduli of ASTM class 20, the softest.
    CastIron,
    /// Brass.
    Brass,
}

/// Elastic moduli, and how far the stiffness may lie from them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moduli {
    /// Young's modulus, 10⁹ Pa.
    pub young_gpa: f64,
    /// Shear modulus, 10⁹ Pa.
    pub shear_gpa: f64,
    /// Stiffness at the lowest and at the highest, as shares of the above.
    pub range: [f64; 2],
}

impl Material {
    /// E and G: aluminium 6061-T6 68.9/26, of which sources spread by 4.5 %; steel 207/80, where 205 is
    /// given too; grey iron class 20 67/27; brass 96–110/36–41, the middle of both. That stiffer classes
    /// of iron reach twice class 20 is from memory.
    pub fn moduli(self) -> Moduli {
        let of = |young_gpa, shear_gpa, range| Moduli {
            young_gpa,
            shear_gpa,
            range,
        };
        match self {
            Self::Aluminium => of(68.9, 26.0, [0.955, 1.045]),
            Self::Steel => of(207.0, 80.0, [0.98, 1.02]),
            Self::CastIron => of(67.0, 27.0, [1.0, 2.0]),
            Self::Brass => of(103.0, 38.5, [0.93, 1.07]),
        }
    }

    /// From how a shop writes it, such as `6061 aluminum` or `mild steel`; `None` where the words name
    /// none of these, or more than one.
    pub fn from_words(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let has = |words: &[&str]| words.iter().any(|w| text.contains(w));
        let named = [
            (Self::Aluminium, has(&["alumin", "6061", "7075", "2024"])),
            (Self::Steel, has(&["steel", "1018", "1045"])),
            (Self::CastIron, has(&["iron"])),
            (Self::Brass, has(&["brass"])),
        ];
        let mut found = named.iter().filter(|(_, named)| *named);
        match (found.next(), found.next()) {
            (Some((material, _)), None) => Some(*material),
            _ => None,
        }
    }

    /// As it is said.
    pub fn word(self) -> &'static str {
        match self {
            Self::Aluminium => "aluminium",
            Self::Steel => "steel",
            Self::CastIron => "cast iron",
            Self::Brass => "brass",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shops_words_name_one_material_or_none() {
        assert_eq!(
            Material::from_words("6061-T6 Aluminum"),
            Some(Material::Aluminium)
        );
        assert_eq!(Material::from_words("mild steel"), Some(Material::Steel));
        assert_eq!(Material::from_words("grey iron"), Some(Material::CastIron));
        assert_eq!(Material::from_words("nylon"), None);
        assert_eq!(Material::from_words("steel with brass pads"), None);
    }
}
