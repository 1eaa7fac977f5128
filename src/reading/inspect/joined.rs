//! Several photos of one jaw → one reading: what glare hides in one, another shows.

#[cfg(test)]
mod tests;

use std::cmp::Ordering;

use image::RgbImage;

use super::cues::{Cues, TipDoubt};
use super::{Inspection, doubt, limits, refused, settled, weigh};
use crate::reading::compound::{CompoundMap, Overlaid, overlay};
use crate::reading::face::{self, Border};
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{Direction, Pattern, direction};
use crate::reading::refusal::{Reason, Refusal};

/// The photos of one jaw after one clamping, read together.
#[derive(Debug, Clone)]
pub struct Joined {
    /// Of the jaw.
    pub reading: Reading,
    /// What the photos show together; `None` where fewer than two were joined.
    pub compound: Option<CompoundMap>,
    /// Share of the face, 0 to 1, that is not judged because the photos contradict each other about it.
    pub contradicted: f64,
    /// Per photo, in the order given: why it took no part, where it took none.
    pub left_out: Vec<Option<SetAside>>,
}

/// Why a photo of a jaw took no part in the jaw's reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetAside {
    /// It says nothing that another photo could complete.
    Refused(Reason),
    /// Where its tip points is not settled, and of another photo, which can be judged by itself, it is.
    Tip,
}

/// So much of what two photos judged they may contradict each other about: more than a reflection or two, and it is
/// not told which of the two is wrong. Of 48 rendered pairs that nothing was tuned on, with glare or a hand in one or
/// both, 34 had a photo that by itself was not read rightly; with this limit 22 of these were read rightly together, and
/// none wrongly of which a photo by itself was right.
const MOST_CONTRADICTED: f64 = 0.2;

/// A photo that can't tell compound from metal on more of what it judged than it can tells nothing.
const MOST_UNDECIDED_OF_ONE: f32 = 0.5;
/// Glare, or something in front of the face, spoils a photo by itself; together so much of the face must be judged that
/// it spoils none of them any more, since what spoils it beyond what is known to be hidden is not known (assumption).
const LEAST_TOGETHER: f64 = 0.8;

/// Reads the photos of one jaw together. Its pattern, its confidence and what it is refused for are those of the joined
/// map, by the same rules as those of a photo by itself.
pub fn join(photos: &[&Inspection]) -> Joined {
    let left_out = left_out(photos);
    let kept: Vec<&Inspection> = photos
        .iter()
        .zip(&left_out)
        .filter_map(|(photo, out)| out.is_none().then_some(*photo))
        .collect();
    match (&kept[..], photos) {
        ([], []) => Joined::alone(refused(None, Method::default(), Reason::NoFace), left_out),
        // The first stands for all: none of them says anything of the face.
        ([], [only, ..]) | ([only], _) => Joined::alone(only.reading.clone(), left_out),
        _ => together(&kept, left_out),
    }
}

fn left_out(photos: &[&Inspection]) -> Vec<Option<SetAside>> {
    let unfit = |p: &&Inspection| unfit(p).map(SetAside::Refused);
    let mut out: Vec<Option<SetAside>> = photos.iter().map(unfit).collect();
    let settled = |(p, out): (&&Inspection, &Option<SetAside>)| {
        out.is_none() && tip(p).is_none() && p.reading.refusal.is_none()
    };
    if photos.iter().zip(&out).any(settled) {
        for (photo, out) in photos.iter().zip(&mut out) {
            *out = out.or(is_turned_perhaps(photo).then_some(SetAside::Tip));
        }
    }
    out
}

fn tip(photo: &Inspection) -> Option<TipDoubt> {
    photo.cues.and_then(|c| c.tip)
}

/// Whether it may be turned the other way and that matters to what it says. One that could be judged by itself and
/// contradicts what was said of its tip is not left out: that must be settled first.
fn is_turned_perhaps(photo: &Inspection) -> bool {
    let reading = &photo.reading;
    let matters = |t: TipDoubt| reading.refusal.is_some() || (t.unsaid && reading.tip_contradicted);
    tip(photo).is_some_and(matters)
}

/// Why nothing can be taken from this photo.
fn unfit(photo: &Inspection) -> Option<Reason> {
    let no_jaw = || border(photo).is_some_and(|b| b.jaw < limits::LEAST_JAW);
    spoilt(photo).or_else(|| no_jaw().then_some(Reason::NoFace))
}

