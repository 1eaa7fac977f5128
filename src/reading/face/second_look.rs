//! The reader: a crop of the face, tip edge on top → corners, curved edges, compound and cues.

use image::RgbImage;
use ndarray::{Array2, Array3, Array4, ArrayView2, Axis, Slice, Zip};

use super::sharpness::sharpness;
use crate::reading::shrink::area_average;

use crate::reading::geometry::{Homography, Point, Quad};
use crate::reading::network::{self, CROP, CROP_MARGIN, READER_STRIDE, sigmoid, softmax};
use crate::reading::photo::UprightPhoto;
use crate::reading::resample::{resample_as_stored, subsamples};
use crate::reading::threads::beside;

/// What the reader saw; maps are in the crop's own coordinates.
#[derive(Debug, Clone)]
pub struct Look {
    /// Probability of visible face per cell.
    pub face: Array2<f32>,
    /// Probability of compound per cell, meaningful where there is face: the reader's opinion, until
    /// `set_compound` sets it aside for a better one.
    pub compound: Array2<f32>,
    set_aside: Option<Array2<f32>>,
    /// Probability that the tip is the crop's top, right, bottom, left side.
    pub tip_side: [f64; 4],
    /// Probability that a seam was painted.
    pub seam: f64,
    /// Probabilities in the order of `network::Quality`.
    pub quality: [f64; 7],
    /// Probability that this is the gripping face of a jaw at all.
    pub jaw: f64,
    /// Probability that compound and bare metal are too alike to be told apart.
    pub alike: f64,
    points: [Spot; 8],
    to_crop: Homography,
    to_picture: Homography,
    /// The network's input, and which of its cells lie in the picture.
    crop: Array4<f32>,
    inside: Array2<bool>,
}

/// A point in the crop (0 to 1) and how far its score is spread, as a share of the crop's side.
#[derive(Debug, Clone, Copy)]
struct Spot {
    at: Point,
    spread: f64,
}

/// A corner spread wider than this was not seen but guessed.
const WIDEST_SPREAD: f64 = 0.09;

/// From the crop to the picture, so that the crop's border lies around `quad`.
fn from_crop(quad: &Quad) -> Homography {
    let (lo, hi) = (CROP_MARGIN, 1.0 - CROP_MARGIN);
    let frame = Quad([
        Point::new(lo, lo),
        Point::new(hi, lo),
        Point::new(hi, hi),
        Point::new(lo, hi),
    ]);
    // A flat outline never reaches this stage: its callers check its area.
    Homography::between(&frame, quad).unwrap_or(Homography([
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.0, 0.0, 1.0],
    ]))
}

/// Looks at the face inside `quad` (full-size pixels), widened by the crop's margin.
pub(super) fn look(photo: &UprightPhoto, quad: &Quad) -> Look {
    let to_picture = from_crop(quad);
    // There is one: `between` gives no map that flattens the plane.
    let to_crop = to_picture.inverse().unwrap_or(to_picture);
    let (rgb, inside) = cut(photo, quad, &to_picture);
    let crop = on_grey(&rgb, &inside);
    let out = network::read(crop.view());
    let map = |k: usize| out.maps.index_axis(Axis(0), k);
    Look {
        face: map(0).mapv(sigmoid),
        compound: map(1).mapv(sigmoid),
        set_aside: None,
        tip_side: softmax(&out.tip_side).map(f64::from),
        seam: f64::from(sigmoid(out.seam)),
        quality: softmax(&out.quality).map(f64::from),
        jaw: f64::from(sigmoid(out.jaw)),
        alike: f64::from(sigmoid(out.alike)),
        points: std::array::from_fn(|i| spot(map(2 + i))),
        to_crop,
        to_picture,
        crop,
        inside,
    }
}

/// What the reader says of the crop turned end for end: probabilities; nothing where it could not be asked.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Turned {
    /// That the tip is where the corners say.
    pub(crate) tip: f64,
    /// That this is a jaw's face.
    pub(crate) jaw: f64,
}

/// What the border of a face and what is beside it say, without a look at the face's middle: probabilities.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Border {
    /// That the seam was painted, which no print's is.
    pub(crate) painted_seam: f64,
    /// That this is the gripping face of a jaw: a second opinion beside [`Look::jaw`], by another network.
    pub(crate) jaw: f64,
}

