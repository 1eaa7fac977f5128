//! Whether the outline ends where the face does: a film's straight border across the face may pass for its end, and what lies
//! beyond it, the very film that tells the pattern, is then not read.

use super::second_look::{self, Look};
use crate::reading::geometry::{Homography, Point, Quad};
use crate::reading::photo::UprightPhoto;

/// How much longer the outline is made at each end, as a share of the length: within the crop's border, and
/// further than a right outline is ever off.
const LONGER: f64 = 0.15;

/// How far the further end settles elsewhere, as a share of the length, when the look begins from an outline that is longer
/// at both; `None` where no corners are seen then, which says nothing.
pub(crate) fn shift_from_longer(photo: &UprightPhoto, corners: &Quad) -> Option<f64> {
    let [tip_left, tip_right, base_right, base_left] = corners.0;
    let out = |end: Point, other: Point| end.towards(other, -LONGER);
    let longer = Quad([
        out(tip_left, base_left),
        out(tip_right, base_right),
        out(base_right, tip_right),
        out(base_left, tip_left),
    ]);
    let settled = second_look::look(photo, &longer).corners()?;
    let [x, y] = corners.tipward();
    let squared = (x * x + y * y).max(1e-9);
    let along = |i: usize| {
        let (a, b) = (settled.0[i], corners.0[i]);
        (((a.x - b.x) * x + (a.y - b.y) * y) / squared).abs()
    };
    Some(f64::midpoint(along(0), along(1)).max(f64::midpoint(along(2), along(3))))
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
