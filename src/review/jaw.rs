//! What one jaw says, kept as far as advice asks for it: of one photo, or of several that were read together.

use serde::{Deserialize, Serialize};

use super::lines::Contact;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::profile::{Band, COLUMNS, ContactProfile, STATIONS};
use crate::reading::refusal::{Reason, Refusal};

/// A reading without its face. Numbers are as they were computed, not rounded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JawReading {
    /// See [`Reading::method`].
    pub method: Method,
    /// Unreadable where refused.
    pub pattern: Pattern,
    /// 0 where refused.
    pub confidence: f64,
    /// Why it could not be judged.
    pub refusal: Option<Reason>,
    /// In plain words.
    pub warnings: Vec<String>,
    /// 64 stations tip to base, share of the width clean; empty where there is none.
    pub profile: Vec<Option<f64>>,
    /// One standard deviation of each station; empty where there is none.
    pub along_sd: Vec<f64>,
    /// Stretches with compound.
    pub bands: Vec<Band>,
    /// Share of contact of each third.
    pub contact: Option<Contact>,
    /// See [`Reading::tip_contradicted`].
    pub tip_contradicted: bool,
    /// See [`Reading::tip_unsaid`].
    pub tip_unsaid: bool,
    /// See [`Reading::method_contradicted`].
    pub method_contradicted: bool,
}

impl JawReading {
    /// What is kept of a reading.
    pub(crate) fn of(reading: &Reading) -> Self {
        let profile = reading.profile.as_ref();
        Self {
            method: reading.method,
            pattern: reading.pattern,
            confidence: reading.confidence,
            refusal: reading.refusal.as_ref().map(|r| r.reason),
            warnings: reading.warnings.clone(),
            profile: profile.map_or_else(Vec::new, |p| p.along.to_vec()),
            along_sd: profile.map_or_else(Vec::new, |p| p.along_sd.to_vec()),
            bands: reading.bands.clone(),
            contact: profile.map(|p| contact(p, reading.method)),
            tip_contradicted: reading.tip_contradicted,
            tip_unsaid: reading.tip_unsaid,
            method_contradicted: reading.method_contradicted,
        }
    }

    /// The reading as far as advice asks for it.
    pub(crate) fn reading(self) -> Reading {
        Reading {
            face: None,
            method: self.method,
            profile: self.contact_profile(),
            bands: self.bands,
            pattern: self.pattern,
            confidence: self.confidence,
            refusal: self.refusal.map(|reason| Refusal {
                reason,
                // Nothing asks for it: the pages take the words of the rules that are in force.
                advice: String::new(),
            }),
            warnings: self.warnings,
            tip_contradicted: self.tip_contradicted,
            tip_unsaid: self.tip_unsaid,
            method_contradicted: self.method_contradicted,
            evidence: Vec::new(),
        }
    }

    /// Without what no advice asks for: the profile across, and how much was judged.
    fn contact_profile(&self) -> Option<ContactProfile> {
        // A result that somebody changed may have another number of stations: no profile is better than a
        // wrong one.
        let along: [Option<f64>; STATIONS] = self.profile.clone().try_into().ok()?;
        let along_sd: [f64; STATIONS] = self.along_sd.clone().try_into().ok()?;
        Some(ContactProfile {
            along,
            along_sd,
            across: [None; COLUMNS],
            thirds: [0.0; 3],
            judged: 0.0,
        })
    }
}

fn contact(profile: &ContactProfile, method: Method) -> Contact {
    let [tip, middle, base] = profile.contact(method);
    Contact { tip, middle, base }
}
