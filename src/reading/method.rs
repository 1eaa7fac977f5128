//! How a check was made, which decides what compound means.

/// How the check was made.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Compound painted on the seam of the clamped jaws: compound means a gap.
    #[default]
    Seep,
    /// A thin film on the workpiece or a master plug: compound means contact.
    Transfer,
}

impl Method {
    /// As it is said.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Seep => "seep-in",
            Self::Transfer => "transfer",
        }
    }

    /// The share in contact where the share `clean` is clean of compound.
    pub(crate) fn contact(self, clean: f64) -> f64 {
        match self {
            Self::Seep => clean,
            Self::Transfer => 1.0 - clean,
        }
    }
}