/// The same without a look at the border. What covers a part of the face is no reason: its map knows that part.
fn spoilt(photo: &Inspection) -> Option<Reason> {
    let Some(cues) = &photo.cues else {
        return Some(
            photo
                .reading
                .refusal
                .as_ref()
                .map_or(Reason::NoFace, |r| r.reason),
        );
    };
    let torn = photo
        .compound
        .as_ref()
        .is_some_and(|m| m.undecided > MOST_UNDECIDED_OF_ONE);
    limits::of_photo(cues)
        .filter(|reason| !reason.spoils_a_part())
        .or((torn || limits::is_too_alike(cues)).then_some(Reason::TooAlike))
        .or(limits::has_unlike_ends(cues).then_some(Reason::Hidden))
        .or(cues.cut_off.then_some(Reason::OutOfPicture))
}

impl Inspection {
    /// Without what only pictures are drawn from; joined with other photos of its jaw it says the same as before.
    pub(crate) fn without_pixels(mut self) -> Self {
        let border = if spoilt(&self).is_none() {
            border(&self)
        } else {
            None
        };
        if let Some(cues) = &mut self.cues {
            cues.border = border;
        }
        self.photo.pixels = RgbImage::new(0, 0);
        self.rectified = None;
        self
    }

    /// Where it may be open which end is the tip: whether nobody said it.
    pub(crate) fn tip_unsaid(&self) -> Option<bool> {
        Some(tip(self)?.unsaid)
    }

    /// Whether the picture ends so near the face that it may have been cut off.
    pub fn may_be_cut_off(&self) -> bool {
        self.cues.is_some_and(|c| c.cut_off)
    }

    /// Whether a photo from another side may complete it: glare or something in front hides a part of the face.
    pub(crate) fn can_be_completed(&self) -> bool {
        let reading = &self.reading;
        let refusal = reading.refusal.as_ref();
        let judged = reading.profile.as_ref().map_or(0.0, |p| p.judged);
        refusal.is_some_and(|r| r.reason.spoils_a_part())
            || (reading.face.is_some() && judged < LEAST_TOGETHER)
    }
}

/// Asked now, where the photo by itself was refused before it came to that.
pub(super) fn border(photo: &Inspection) -> Option<Border> {
    let asked = photo.cues.as_ref()?.border;
    let face = photo.reading.face.as_ref()?;
    asked.or_else(|| Some(face::border(&photo.photo, &face.corners)))
}

fn together(kept: &[&Inspection], left_out: Vec<Option<SetAside>>) -> Joined {
    let method = kept[0].reading.method;
    let maps: Vec<&CompoundMap> = kept.iter().filter_map(|p| p.compound.as_ref()).collect();
    let (Some(mut cues), Some(overlaid)) = (all_cues(kept), overlay(&maps)) else {
        return Joined::alone(refused(None, method, Reason::NoFace), left_out);
    };
    if share_judged(&overlaid.map) >= LEAST_TOGETHER {
        cues.quality = GOOD;
    }
    let border = of_plainest(kept, &mut cues);
    let weighed = weigh(&overlaid.map, &cues, method);
    let (mut reading, _) = settled(weighed, &cues, |_| (None, Some(border)));
    hold_against(&mut reading, kept, &overlaid);
    Joined {
        reading,
        contradicted: overlaid.contradicted,
        compound: Some(overlaid.map),
        left_out,
    }
}

/// Takes the opinions on this being a jaw from the photo that shows it most plainly. Each photo passed for one by itself, and
/// they are said to be of one jaw: what glare or a hand takes from one must not speak against all.
fn of_plainest(kept: &[&Inspection], cues: &mut Cues) -> Border {
    let seen = kept.iter().filter_map(|p| Some((p.cues?, border(p)?)));
    let seen: Vec<(Cues, Border)> = seen.collect();
    let evidence = |(cues, border): &(Cues, Border)| doubt::evidence_of_a_jaw(cues, border.jaw);
    let plainest = seen
        .iter()
        .max_by(|a, b| evidence(a).total_cmp(&evidence(b)));
    let Some((of_plainest, border)) = plainest else {
        return Border {
            painted_seam: 0.0,
            jaw: 0.0,
        };
    };
    (cues.jaw, cues.jaw_when_turned) = (of_plainest.jaw, of_plainest.jaw_when_turned);
    Border {
        // What one side shows another may hide.
        painted_seam: seen.iter().map(|s| s.1.painted_seam).fold(0.0, f64::max),
        jaw: border.jaw,
    }
}

