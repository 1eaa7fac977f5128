//! How to bore a set again: where to clamp it, how much that takes, and what is left.
//!
//! The jaws are clamped on a ring or plug so that their faces stand a little beyond the work: for outside
//! grip around a circle slightly smaller than the workpiece, for inside grip slightly larger. Boring to
//! the workpiece's diameter then takes half of the difference off every face. That must reach
//!
//! - the face that stands farthest from the axis: as much as the set sits off centre,
//! - to the ground of the deepest damage,
//! - the tip, where the new taper leaves more material than the old one,
//! - the flanks, where the old arc is curved less than the new one (outside grip; inside grip: more),
//!
//! and a least cut on top. More would waste the jaws. The jaw that stands nearest to the axis loses as
//! much more as the set sits off centre. The diameter is the one at the base, as in a cut's record.

use super::{Recut, Unknown};
use crate::taper::advice::Grip;
use crate::taper::rules::RecutRules;
use crate::units::{Length, PerSide};

/// Per side, what the stock is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct StockSum {
    /// The set sits off the spindle's axis by this.
    pub off_centre: Length,
    /// Deepest wear or damage.
    pub damage: Length,
    /// The new taper leaves this much more at the tip.
    pub taper: Length,
    /// The flanks need this much more than the middle of the face.
    pub curve: Length,
    /// Least cut.
    pub clean_up: Length,
}

/// One boring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BorePlan {
    /// Diameter of the circle that the middles of the faces stand on when clamped for boring.
    pub clamp_diameter: Length,
    /// Bored or turned to this at the base: the workpiece's diameter.
    pub bore_diameter: Length,
    /// More material at the tip; `None` where unknown.
    pub taper: Option<PerSide>,
    /// What the stock is for.
    pub sum: StockSum,
    /// Per side, half of the difference of both diameters.
    pub stock: Length,
    /// The most that any jaw loses anywhere.
    pub deepest: Length,
    /// Off the back face, along the spindle axis.
    pub back_face: Length,
    /// Per side, before.
    pub stock_before: Option<Length>,
    /// Per side, afterwards; below zero where the jaws will not clean up.
    pub stock_after: Option<Length>,
    /// How often the same can be done again after that.
    pub times_left: Option<u32>,
    /// How far each jaw moves in the direction that clamps, against where it clamped last; below zero: it
    /// moves the other way.
    pub jaws_move: Length,
    /// Stroke left afterwards.
    pub stroke_after: Option<Length>,
    /// Whether the flanks could be compared.
    pub curve_is_known: bool,
}

/// The plan, or the diameter that is missing for it.
pub(super) fn plan(request: &Recut<'_>, rules: &RecutRules) -> Result<BorePlan, Unknown> {
    let work = diameter(request)?;
    let old = bored_before(request);
    let flanks = flanks(request, work);
    let tapers = tapers(request);
    let sum = sum(
        request,
        rules,
        flanks.map_or(Length::ZERO, |f| f.needed),
        &tapers,
    );
    let stock = sum.total();
    let clamp = match request.jaw_set.grip {
        Grip::Outside => work - (stock + stock),
        Grip::Inside => work + stock + stock,
    };
    if clamp <= Length::ZERO {
        return Err(Unknown {
            what: "workpiece diameter",
            ask: format!(
                "A workpiece of {work} leaves no room for a cut of {} per side; check the diameter, \
                 the run-out and the damage.",
                super::words::fine(stock)
            ),
        });
    }
    let more = flanks.map_or(Length::ZERO, |f| f.spare);
    let deepest = stock + sum.off_centre + tapers.fall + more;
    let stock_before = stock_before(request);
    let stock_after = stock_before.map(|s| s - deepest);
    let back_face_run_out = request.present.back_face_run_out;
    let apart = (old.unwrap_or(work) - clamp).half();
    let jaws_move = match request.jaw_set.grip {
        Grip::Outside => apart,
        Grip::Inside => -apart,
    };
    Ok(BorePlan {
        clamp_diameter: clamp,
        bore_diameter: work,
        taper: tapers.new,
        sum,
        stock,
        deepest,
        back_face: rules.back_face + back_face_run_out.unwrap_or_default().max(Length::ZERO),
        stock_before,
        stock_after,
        times_left: stock_after.and_then(|left| times(left, deepest)),
        jaws_move,
        stroke_after: request.present.stroke_left.map(|s| s - jaws_move),
        curve_is_known: flanks.is_some(),
    })
}