/// Looks at the border around the settled corners. The mean over the crop and its mirror image: a face is painted
/// alike in a mirror. The crop is cut anew, since one that lies a little off loses a thin line.
pub(crate) fn border(photo: &UprightPhoto, corners: &Quad) -> Border {
    let (rgb, inside) = cut(photo, corners, &from_crop(corners));
    let crop = on_grey(&rgb, &inside);
    let mirrored = crop.slice_axis(Axis(3), Slice::new(0, None, -1));
    let (one, other) = beside(
        || network::border(crop.view()),
        || network::border(mirrored),
    );
    let mean = |i: usize| f64::from(sigmoid(f32::midpoint(one[i], other[i])));
    Border {
        painted_seam: mean(0),
        jaw: mean(1),
    }
}

/// The face at the crop's size. A picture much finer than the crop is shrunk first, so that four samples
/// per cell reach over every pixel, where sampling the full picture would take up to sixteen.
fn cut(photo: &UprightPhoto, quad: &Quad, to_picture: &Homography) -> (Array3<f32>, Array2<bool>) {
    let face_side = CROP as f64 * (1.0 - 2.0 * CROP_MARGIN);
    let per_cell = (quad.length_px() * quad.width_px()).sqrt() * photo.scale() / face_side;
    let side = CROP as f64;
    let at = |picture: &RgbImage, n: usize| {
        let k = f64::from(picture.width()) / f64::from(photo.size_px[0]);
        let map = scaling(1.0 / side).then(to_picture).then(&scaling(k));
        let place = |r: f64, c: f64| map.map(Point::new(c, r));
        resample_as_stored(picture, (CROP, CROP), n, place)
    };
    let n = subsamples(per_cell);
    let (w, h) = photo.pixels.dimensions();
    let half = (n > 2).then(|| area_average(&photo.pixels, w / 2, h / 2));
    match half.flatten() {
        Some(half) => at(&half, 2),
        None => at(&photo.pixels, n),
    }
}

fn scaling(k: f64) -> Homography {
    Homography([[k, 0.0, 0.0], [0.0, k, 0.0], [0.0, 0.0, 1.0]])
}

/// The network's input: what lies outside the picture is the grey that it was trained with.
fn on_grey(rgb: &Array3<f32>, inside: &Array2<bool>) -> Array4<f32> {
    Array4::from_shape_fn((1, 3, CROP, CROP), |(_, c, y, x)| {
        if inside[[y, x]] { rgb[[y, x, c]] } else { 0.5 }
    })
}

/// Scores this far below the highest add less to a mean than rounding does, and most are.
const FAINTEST: f32 = -30.0;

