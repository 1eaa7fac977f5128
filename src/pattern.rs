//! `CompoundMap` → pattern, with its evidence.

mod evidence;

use crate::compound::{CompoundMap, Method};

pub(crate) use evidence::Evidence;

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

/// How far contact at one place must exceed contact at another to make a pattern: half of the width
/// or length of the face touching here and not there.
const PLAIN_DIFFERENCE: f64 = 0.45;
/// The same between the thirds of the length, where a band covers its third only in part.
const THIRDS_DIFFERENCE: f64 = 0.3;
/// Least contact of every third of a face that grips along its whole length.
const FULL_THIRD: f64 = 0.8;

/// Names the pattern. Seat and shape come before taper, since a jaw that is cocked or hollow says
/// nothing about the taper.
pub(crate) fn judge(map: &CompoundMap, method: Method) -> PatternReading {
    let e = Evidence::of(map, method);
    let ranked = [
        (Pattern::HeldOff, e.island - 0.5, 0.25),
        (
            Pattern::OneSide,
            e.side_difference() - PLAIN_DIFFERENCE,
            0.12,
        ),
        (
            Pattern::CentreOnly,
            e.centre_over_edges() - PLAIN_DIFFERENCE,
            0.12,
        ),
        (
            Pattern::EdgesOnly,
            -e.centre_over_edges() - PLAIN_DIFFERENCE,
            0.12,
        ),
        (
            Pattern::EndsOnly,
            e.ends_over_middle() - PLAIN_DIFFERENCE,
            0.12,
        ),
        (
            Pattern::MiddleOnly,
            e.middle_over_ends() - PLAIN_DIFFERENCE,
            0.12,
        ),
    ];
    let mut left = 1.0;
    let mut chances: Vec<(Pattern, f64)> = Vec::new();
    for (pattern, excess, scale) in ranked {
        let p = left * logistic(excess / (scale * 0.5));
        chances.push((pattern, p));
        left -= p;
    }
    for (pattern, p) in along_the_length(&e) {
        chances.push((pattern, left * p));
    }
    let (pattern, confidence) = chances
        .into_iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((Pattern::Mixed, 0.0));
    PatternReading {
        pattern,
        confidence,
        evidence: e.in_words(method),
    }
}

/// Full-length, tip-only, base-only or none of them, given that nothing else is the matter.
fn along_the_length(e: &Evidence) -> [(Pattern, f64); 4] {
    let least = e.thirds.iter().copied().fold(f64::INFINITY, f64::min);
    let full = logistic((least - FULL_THIRD) / 0.05);
    let slope = e.thirds[0] - e.thirds[2];
    let tip = (1.0 - full) * logistic((slope - THIRDS_DIFFERENCE) / 0.06);
    let base = (1.0 - full) * logistic((-slope - THIRDS_DIFFERENCE) / 0.06);
    let mixed = (1.0 - full - tip - base).max(0.0);
    let mean = e.thirds.iter().sum::<f64>() / 3.0;
    let nearly = logistic((mean - FULL_THIRD) / 0.05);
    [
        (Pattern::FullLength, full + mixed * nearly),
        (Pattern::TipOnly, tip),
        (Pattern::BaseOnly, base),
        (Pattern::Mixed, mixed * (1.0 - nearly)),
    ]
}

fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}