impl StockSum {
    /// All of it.
    pub fn total(&self) -> Length {
        self.off_centre + self.damage + self.taper + self.curve + self.clean_up
    }
}

fn diameter(request: &Recut<'_>) -> Result<Length, Unknown> {
    let given = request.present.workpiece_diameter;
    let known = given.or(request.jaw_set.workpiece_diameter);
    known.filter(|d| *d > Length::ZERO).ok_or_else(|| Unknown {
        what: "workpiece diameter",
        ask:
            "Measure the workpiece where it is gripped; without its diameter no cut can be planned."
                .to_owned(),
    })
}

pub(super) fn bored_before(request: &Recut<'_>) -> Option<Length> {
    let cut = request.cut.and_then(|c| c.diameter);
    cut.or(request.jaw_set.bored_diameter)
}

pub(super) fn stock_before(request: &Recut<'_>) -> Option<Length> {
    let left = request.cut.and_then(|c| c.stock_left);
    request.present.stock.or(left).or(request.jaw_set.stock)
}

fn sum(request: &Recut<'_>, rules: &RecutRules, curve: Length, tapers: &Tapers) -> StockSum {
    let present = request.present;
    StockSum {
        off_centre: present
            .run_out
            .map_or(rules.off_centre, |r| r.half().max(Length::ZERO)),
        damage: present
            .damage
            .iter()
            .copied()
            .max()
            .unwrap_or_default()
            .max(Length::ZERO),
        taper: tapers.rise,
        curve,
        clean_up: rules.clean_up,
    }
}

struct Tapers {
    new: Option<PerSide>,
    /// More at the tip than now.
    rise: Length,
    /// Less.
    fall: Length,
}

fn tapers(request: &Recut<'_>) -> Tapers {
    let old = request.cut.and_then(|c| c.taper);
    let new = request.present.next_taper.or(old);
    let more = match (old, new) {
        (Some(old), Some(new)) => (new - old).length(),
        _ => Length::ZERO,
    };
    Tapers {
        new,
        rise: more.max(Length::ZERO),
        fall: (-more).max(Length::ZERO),
    }
}

#[derive(Clone, Copy)]
struct Flanks {
    /// What they need more than the middle.
    needed: Length,
    /// What they lose more than the middle.
    spare: Length,
}

/// Where old and new arc part towards the flanks. At half the width `b`, an arc of radius `R` stands back
/// by `R − √(R² − b²)`; `None` where a diameter or the width is unknown, or the face wider than the bore.
fn flanks(request: &Recut<'_>, work: Length) -> Option<Flanks> {
    let old = bored_before(request)?;
    if old == work {
        return Some(Flanks {
            needed: Length::ZERO,
            spare: Length::ZERO,
        });
    }
    let half_um = request.jaw_set.face_width?.micrometres() / 2.0;
    let back_um = |diameter: Length| {
        let radius_um = diameter.micrometres() / 2.0;
        (radius_um >= half_um).then(|| radius_um - (radius_um.powi(2) - half_um.powi(2)).sqrt())
    };
    let nearer_um = back_um(work)? - back_um(old)?;
    let nearer_um = match request.jaw_set.grip {
        Grip::Outside => nearer_um,
        Grip::Inside => -nearer_um,
    };
    Some(Flanks {
        needed: Length::from_computed_micrometres(nearer_um.max(0.0))?,
        spare: Length::from_computed_micrometres((-nearer_um).max(0.0))?,
    })
}

fn times(left: Length, each: Length) -> Option<u32> {
    left.ratio(each).map(|n| n.max(0.0).floor() as u32)
}
