//! `RectifiedFace` → where compound lies, and what can't be judged.

use ndarray::Array2;

/// How the check was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, clap::ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Compound painted on the seam of the clamped jaws: compound means a gap.
    #[default]
    Seep,
    /// A thin film on the workpiece or a master plug: compound means contact.
    Transfer,
}

/// Per cell of the rectified face, row 0 at the tip, column 0 at the left flank.
#[derive(Debug, Clone)]
pub struct CompoundMap {
    /// Probability that compound lies on the cell, 0 to 1.
    pub cover: Array2<f32>,
    /// Optical density of the compound over the local bare metal, base-10, ≥ 0.
    pub density: Array2<f32>,
    /// False where glare, black, the picture's border or something in front forbids a judgement.
    pub judged: Array2<bool>,
}
