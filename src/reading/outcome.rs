//! What one photo of one face says.

use crate::reading::face::Face;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::profile::{Band, ContactProfile};
use crate::reading::refusal::{Reason, Refusal};

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
    /// True where nobody said where the tip points and the picture does not settle it; then
    /// `tip_contradicted` holds as well, though nothing was said that could be contradicted.
    pub tip_unsaid: bool,
    /// True where the picture shows the other method than was said: no change may be advised.
    pub method_contradicted: bool,
    /// What the pattern was decided on, in plain words ("clean from the tip to 54 % of the length").
    pub evidence: Vec<String>,
}

impl Reading {
    /// Whether it is open which end is the tip, and the advice hangs on it. However little certain the reading is: it
    /// may be the one that is right.
    pub(crate) fn tip_in_doubt(&self) -> bool {
        // Unclear is what a photo is refused for where its two ends are a toss-up and nobody said which is which.
        let refusal = self.refusal.as_ref();
        self.tip_contradicted && refusal.is_none_or(|r| r.reason == Reason::Unclear)
    }
}
