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
        .map(|[_, compound, _]| compound)
        .collect();
    seen.iter().sum::<f32>() / (seen.len() as f32).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::face::{TipDirection, search};
    use crate::reading::photo::read_photo;

    fn sample(name: &str, tip: TipDirection) -> (UprightPhoto, Quad) {
        let samples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
        let photo = read_photo(&std::fs::read(samples.join(name)).unwrap()).unwrap();
        let (face, _) = search(&photo, Some(tip)).unwrap();
        (photo, face.corners)
    }

    /// With its tip and its base further in by these shares of the length.
    fn shortened(of: &Quad, at_tip: f64, at_base: f64) -> Quad {
        let [tip_left, tip_right, base_right, base_left] = of.0;
        Quad([
            tip_left.towards(base_left, at_tip),
            tip_right.towards(base_right, at_tip),
            base_right.towards(tip_right, at_base),
            base_left.towards(tip_left, at_base),
        ])
    }

    #[test]
    fn an_outline_that_leaves_out_a_fifth_at_the_tip_is_seen_to() {
        let samples = [
            ("singles/middle-only-on-the-chuck.jpg", TipDirection::Left),
            ("singles/ends-only-small-picture.jpg", TipDirection::Right),
            ("singles/edges-only-in-a-hand.jpg", TipDirection::Down),
            ("heron-too-much-taper/jaw1.jpg", TipDirection::Up),
        ];
        for (name, tip) in samples {
            let (photo, corners) = sample(name, tip);
            let outward = |of: &Quad| settled_from(&photo, of, AT_THE_TIP).unwrap()[0];
            let right = outward(&corners);
            assert!(right < 0.2, "{name}: {right}");
            // A fifth of the length is a quarter of what remains.
            let short = outward(&shortened(&corners, 0.2, 0.0));
            assert!((0.2..0.3).contains(&short), "{name}: {short}");
        }
    }

    #[test]
    fn a_shoulder_that_was_taken_in_at_the_base_is_left_out() {
        let base_only = "singles/base-only-steel-on-the-chuck.jpg";
        let (photo, corners) = sample(base_only, TipDirection::Up);
        let outward = |of: &Quad| settled_from(&photo, of, SHORT_OF_THE_BASE).unwrap()[1];
        assert!(outward(&corners) > -0.39, "{}", outward(&corners));
        // As much again below the base, so that the base is in the middle.
        let long = shortened(&corners, 0.0, -0.9);
        assert!(outward(&long) < -0.39, "{}", outward(&long));
    }
}
