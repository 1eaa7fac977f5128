//! `ContactProfile` → pattern, with its evidence.

/// How the jaw touched the workpiece. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// Grips from tip to base.
    FullLength,
    /// Touches at the tip, open at the base: too much taper.
    TipOnly,
    /// Touches at the base, open at the tip: too little taper.
    BaseOnly,
    /// Touches at both ends, open in the middle of the length.
    EndsOnly,
    /// Touches in the middle of the length only.
    MiddleOnly,
    /// Touches along the middle of the width only.
    CentreOnly,
    /// Touches along both flanks only.
    EdgesOnly,
    /// One flank open along the length.
    OneSide,
    /// A spot of contact with a gap around it: chip or burr.
    HeldOff,
    /// Two of the above at once.
    Mixed,
    /// The photo can't be judged.
    Unreadable,
}

/// A pattern with its confidence and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternReading {
    /// The most probable pattern.
    pub pattern: Pattern,
    /// Its calibrated probability, 0 to 1.
    pub confidence: f64,
    /// Plain words.
    pub evidence: Vec<String>,
}
