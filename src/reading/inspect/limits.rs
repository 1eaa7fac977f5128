//! When a reading is refused: what the photo itself says against it, then what its map leaves open.

use super::cues::Cues;
use super::doubt::Doubt;
use crate::reading::compound::CompoundMap;
use crate::reading::method::Method;
use crate::reading::network::Quality;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{self, Pattern};
use crate::reading::profile::ContactProfile;
use crate::reading::refusal::Reason;

/// Least share of the face that must be judged (assumption).
const LEAST_JUDGED: f64 = 0.6;
/// Where the taper may be changed or left for it, so much of each third and of each end must be judged, since
/// the pattern is told by comparing them. A quarter is a strip along it, by which the rest can be told
/// (assumption).
const LEAST_JUDGED_OF_A_PART: f64 = 0.25;
/// Least probability, by the reader, that a seam was painted. High, since a clean face that was never
/// painted looks like one that grips along its whole length.
pub(super) const LEAST_SEAM: f64 = 0.85;
/// A seam is likelier painted than not.
const LIKELY_SEAM: f64 = 0.5;
/// Least probability, by the reader, that nothing spoils the face; low, since what spoils it is measured below
/// as well (assumption).
const LEAST_GOOD: f64 = 0.35;
/// Least probability that this is a jaw's face, by each of the two networks that are asked: likelier than not. A
/// network that has never seen the like may be sure of a pattern all the same, so this is asked by itself.
pub(super) const LEAST_JAW: f64 = 0.5;
/// Most probability that compound and metal are too alike (likelier than not).
const MOST_ALIKE: f64 = 0.5;
/// Least probability that a pattern is right for it to be named: likelier than not.
const LEAST_TRUST: f64 = 0.5;
/// Where no more of the map is undecided, and the two opinions on it lie no further apart, it is plain where compound lies, and open
/// only which pattern that is. So it is with 26 of 84 path-traced photos in captured light that were likelier wrong than right
/// (assumption: a limit between those whose compound the eye sees plainly and the others).
const MOST_UNDECIDED_IF_PLAIN: f32 = 0.15;
/// See [`MOST_UNDECIDED_IF_PLAIN`].
const MOST_APART_IF_PLAIN: f32 = 0.1;
/// How far an end may settle elsewhere, as a share of the length, from an outline that is longer. Longer at both ends: of 241
/// right readings one lies above, of 24 wrong ones three, films whose border across the face passed for its end. Longer at
/// the tip, tip-only: of 272 right readings none, of 10 wrong ones six, in very hard light (as above).
const MOST_SHIFT_OF_AN_END: f64 = 0.2;
/// From an outline that ends 0.35 short of the base, a look settles on it or a little further out; where it settles further in, the
/// true base lies there, and what was taken for bare metal at the base is the shoulder. Of 284 right base-only readings two
/// lie further in, whose outlines took the shoulder in as well; of 36 wrong ones four (very hard light, two seeds).
const FURTHEST_IN: f64 = 0.39;
/// How much further one end of a face may seem to bulge along it than the other, as a share of the length: both are cuts
/// across the same cylinder, so they are curved much alike. Of 573 rendered faces the largest true difference is
/// 0.108; where something plain covers an end and passes for it, its edge lies elsewhere.
const MOST_UNLIKE_ENDS: f64 = 0.12;
/// Corners given by hand must enclose something whose outline the reader can make out as a face's (assumption:
/// low, so that only what is none is refused).
const LEAST_OUTLINE_SEEN: f64 = 0.1;
/// Edges must be this strong in every direction. Of 240 rendered photos the readable ones had 0.17 or
/// more and the shaken ones 0.14 or less; the limit lies between.
const LEAST_SHARPNESS: f64 = 0.145;

/// Largest share of the face that may be burnt out, and that something in front of it may hide (assumptions).
const MOST_BURNT: f32 = 0.5;
/// See [`MOST_BURNT`].
const MOST_HIDDEN: f32 = 0.25;
/// The picture must give the tip that the user named at least this probability, or the two contradict
/// each other.
pub(super) const LEAST_TIP_SUPPORT: f64 = 0.5;
/// The same for a tip that nobody named: a film print, or a jaw without a shoulder in sight, looks much
/// the same either way up, and the wrong way up asks for the wrong change.
pub(super) const LEAST_ASSUMED_TIP_SUPPORT: f64 = 0.97;

/// Where nobody named the tip, what the pattern says of the taper holds only if the tip is where the picture
/// shows it. Of 91 such readings of rendered photos two were the opposite for their tip, given 0.65 and 0.75; twelve right ones
/// lie below 0.8, too. Nothing is lost by it: such a photo is asked about, and a word settles it.
const LEAST_WITH_ASSUMED_TIP: f64 = 0.8;

