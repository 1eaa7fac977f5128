//! Why a photo could not be judged, and how to take it again.

/// Why a photo could not be judged. The word of each reason in JSON is its kebab-case name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// Motion or focus blur hides the edge of the compound.
    Blurred,
    /// Far too little light.
    Dark,
    /// The face is burnt out.
    BurntOut,
    /// Glare covers too much of the face.
    Glare,
    /// No gripping face found in the picture.
    NoFace,
    /// The face is covered by something.
    Hidden,
    /// The face runs out of the picture.
    OutOfPicture,
    /// The face is too small in the picture.
    TooSmall,
    /// No painted seam anywhere: nothing was painted, so a clean face says nothing.
    NoSeam,
    /// Compound is smeared over the face.
    Smeared,
    /// Compound and bare metal look too much alike, so that a clean-looking face says nothing.
    TooAlike,
    /// The cues contradict one another, or what is seen fits no pattern well enough.
    Unclear,
}

impl Reason {
    /// All, in the order in which tables number them; a test holds this list against the type.
    pub(crate) const ALL: [Self; 12] = [
        Self::Blurred,
        Self::Dark,
        Self::BurntOut,
        Self::Glare,
        Self::NoFace,
        Self::Hidden,
        Self::OutOfPicture,
        Self::TooSmall,
        Self::NoSeam,
        Self::Smeared,
        Self::TooAlike,
        Self::Unclear,
    ];

    /// Whether it leaves the rest of the face to be read, so that a photo from another side may complete it.
    pub(crate) fn spoils_a_part(self) -> bool {
        matches!(self, Self::Glare | Self::BurntOut | Self::Hidden)
    }
}

/// A refusal: the reason, and how to take the photo again.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Refusal {
    /// Why.
    pub reason: Reason,
    /// What to do, one sentence, imperative.
    pub advice: String,
}

impl Refusal {
    /// What to do about it is in the rules, which a stage doesn't know.
    pub(crate) fn of(reason: Reason) -> Self {
        Self {
            reason,
            advice: String::new(),
        }
    }
}