/// Expected place under the softmax of a score map, and its spread.
fn spot(scores: ArrayView2<'_, f32>) -> Spot {
    let top = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let (rows, cols) = scores.dim();
    let (mut sum, mut sx, mut sy, mut sxx, mut syy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let near = scores
        .iter()
        .enumerate()
        .filter(|(_, v)| **v - top > FAINTEST);
    for (i, v) in near {
        let (r, c) = (i / cols, i % cols);
        let w = f64::from((v - top).exp());
        let (x, y) = (
            (c as f64 + 0.5) / cols as f64,
            (r as f64 + 0.5) / rows as f64,
        );
        sum += w;
        sx += w * x;
        sy += w * y;
        sxx += w * x * x;
        syy += w * y * y;
    }
    let (x, y) = (sx / sum, sy / sum);
    // Rounding may leave a little less than nothing.
    let spread = (sxx / sum - x * x + syy / sum - y * y).max(0.0).sqrt();
    Spot {
        at: Point::new(x, y),
        spread,
    }
}

/// Least probability of visible face for two opinions on compound to be compared there (likelier than not).
const ON_FACE: f32 = 0.5;

impl Look {
    /// What the network says that knows compound best: probability per cell.
    pub(crate) fn film(&self) -> Array2<f32> {
        network::film(self.crop.view()).mapv_into(sigmoid)
    }

    /// Takes that as the opinion on compound; the reader's stays as the second.
    pub(crate) fn set_compound(&mut self, film: Array2<f32>) {
        self.set_aside = Some(std::mem::replace(&mut self.compound, film));
    }

    /// Mean difference of the two opinions on compound over the visible face, 0 to 1; 0 where there is but one.
    pub(crate) fn opinions_apart(&self) -> f32 {
        let Some(second) = &self.set_aside else {
            return 0.0;
        };
        let (mut sum, mut n) = (0.0, 0.0_f32);
        Zip::from(&self.face)
            .and(&self.compound)
            .and(second)
            .for_each(|face, one, other| {
                if *face > ON_FACE {
                    sum += (one - other).abs();
                    n += 1.0;
                }
            });
        sum / n.max(1.0)
    }

    /// Strength of edges in the direction where they are weakest, over the contrast: see the module
    /// `sharpness`.
    pub(crate) fn sharpness(&self) -> f64 {
        sharpness(self.crop.index_axis(Axis(0), 0), &self.inside)
    }

    /// What the reader says of the crop turned end for end: a second opinion, which should be the same. One that holds only
    /// one way up counts half.
    pub(crate) fn when_turned(&self) -> Turned {
        let turned = self.crop.slice_each_axis(|axis| match axis.axis {
            Axis(2 | 3) => Slice::new(0, None, -1),
            _ => Slice::from(..),
        });
        let (tip_side, jaw) = network::read_tip_side_and_jaw(turned);
        Turned {
            tip: f64::from(softmax(&tip_side)[2]),
            jaw: f64::from(sigmoid(jaw)),
        }
    }

    /// The corners as this look saw them, full-size pixels; `None` where one was only guessed.
    pub(super) fn corners(&self) -> Option<Quad> {
        let seen = self.points[..4].iter().all(|s| s.spread < WIDEST_SPREAD);
        let quad = Quad([0, 1, 2, 3].map(|i| self.to_picture.map(self.points[i].at)));
        (seen && quad.is_convex_clockwise()).then_some(quad)
    }

    /// The middles of the tip and the base edge for the given corners. The bulge is measured against
    /// the seen corners, so that corners given a little off do not turn into a bulge.
    pub(super) fn middles(&self, corners: &Quad) -> [Point; 2] {
        let flat = |q: &Quad, s: f64| {
            Homography::between(&Quad::UNIT, q).map(|h| h.map(Point::new(0.5, s)))
        };
        let seen = Quad([0, 1, 2, 3].map(|i| self.to_picture.map(self.points[i].at)));
        // Points 4 and 6 are the middles of the crop's top and bottom edge.
        [(4, 0.0), (6, 1.0)].map(|(i, s)| {
            let chord = flat(corners, s).unwrap_or_else(|| corners.centre());
            let middle = self.to_picture.map(self.points[i].at);
            match flat(&seen, s) {
                Some(own) if self.points[i].spread < WIDEST_SPREAD => {
                    Point::new(chord.x + middle.x - own.x, chord.y + middle.y - own.y)
                }
                _ => chord,
            }
        })
    }

    /// Probability that the outline overlaps the true face by 0.8 or more, from the spread of the
    /// least certain corner: a logistic curve through the shares found on held-out rendered photos
    /// (half of the outlines right at a spread of 0.092 of the crop's side, nearly all at 0.07).
    pub(crate) fn outline_confidence(&self) -> f64 {
        let widest = self.points[..4]
            .iter()
            .map(|s| s.spread)
            .fold(0.0, f64::max);
        (1.0 / (1.0 + ((widest - 0.092) / 0.006).exp())).clamp(0.02, 0.99)
    }

    /// Probability of visible face, of compound, and of compound by the second opinion, at a picture point (full-size
    /// pixels); `None` outside the crop.
    pub(crate) fn at(&self, p: Point) -> Option<[f32; 3]> {
        let q = self.to_crop.map(p);
        let side = (CROP / READER_STRIDE) as f64;
        let (x, y) = (q.x * side - 0.5, q.y * side - 0.5);
        let last = side - 1.0;
        // Values stand for the cells' middles; the outer half of an outermost cell still belongs to it. NaN
        // lies outside.
        if !(x >= -0.5 && y >= -0.5 && x <= last + 0.5 && y <= last + 0.5) {
            return None;
        }
        let (x, y) = (x.clamp(0.0, last), y.clamp(0.0, last));
        let second = self.set_aside.as_ref().unwrap_or(&self.compound);
        Some([&self.face, &self.compound, second].map(|map| bilinear(map, x, y)))
    }
}

fn bilinear(map: &Array2<f32>, x: f64, y: f64) -> f32 {
    let (c0, r0) = (x as usize, y as usize);
    let (c1, r1) = ((c0 + 1).min(map.ncols() - 1), (r0 + 1).min(map.nrows() - 1));
    let (fx, fy) = (x.fract() as f32, y.fract() as f32);
    let top = map[[r0, c0]] * (1.0 - fx) + map[[r0, c1]] * fx;
    let bottom = map[[r1, c0]] * (1.0 - fx) + map[[r1, c1]] * fx;
    top * (1.0 - fy) + bottom * fy
}
