//! `UprightPhoto` → the gripping face: a coarse outline from the whole picture, then a second look at
//! the face itself that settles the corners, the curved edges and which end is the tip.

mod ends;
mod outline;
mod second_look;
mod sharpness;

use crate::reading::geometry::{Point, Quad};
use crate::reading::photo::UprightPhoto;
use crate::reading::refusal::Reason;

pub(crate) use ends::{
    AT_BOTH_ENDS, AT_THE_TIP, SHORT_OF_THE_BASE, compound_beyond_base, settled_from,
};
pub use second_look::Look;
pub(crate) use second_look::{Border, Turned, border};

/// Where the corners come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FoundBy {
    /// Given by the user.
    Given,
    /// Found in the picture.
    Search,
}

/// Where the tip points in the upright photo.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum TipDirection {
    /// To the top edge of the picture.
    #[default]
    Up,
    /// To the bottom edge.
    Down,
    /// To the left edge.
    Left,
    /// To the right edge.
    Right,
}

impl TipDirection {
    /// The one of the four that is nearest to a direction in picture coordinates.
    pub fn nearest([x, y]: [f64; 2]) -> Self {
        match (x.abs() > y.abs(), x > 0.0, y > 0.0) {
            (true, true, _) => Self::Right,
            (true, false, _) => Self::Left,
            (false, _, true) => Self::Down,
            (false, _, false) => Self::Up,
        }
    }

    /// Unit vector in picture coordinates.
    pub fn vector(self) -> [f64; 2] {
        match self {
            Self::Up => [0.0, -1.0],
            Self::Down => [0.0, 1.0],
            Self::Left => [-1.0, 0.0],
            Self::Right => [1.0, 0.0],
        }
    }

    /// Whether these corners begin at the other end, whatever the roll.
    pub(crate) fn is_turned_from(self, corners: &Quad) -> bool {
        along(corners, self.vector()) < -ARGUABLE
    }
}

/// A gripping face in the photo; coordinates in pixels of the upright photo at full size.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The four corners.
    pub corners: Quad,
    /// Middle of the (curved) tip edge.
    pub tip_middle: Point,
    /// Middle of the (curved) base edge.
    pub base_middle: Point,
    /// Given or found.
    pub found_by: FoundBy,
    /// Probability that the outline overlaps the true face by 0.8 or more.
    pub confidence: f64,
    /// Probability, from the picture alone, that the tip is where `corners` say: the reader's opinion at
    /// first, then the mean of two, taken by `inspect`.
    pub tip_support: f64,
}

impl Face {
    /// Where its tip points.
    pub fn tip_direction(&self) -> TipDirection {
        TipDirection::nearest(self.corners.tipward())
    }

    /// Whether the tip lies at the other end than `tip` says, whatever the roll.
    pub(crate) fn is_turned_from(&self, tip: TipDirection) -> bool {
        tip.is_turned_from(&self.corners)
    }

    /// How much further one end seems to bulge along the face than the other, as a share of the length.
    pub(crate) fn unlike_ends(&self) -> f64 {
        let [x, y] = self.corners.tipward();
        let squared = (x * x + y * y).max(1e-9);
        let along = |a: Point, b: Point| ((a.x - b.x) * x + (a.y - b.y) * y) / squared;
        let [tip_left, tip_right, base_right, base_left] = self.corners.0;
        let tip = along(self.tip_middle, tip_left.towards(tip_right, 0.5));
        let base = along(self.base_middle, base_left.towards(base_right, 0.5));
        (tip - base).abs()
    }

    /// Takes in the opinion on the tip of the face turned end for end.
    pub(crate) fn weigh_tip(&mut self, turned: f64) {
        self.tip_support = f64::midpoint(self.tip_support, turned);
    }
}

/// Cosine of 60°: a side this far off the direction that the user gave can still be the tip, since the
/// roll is free and near a diagonal either neighbour may be meant.
const ARGUABLE: f64 = 0.5;
/// The picture overrules which of two arguable sides is the tip only when it is this sure (assumption).
const SURE_OF_TIP: f64 = 0.8;
/// Looks after the first: each starts from the outline that the last one settled on.
const LOOKS: usize = 2;

