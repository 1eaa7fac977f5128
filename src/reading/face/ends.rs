//! Whether the outline ends where the face does: a film's straight border across the face may pass for its end, and what lies
//! beyond it, the very film that tells the pattern, is then not read.

use super::second_look::{self, Look};
use crate::reading::geometry::{Homography, Point, Quad};
use crate::reading::photo::UprightPhoto;

/// How much longer an outline is made at the tip and at the base, as shares of its length.
pub(crate) type Longer = [f64; 2];

/// Within the crop's border, and further than a right outline is ever off.
pub(crate) const AT_BOTH_ENDS: Longer = [0.15, 0.15];
/// Far enough for a band of compound along the tip, which makes middle-only of what else is tip-only, to lie inside; at the base
/// as much would take in the shoulder, on which right outlines settle, too.
pub(crate) const AT_THE_TIP: Longer = [0.25, 0.0];
/// So much shorter that the base of a face that was taken together with its shoulder, which is often as long, lies near.
pub(crate) const SHORT_OF_THE_BASE: Longer = [0.0, -0.35];

/// How far tip and base settle outward, as shares of the length, when the look begins from an outline that is so much
/// longer; `None` where no corners are seen then, which says nothing.
pub(crate) fn settled_from(
    photo: &UprightPhoto,
    corners: &Quad,
    [at_tip, at_base]: Longer,
) -> Option<[f64; 2]> {
    let [tip_left, tip_right, base_right, base_left] = corners.0;
    let longer = Quad([
        tip_left.towards(base_left, -at_tip),
        tip_right.towards(base_right, -at_tip),
        base_right.towards(tip_right, -at_base),
        base_left.towards(tip_left, -at_base),
    ]);
    let settled = second_look::look(photo, &longer).corners()?;
    let [x, y] = corners.tipward();
    let squared = (x * x + y * y).max(1e-9);
    let tipward = |i: usize| {
        let (a, b) = (settled.0[i], corners.0[i]);
        ((a.x - b.x) * x + (a.y - b.y) * y) / squared
    };
    Some([
        f64::midpoint(tipward(0), tipward(1)),
        -f64::midpoint(tipward(2), tipward(3)),
    ])
}

/// Mean probability of compound just beyond the base, where no seam is painted: high where the face goes on.
pub(crate) fn compound_beyond_base(look: &Look, corners: &Quad) -> f32 {
    const ACROSS: usize = 40;
    const ALONG: usize = 10;
    let Some(face) = Homography::between(&Quad::UNIT, corners) else {
        return 0.0;
    };
    let middle = |i: usize, n: usize| (i as f64 + 0.5) / n as f64;
    let points = (0..ACROSS * ALONG).map(|i| {
        // Without the flanks, which are painted, and a twentieth off the base, by which a right outline may err.
        Point::new(
            0.1 + 0.8 * middle(i % ACROSS, ACROSS),
            1.05 + 0.1 * middle(i / ACROSS, ALONG),
        )
    });
    let seen: Vec<f32> = points
        .filter_map(|p| look.at(face.map(p)))
        .map(|(_, compound)| compound)
        .collect();
    seen.iter().sum::<f32>() / (seen.len() as f32).max(1.0)
}