impl Joined {
    fn alone(reading: Reading, left_out: Vec<Option<SetAside>>) -> Self {
        Self {
            reading,
            compound: None,
            contradicted: 0.0,
            left_out,
        }
    }
}

/// Of all of them: no better than the worst, since each took part, but for the seam, which one side may hide.
fn all_cues(kept: &[&Inspection]) -> Option<Cues> {
    let cues = kept.iter().filter_map(|p| p.cues);
    cues.reduce(|a, b| Cues {
        quality: if a.quality[0] > b.quality[0] {
            a.quality
        } else {
            b.quality
        },
        // As `of_plainest` says afterwards.
        jaw: a.jaw,
        jaw_when_turned: a.jaw_when_turned,
        alike: a.alike.max(b.alike),
        seam: a.seam.max(b.seam),
        outline_seen: a.outline_seen.min(b.outline_seen),
        outline: a.outline.min(b.outline),
        sharpness: a.sharpness.min(b.sharpness),
        unlike_ends: a.unlike_ends.max(b.unlike_ends),
        opinions_apart: a.opinions_apart.max(b.opinions_apart),
        beyond_base: a.beyond_base.max(b.beyond_base),
        cut_off: a.cut_off || b.cut_off,
        tip: worse(a.tip, b.tip),
        border: None,
    })
}

fn share_judged(map: &CompoundMap) -> f64 {
    map.judged.iter().filter(|j| **j).count() as f64 / map.judged.len() as f64
}

/// Certainly [`crate::reading::network::Quality::Good`].
const GOOD: [f64; 7] = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];

/// A contradiction weighs more than what nobody said, and of two of a kind the one that is less likely.
fn worse(a: Option<TipDoubt>, b: Option<TipDoubt>) -> Option<TipDoubt> {
    let all = [a, b].into_iter().flatten();
    all.min_by(|a, b| {
        (a.unsaid, a.support)
            .partial_cmp(&(b.unsaid, b.support))
            .unwrap_or(Ordering::Equal)
    })
}

const TOO_MUCH: &str = "that is too much to read them together: take another photo from a side from which no reflection lies on the face";
const OPPOSED: &str = "one of the photos by itself asks for the opposite change: they may show two jaws, or one of them is turned end for end; read them one by one";
const TURNED: &str = "the photos agree once one of them is turned end for end: say where the tip points in each with --tip";

/// A joined reading must not say more surely what its photos contradict each other about.
fn hold_against(reading: &mut Reading, kept: &[&Inspection], overlaid: &Overlaid) {
    let (torn, opposed) = (
        overlaid.contradicted_of_shared > MOST_CONTRADICTED,
        is_opposed(reading, kept),
    );
    let turned = (torn || opposed) && overlaid.fits_turned;
    let said = [
        (
            overlaid.contradicted >= LEAST_SAID,
            disagreement(kept.len(), overlaid.contradicted),
        ),
        (torn, TOO_MUCH.to_owned()),
        (opposed, OPPOSED.to_owned()),
        (turned, TURNED.to_owned()),
    ];
    let said = said
        .into_iter()
        .filter_map(|(holds, words)| holds.then_some(words));
    reading.warnings.extend(said);
    reading.tip_contradicted |= turned;
    if torn || opposed {
        reading.refusal = Some(Refusal::of(Reason::Unclear));
        reading.pattern = Pattern::Unreadable;
        reading.confidence = 0.0;
    }
    // One that could be judged by itself shows the other method, whatever the others show.
    let other = kept.iter().find(|p| p.reading.method_contradicted);
    if let Some(other) = other.filter(|_| !reading.method_contradicted) {
        reading.method_contradicted = true;
        let words = other.reading.warnings.iter().cloned();
        reading.warnings.extend(words);
    }
}

/// Less of the face is an edge or a speck, which nobody need hear of.
const LEAST_SAID: f64 = 0.02;

fn disagreement(photos: usize, share: f64) -> String {
    let who = match photos {
        2 => "the two photos disagree".to_owned(),
        n => format!("the {n} photos disagree"),
    };
    format!(
        "{who} about {:.0} % of the face, which is not judged: a reflection moves over the metal when the camera moves, compound does not",
        100.0 * share
    )
}

/// Whether any two of them, or one and what they say together, ask for opposite changes.
fn is_opposed(reading: &Reading, kept: &[&Inspection]) -> bool {
    let each = kept.iter().map(|p| direction(p.reading.pattern));
    let all: Vec<Direction> = each.chain([direction(reading.pattern)]).collect();
    all.iter().any(|a| all.iter().any(|b| a.opposes(*b)))
}
