//! What one photo of one face says.

use crate::compound::Method;
use crate::face::Face;
use crate::pattern::Pattern;
use crate::profile::{Band, ContactProfile};

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
    /// The cues contradict one another, or what is seen fits no pattern well enough.
    Unclear,
}

/// A refusal: the reason, and how to take the photo again.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Refusal {
    /// Why.
    pub reason: Reason,
    /// What to do, one sentence, imperative.
    pub advice: String,
}

/// The outcome of one photo. `refusal` is `None` exactly when `pattern` is not `Unreadable`.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The face, where one was found or given.
    pub face: Option<Face>,
    /// Method of the check.
    pub method: Method,
    /// Where compound lies along the length; `None` where no face could be read.
    pub profile: Option<ContactProfile>,
    /// Stretches with compound, fractions of the length from the tip.
    pub bands: Vec<Band>,
    /// The pattern.
    pub pattern: Pattern,
    /// Probability that the pattern is right, as measured on photos not tuned on; 0 when refused.
    pub confidence: f64,
    /// Set when the photo could not be judged.
    pub refusal: Option<Refusal>,
    /// In plain words; an advice built on this reading must repeat them.
    pub warnings: Vec<String>,
    /// True where the tip's direction is contradicted by the picture: no change may be advised.
    pub tip_contradicted: bool,
    /// True where the picture shows the other method than was said: no change may be advised.
    pub method_contradicted: bool,
    /// What the pattern was decided on, in plain words ("clean from the tip to 54 % of the length").
    pub evidence: Vec<String>,
}