/// What no map mends: no jaw, blur, or something over all of the face.
pub(super) fn of_photo(cues: &Cues) -> Option<Reason> {
    if cues.jaw < LEAST_JAW {
        return Some(Reason::NoFace);
    }
    if cues.quality[0] < LEAST_GOOD {
        return worst_quality(cues);
    }
    if cues.outline_seen < LEAST_OUTLINE_SEEN {
        return Some(Reason::NoFace);
    }
    (cues.sharpness < LEAST_SHARPNESS).then_some(Reason::Blurred)
}

/// What speaks against this being a jaw at all, with the seam network's opinion `by_border`.
pub(super) fn of_jaw(by_border: f64) -> Option<Reason> {
    (by_border < LEAST_JAW).then_some(Reason::NoFace)
}

/// What the map leaves open for this pattern.
pub(super) fn of_map(
    map: &CompoundMap,
    cues: &Cues,
    profile: &ContactProfile,
    pattern: Pattern,
    method: Method,
) -> Option<Reason> {
    if map.burnt > MOST_BURNT {
        return Some(Reason::Glare);
    }
    if map.hidden > MOST_HIDDEN {
        return Some(Reason::Hidden);
    }
    if profile.judged < LEAST_JUDGED {
        return Some(too_dark_or_bright(map));
    }
    // A jaw that nobody painted shows no paint that metal could be told from: it is to be painted, not to be lit otherwise.
    // Painted or not is seen beside the face, where paint differs more from what it lies on.
    if method == Method::Seep && cues.seam < LIKELY_SEAM {
        return Some(Reason::NoSeam);
    }
    if is_too_alike(cues) {
        return Some(Reason::TooAlike);
    }
    if pattern::is_taper(pattern) && pattern::least_judged(map) < LEAST_JUDGED_OF_A_PART {
        return Some(too_dark_or_bright(map));
    }
    has_unlike_ends(cues).then_some(Reason::Hidden)
}

/// `right` is the probability that the pattern of `reading` is. Wrong way up hardly any reading looks right, so where the tip is in
/// doubt that comes first: a word that the picture contradicts is told, and asked for where there was none. Else a seam that
/// nobody saw is the likeliest reason, or it can't be told what is compound, or where that is plain, what it comes to. `undecided` is
/// the map's.
pub(super) fn of_trust(
    right: f64,
    doubts: &[Doubt],
    undecided: f32,
    cues: &Cues,
    reading: &Reading,
) -> Option<Reason> {
    let refusal = doubts.iter().find(|d| right < d.least);
    if let Some(refusal) = refusal.and_then(|d| d.refusal) {
        return Some(refusal);
    }
    let contradicted = reading.tip_contradicted && !reading.tip_unsaid;
    if right >= LEAST_TRUST || contradicted {
        return None;
    }
    let plain = undecided <= MOST_UNDECIDED_IF_PLAIN && cues.opinions_apart <= MOST_APART_IF_PLAIN;
    Some(if reading.tip_unsaid {
        Reason::Unclear
    } else if reading.method == Method::Seep && cues.seam < LEAST_SEAM {
        Reason::NoSeam
    } else if plain {
        Reason::Unclear
    } else {
        Reason::TooAlike
    })
}

/// `by_tip` is the probability that the tip is where it was taken to be.
pub(super) fn of_tip(by_tip: f64) -> Option<Reason> {
    (by_tip < LEAST_WITH_ASSUMED_TIP).then_some(Reason::Unclear)
}

/// `outward` is how far tip and base settle from a longer outline, see [`MOST_SHIFT_OF_AN_END`].
pub(super) fn of_longer(outward: Option<[f64; 2]>) -> Option<Reason> {
    let [tip, base] = outward?;
    (tip.abs().max(base.abs()) > MOST_SHIFT_OF_AN_END).then_some(Reason::Hidden)
}

/// The same from an outline that ends short of the base, see [`FURTHEST_IN`].
pub(super) fn of_shorter_base(outward: Option<[f64; 2]>) -> Option<Reason> {
    let [_, base] = outward?;
    (base < -FURTHEST_IN).then_some(Reason::Hidden)
}

pub(super) fn is_too_alike(cues: &Cues) -> bool {
    cues.alike > MOST_ALIKE
}

pub(super) fn has_unlike_ends(cues: &Cues) -> bool {
    cues.unlike_ends > MOST_UNLIKE_ENDS
}

fn too_dark_or_bright(map: &CompoundMap) -> Reason {
    if map.black > map.burnt {
        Reason::Dark
    } else {
        Reason::Glare
    }
}

fn worst_quality(cues: &Cues) -> Option<Reason> {
    let (worst, _) = cues
        .quality
        .iter()
        .enumerate()
        // `Good`, which was found too unlikely.
        .skip(1)
        .max_by(|a, b| a.1.total_cmp(b.1))?;
    match Quality::ALL[worst] {
        Quality::Good => None,
        Quality::Blurred => Some(Reason::Blurred),
        Quality::Dark => Some(Reason::Dark),
        Quality::BurntOut => Some(Reason::BurntOut),
        Quality::Glare => Some(Reason::Glare),
        Quality::Hidden => Some(Reason::Hidden),
        Quality::Smeared => Some(Reason::Smeared),
    }
}
