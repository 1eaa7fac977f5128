//! Doubts: what a pattern is named with all the same where it is plainly right, and why nothing about the taper rests on it by itself.
//! What a photo must be refused for, however right it looks, is in `limits`.

use super::cues::Cues;
use super::limits::LEAST_SEAM;
use crate::reading::method::Method;
use crate::reading::pattern::{self, Direction, Pattern};
use crate::reading::refusal::Reason;

/// The three opinions on this being a jaw's face, as a sum of logits, must come to so much where the answer is about taper:
/// each may pass by itself and all be lukewarm. Of 187 right readings nine lie below, one of 55 in plain light; of 22 that gave
/// advice on pictures without a jaw all but three.
const LEAST_EVIDENCE_OF_A_JAW: f64 = 8.5;
/// Least of each opinion in a transfer check. In a seep-in check the seam that is seen bears a jaw out, by [`LEAST_SEAM`]; a print
/// has none, so that as much is asked here. Of 46 right readings of rendered prints all have 0.9 or more, by both opinions of the
/// reader; of 17 on pictures without a jaw five have less than 0.85 by one of them, the only change of taper among these.
const LEAST_JAW_OF_A_PRINT: f64 = 0.85;
/// Least distance of the hues of compound and bare metal. Where they differ in lightness alone (white paint on dark
/// metal, black on bright), little in the picture says which is which, and taking one for the other turns the cut
/// round: all such turned cuts that were seen lie below 0.4. Of 30 tip-only and base-only readings between 0.4 and 0.7, most of
/// them in hard light, 27 were right and none was the opposite.
const LEAST_HUE_SHIFT: f32 = 0.4;
/// Least probability that such a pattern is right for it to be named. Of 308 that reach it in very hard light (seed 23 000 000 of the
/// recipe's `calibrate.py`, searched and corners) 265 of 270 clear ones are right, and two the opposite; of 29 in path-traced captured
/// light all.
const LEAST_TRUST_BY_LIGHTNESS: f64 = 0.9;
/// How far two networks' opinions on where compound lies may differ on average where the answer is that it lies nowhere. In very
/// hard light (seed 8 000 000 of the recipe's `calibrate.py`) 110 of 365 right readings lie above, and 21 of 41 wrong ones; of 118
/// right ones of path-traced photos one.
const MOST_APART_ON_FULL_LENGTH: f32 = 0.06;
/// Most that a reading with a [`Doubt`] may count for: too little for leaving the taper. Of 118 with this one in very hard light (seed
/// 13 000 000 of the same) 81 were right.
pub(super) const MOST_IN_DOUBT: f64 = 0.7;
/// Most compound beyond the base, on average. Of 241 right readings one in a hundred lies above.
const MOST_BEYOND_BASE: f32 = 0.3;
/// Least probability that a pattern is right for it to be named where a [`Doubt`] speaks for taking the photo again. Of the clean faces
/// in hard light whose seam hardly shows and that are so likely right (seed 21 000 000 of the same), 170 of 186 are, and 316 of 338
/// with corners.
const LEAST_TRUST_IN_DOUBT: f64 = 0.8;

/// Why nothing about the taper rests on a reading by itself, though it may well be right.
#[derive(Debug, Clone, Copy)]
pub(super) struct Doubt {
    /// Why the pattern is not named where it is not plainly right.
    pub(super) refusal: Option<Reason>,
    /// So likely it must be right to be named.
    pub(super) least: f64,
    /// What is said where it is named.
    pub(super) words: &'static str,
}

const UNPAINTED: Doubt = Doubt {
    refusal: Some(Reason::NoSeam),
    least: LEAST_TRUST_IN_DOUBT,
    words: "it is not plain that the seam was painted, and a clean face that nobody painted says nothing: paint the seam and take the photo again",
};
const NO_PLAIN_JAW: Doubt = Doubt {
    refusal: Some(Reason::NoFace),
    least: LEAST_TRUST_IN_DOUBT,
    words: "it is not plain that this is a jaw's face: outline it by its corners, or take the photo again from nearer",
};
const CUT_OFF: Doubt = Doubt {
    refusal: Some(Reason::OutOfPicture),
    least: LEAST_TRUST_IN_DOUBT,
    words: "the face reaches to the picture's border and may go on beyond it: take the photo again with room around the face",
};
const BEYOND_THE_BASE: Doubt = Doubt {
    refusal: Some(Reason::Hidden),
    least: LEAST_TRUST_IN_DOUBT,
    words: "compound shows beyond the base, where the face should have ended: compare the outline in the picture with the jaw, or give its corners",
};
const BY_LIGHTNESS: Doubt = Doubt {
    refusal: Some(Reason::TooAlike),
    least: LEAST_TRUST_BY_LIGHTNESS,
    words: "compound and metal differ in lightness alone, and one may pass for the other: look at the jaw itself, and check again with a compound of another colour",
};
const NOT_PLAINLY_CLEAN: Doubt = Doubt {
    refusal: None,
    least: 0.0,
    words: "it is not plain that the face is clean: take the photo again in other light",
};

/// All that hold; `by_border` is the seam network's opinion on this being a jaw.
pub(super) fn all(
    cues: &Cues,
    hue_shift: Option<f32>,
    by_border: f64,
    pattern: Pattern,
    method: Method,
) -> Vec<Doubt> {
    let clean = pattern == Pattern::FullLength;
    let print = method == Method::Transfer;
    let taper = pattern::is_taper(pattern);
    // Read inside out, ends-only is middle-only and centre-only edges-only, which ask for the same; tip-only is base-only.
    let turns = pattern::direction(pattern) != Direction::None;
    let all = [
        // First, since a jaw that nobody painted shows less of one, too. Where compound lies somebody painted; a print has no seam to
        // ask for.
        (UNPAINTED, clean && !print && cues.seam < LEAST_SEAM),
        (
            NO_PLAIN_JAW,
            taper && evidence_of_a_jaw(cues, by_border) < LEAST_EVIDENCE_OF_A_JAW
                || print && least_of_a_search(cues, by_border) < LEAST_JAW_OF_A_PRINT,
        ),
        (CUT_OFF, cues.cut_off),
        (
            BEYOND_THE_BASE,
            taper && cues.beyond_base > MOST_BEYOND_BASE,
        ),
        (
            BY_LIGHTNESS,
            turns && hue_shift.is_some_and(|hue| hue < LEAST_HUE_SHIFT),
        ),
        // Read inside out, a face that is covered all over is full-length.
        (
            NOT_PLAINLY_CLEAN,
            clean && cues.opinions_apart > MOST_APART_ON_FULL_LENGTH,
        ),
    ];
    all.into_iter()
        .filter_map(|(doubt, holds)| holds.then_some(doubt))
        .collect()
}

/// The least of the three opinions; certain where a user outlined the face.
fn least_of_a_search(cues: &Cues, by_border: f64) -> f64 {
    cues.jaw_when_turned
        .map_or(1.0, |turned| turned.min(cues.jaw).min(by_border))
}

/// The three opinions, as a sum of logits; more than any sum where a user outlined the face, of which the third is not asked.
pub(super) fn evidence_of_a_jaw(cues: &Cues, by_border: f64) -> f64 {
    cues.jaw_when_turned.map_or(f64::INFINITY, |turned| {
        let all = [cues.jaw, turned, by_border];
        all.into_iter().map(logit).sum()
    })
}

/// No opinion counts for more than a thousand to one.
fn logit(p: f64) -> f64 {
    let p = p.clamp(0.001, 0.999);
    (p / (1.0 - p)).ln()
}