/// Sizes at which the whole picture is searched, one after the other until an outline is certain: long
/// side in pixels. At the first a face of 8 % of the picture is 60 px long, enough to be found; a
/// larger one shows a small face better, a smaller one a large and busy face.
const SEARCH_SIZES: [f64; 3] = [240.0, 320.0, 176.0];
/// An outline this certain ends the search.
const CERTAIN: f64 = 0.9;

/// Searches for the face. The tip lies where the user says, as near as the roll allows; where nobody says, up,
/// or on the side that the picture finds likelier.
///
/// # Errors
/// The reason, where no whole face large enough is in the picture.
pub fn search(photo: &UprightPhoto, tip: Option<TipDirection>) -> Result<(Face, Look), Reason> {
    let mut best: Option<(Face, Look)> = None;
    for size in SEARCH_SIZES {
        let found = search_at(photo, tip, size);
        let certainty = |f: &Option<(Face, Look)>| f.as_ref().map_or(0.0, |f| f.0.confidence);
        if certainty(&found) > certainty(&best) {
            best = found;
        }
        if certainty(&best) > CERTAIN {
            break;
        }
    }
    let (face, look) = best.ok_or(Reason::NoFace)?;
    // Before its certainty is asked: that a face runs out of the picture says how to take the next photo.
    check_place(photo, &face.corners)?;
    if face.confidence < LEAST_OUTLINE {
        return Err(Reason::NoFace);
    }
    Ok((face, look))
}

/// Least overlap between the finder's outline and the one that the reader settles on: below it they
/// speak of different things, and the certainty is halved.
const LEAST_AGREEMENT: f64 = 0.6;

fn search_at(photo: &UprightPhoto, tip: Option<TipDirection>, size: f64) -> Option<(Face, Look)> {
    let coarse = outline::search(photo, size)?;
    let mut quad = orient(&coarse.quad, tip.unwrap_or_default(), coarse.tipward);
    let mut look = second_look::look(photo, &quad);
    // The reader knows only crops with the tip on top, so another side takes another crop.
    if let Some(other) = better_tip(&quad, &look, tip) {
        quad = quad.with_tip_side(other);
        look = second_look::look(photo, &quad);
    }
    for _ in 1..LOOKS {
        let Some(settled) = look.corners() else { break };
        quad = settled;
        look = second_look::look(photo, &quad);
    }
    let corners = look.corners().unwrap_or(quad);
    let mut face = assemble(corners, &look, FoundBy::Search);
    if coarse.quad.overlap(&corners) < LEAST_AGREEMENT {
        face.confidence *= 0.5;
    }
    Some((face, look))
}

/// Takes the corners as given and looks only for the curved edges and the cues.
///
/// # Errors
/// The reason, where they enclose a face that is too small or not whole in the picture.
pub fn given(photo: &UprightPhoto, corners: Quad) -> Result<(Face, Look), Reason> {
    check_extent(photo, &corners)?;
    let look = second_look::look(photo, &corners);
    Ok((assemble(corners, &look, FoundBy::Given), look))
}

fn assemble(corners: Quad, look: &Look, found_by: FoundBy) -> Face {
    let [tip_middle, base_middle] = look.middles(&corners);
    let confidence = match found_by {
        // The user's word for where it is; whether anything is there is asked later (`LEAST_OUTLINE_SEEN`).
        FoundBy::Given => 1.0,
        FoundBy::Search => look.outline_confidence(),
    };
    Face {
        corners,
        tip_middle,
        base_middle,
        found_by,
        confidence,
        // Side 0 is the crop's top, where `corners` have the tip.
        tip_support: look.tip_side[0],
    }
}

/// Weight of the direction that the finder sees against the user's: less than 1, so that it decides only near
/// a diagonal, within some 20° (atan 0.35).
const SEEN: f64 = 0.35;

