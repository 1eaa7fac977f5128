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