/// Relabels the outline so that its tip edge points where the user said. Near a diagonal the
/// direction seen by the finder decides.
fn orient(quad: &Quad, tip: TipDirection, seen: [f64; 2]) -> Quad {
    let score = |q: &Quad| along(q, tip.vector()) + SEEN * along(q, seen);
    (0..4)
        .map(|k| quad.with_tip_side(k))
        .max_by(|a, b| score(a).total_cmp(&score(b)))
        .unwrap_or(*quad)
}

/// Cosine between the outline's tip direction and `direction`.
fn along(quad: &Quad, direction: [f64; 2]) -> f64 {
    let t = quad.tipward();
    // A flat outline has no direction; it must not give NaN, which no comparison would catch.
    (t[0] * direction[0] + t[1] * direction[1]) / t[0].hypot(t[1]).max(1e-9)
}

/// Another side that the picture says is the tip and that the user can have meant.
fn better_tip(quad: &Quad, look: &Look, tip: Option<TipDirection>) -> Option<usize> {
    let is_it = |k: usize| match tip {
        Some(tip) => {
            let arguable = along(&quad.with_tip_side(k), tip.vector()) > ARGUABLE;
            arguable && look.tip_side[k] > SURE_OF_TIP
        }
        // Nobody's word stands against the likelier side.
        None => look.tip_side[k] > 0.5,
    };
    // At most one, as the four sum to 1 and both limits are at least a half.
    (1..4).find(|&k| is_it(k))
}

/// Smallest mean side of a face, in pixels of the working photo, that shows a band's edge to a
/// fiftieth of the length.
const SMALLEST_SIDE_PX: f64 = 60.0;
/// Least share of the face inside the picture: the tip or base may be cut by no more than the margin
/// in which a band is not judged anyway.
const LEAST_INSIDE: f64 = 0.93;
/// Where a face runs out of the picture, its outline is drawn along the picture's border: a side whose
/// corners are both nearer to one border than this share of the face's size is cut off. Of 924 whole faces in rendered
/// photos none came nearer than 0.026.
const CUT_OFF: f64 = 0.02;
/// The same for a side that may be. Of the 924, 22 lie between the two; so do 43 of 234 photos that were cut through the face. Of
/// these five show another pattern than before, and one, middle-only, would have been cut for as tip-only.
const NEAR_BORDER: f64 = 0.08;
/// Least confidence in an outline. Of the outlines below it, two in three overlapped the true face by
/// less than 0.8; of those above, one in fifty.
const LEAST_OUTLINE: f64 = 0.5;

fn check_place(photo: &UprightPhoto, corners: &Quad) -> Result<(), Reason> {
    if nearest_border(photo, corners) < CUT_OFF {
        return Err(Reason::OutOfPicture);
    }
    check_extent(photo, corners)
}

/// Whether the picture ends so near a side of the face that it may have been cut off there.
pub(crate) fn may_be_cut_off(photo: &UprightPhoto, corners: &Quad) -> bool {
    nearest_border(photo, corners) < NEAR_BORDER
}

/// What must hold of given corners as well; these may lie on the picture's border.
fn check_extent(photo: &UprightPhoto, corners: &Quad) -> Result<(), Reason> {
    let [w, h] = photo.size_px.map(f64::from);
    if corners.share_inside(w, h) < LEAST_INSIDE {
        return Err(Reason::OutOfPicture);
    }
    let side = (corners.length_px() * corners.width_px()).sqrt() * photo.scale();
    if side < SMALLEST_SIDE_PX {
        Err(Reason::TooSmall)
    } else {
        Ok(())
    }
}

/// How far the side that lies nearest to one of the picture's borders with both its corners is from it, as a share of the face's
/// size; negative beyond it.
fn nearest_border(photo: &UprightPhoto, corners: &Quad) -> f64 {
    let [width, height] = photo.size_px.map(f64::from);
    let distances = |p: Point| [p.x, p.y, width - p.x, height - p.y];
    let of_side = |i: usize| {
        let (a, b) = (distances(corners.0[i]), distances(corners.0[(i + 1) % 4]));
        // One border after the other.
        a.into_iter().zip(b).map(|(a, b)| a.max(b))
    };
    let nearest = (0..4).flat_map(of_side).fold(f64::INFINITY, f64::min);
    nearest / corners.signed_area().abs().sqrt()
}
