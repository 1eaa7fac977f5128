//! Points, four-cornered outlines and the plane projective map between them.

/// A point in picture coordinates: x to the right, y down, in pixels of the upright photo at full
/// size unless a name says otherwise; pixel centres lie at half-integers.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(into = "[f64; 2]")]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl From<Point> for [f64; 2] {
    fn from(p: Point) -> Self {
        [p.x, p.y]
    }
}

impl Point {
    /// A point from its coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point a share `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        Self::new(
            self.x + (other.x - self.x) * t,
            self.y + (other.y - self.y) * t,
        )
    }

    /// Both coordinates times `k`: from full size to working size and back.
    #[must_use]
    pub fn scaled(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }

    /// Euclidean distance.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// Twice the signed area of the triangle; positive when `a → b → c` turns clockwise on the screen.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Four corners in the order tip-left, tip-right, base-right, base-left, as seen with the tip up.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(transparent)]
pub struct Quad(pub [Point; 4]);

impl Quad {
    /// The unit square, tip edge on top.
    pub const UNIT: Self = Self([
        Point::new(0.0, 0.0),
        Point::new(1.0, 0.0),
        Point::new(1.0, 1.0),
        Point::new(0.0, 1.0),
    ]);

    /// Signed area; positive for corners that run clockwise on the screen, as [`Quad`] wants them.
    pub fn signed_area(&self) -> f64 {
        polygon_area(&self.0)
    }

    /// Whether every corner turns clockwise on the screen: convex, not crossed, not mirrored.
    pub fn is_convex_clockwise(&self) -> bool {
        let p = &self.0;
        (0..4).all(|i| turn(p[i], p[(i + 1) % 4], p[(i + 2) % 4]) > 0.0)
    }

    /// The mean of the corners.
    pub fn centre(&self) -> Point {
        let sum = self.0.iter().fold(Point::new(0.0, 0.0), |s, p| {
            Point::new(s.x + p.x, s.y + p.y)
        });
        sum.scaled(0.25)
    }

    /// Mean length of the two flanks: tip to base.
    pub fn length_px(&self) -> f64 {
        f64::midpoint(self.0[0].distance(self.0[3]), self.0[1].distance(self.0[2]))
    }

    /// Mean length of the tip and the base edge.
    pub fn width_px(&self) -> f64 {
        f64::midpoint(self.0[0].distance(self.0[1]), self.0[3].distance(self.0[2]))
    }

    /// All corners times `k`.
    #[must_use]
    pub fn scaled(&self, k: f64) -> Self {
        Self(self.0.map(|p| p.scaled(k)))
    }

    /// The same outline with another side called the tip: `k` counts sides clockwise.
    #[must_use]
    pub fn with_tip_side(&self, k: usize) -> Self {
        Self([0, 1, 2, 3].map(|i| self.0[(i + k) % 4]))
    }

    /// From the middle of the base edge to the middle of the tip edge.
    pub fn tipward(&self) -> [f64; 2] {
        let tip = self.0[0].towards(self.0[1], 0.5);
        let base = self.0[3].towards(self.0[2], 0.5);
        [tip.x - base.x, tip.y - base.y]
    }

    /// Area shared with `other` over the area covered by either, 0 to 1; both convex.
    pub fn overlap(&self, other: &Self) -> f64 {
        let shared = clip(&self.0, &other.0);
        let both = polygon_area(&shared).abs();
        let either = self.signed_area().abs() + other.signed_area().abs() - both;
        if either > 0.0 { both / either } else { 0.0 }
    }

    /// Share of the outline's area that lies inside a picture of the given size, 0 to 1.
    pub fn share_inside(&self, width: f64, height: f64) -> f64 {
        let frame = [
            Point::new(0.0, 0.0),
            Point::new(width, 0.0),
            Point::new(width, height),
            Point::new(0.0, height),
        ];
        let area = self.signed_area().abs();
        if area > 0.0 {
            polygon_area(&clip(&self.0, &frame)).abs() / area
        } else {
            0.0
        }
    }
}

/// Shoelace formula; positive when the corners run clockwise on the screen.
fn polygon_area(p: &[Point]) -> f64 {
    let n = p.len();
    (0..n)
        .map(|i| p[i].x * p[(i + 1) % n].y - p[(i + 1) % n].x * p[i].y)
        .sum::<f64>()
        / 2.0
}

/// The part of polygon `subject` inside the convex polygon `window` (Sutherland & Hodgman,
/// Commun. ACM 17(1):32–42, 1974).
fn clip(subject: &[Point], window: &[Point]) -> Vec<Point> {
    let side = polygon_area(window).signum();
    let mut out = subject.to_vec();
    for i in 0..window.len() {
        let (a, b) = (window[i], window[(i + 1) % window.len()]);
        let inside = |p: Point| turn(a, b, p) * side >= 0.0;
        let input = std::mem::take(&mut out);
        for (k, &p) in input.iter().enumerate() {
            let q = input[(k + 1) % input.len()];
            if inside(p) {
                out.push(p);
            }
            if inside(p) != inside(q) {
                let (dp, dq) = (turn(a, b, p), turn(a, b, q));
                out.push(p.towards(q, dp / (dp - dq)));
            }
        }
    }
    out
}

/// A plane projective map, row by row, scaled so that the last entry is 1 where that is possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography(pub [[f64; 3]; 3]);

impl Homography {
    /// The map that takes each point of `from` to its partner in `to`; `None` where three points lie
    /// on a line. Normalised direct linear transform (Hartley & Zisserman, Multiple View Geometry,
    /// 2nd ed., Alg. 4.2), exact for four pairs.
    pub fn between(from: &Quad, to: &Quad) -> Option<Self> {
        let (a, b) = (normalisation(from)?, normalisation(to)?);
        let src = from.0.map(|p| a.map(p));
        let dst = to.0.map(|p| b.map(p));
        let raw = Self(solve_pairs(&src, &dst)?);
        // Three of `to` on a line leave the equations solvable, but the map flattens the plane.
        if raw.determinant().abs() < 1e-10 {
            return None;
        }
        Some(a.then(&raw).then(&b.inverse()?).unit())
    }

    /// Where the map takes `p`; infinite or NaN on the horizon.
    pub fn map(&self, p: Point) -> Point {
        let w = self.weight(p);
        let m = &self.0;
        Point::new(
            (m[0][0] * p.x + m[0][1] * p.y + m[0][2]) / w,
            (m[1][0] * p.x + m[1][1] * p.y + m[1][2]) / w,
        )
    }

    /// The homogeneous weight at `p`: proportional to the distance from the camera plane.
    pub fn weight(&self, p: Point) -> f64 {
        let m = &self.0[2];
        m[0] * p.x + m[1] * p.y + m[2]
    }

    /// First `self`, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let (a, b) = (&next.0, &self.0);
        let entry = |r: usize, c: usize| (0..3).map(|k| a[r][k] * b[k][c]).sum();
        Self([0, 1, 2].map(|r| [0, 1, 2].map(|c| entry(r, c))))
    }

    /// The reverse map; `None` where the map flattens the plane.
    pub fn inverse(&self) -> Option<Self> {
        let det = self.determinant();
        if !det.is_finite() || det.abs() < 1e-300 {
            return None;
        }
        Some(Self([0, 1, 2].map(|r| [0, 1, 2].map(|c| self.cofactor(c, r) / det))).unit())
    }

    fn determinant(&self) -> f64 {
        (0..3).map(|c| self.0[0][c] * self.cofactor(0, c)).sum()
    }

    fn cofactor(&self, r: usize, c: usize) -> f64 {
        let m = &self.0;
        let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    }

    fn unit(self) -> Self {
        let k = self.0[2][2];
        if k.abs() < 1e-12 {
            self
        } else {
            Self(self.0.map(|row| row.map(|v| v / k)))
        }
    }
}

/// Moves the centroid to the origin and the mean distance to √2.
fn normalisation(q: &Quad) -> Option<Homography> {
    let c = q.centre();
    let mean = q.0.iter().map(|p| p.distance(c)).sum::<f64>() / 4.0;
    let k = std::f64::consts::SQRT_2 / mean;
    k.is_finite().then_some(Homography([
        [k, 0.0, -k * c.x],
        [0.0, k, -k * c.y],
        [0.0, 0.0, 1.0],
    ]))
}

/// Solves the eight equations of four point pairs. Four pairs need no library: imageproc's
/// `Projection` works in `f32`, whose rounding shows in the fourth digit of reference values.
fn solve_pairs(src: &[Point; 4], dst: &[Point; 4]) -> Option<[[f64; 3]; 3]> {
    let mut a = [[0.0; 9]; 8];
    for (i, (s, d)) in src.iter().zip(dst).enumerate() {
        a[2 * i] = [s.x, s.y, 1.0, 0.0, 0.0, 0.0, -d.x * s.x, -d.x * s.y, d.x];
        a[2 * i + 1] = [0.0, 0.0, 0.0, s.x, s.y, 1.0, -d.y * s.x, -d.y * s.y, d.y];
    }
    let h = eliminate(&mut a)?;
    Some([[h[0], h[1], h[2]], [h[3], h[4], h[5]], [h[6], h[7], 1.0]])
}

/// Gauss–Jordan elimination with partial pivoting.
fn eliminate(a: &mut [[f64; 9]; 8]) -> Option<[f64; 8]> {
    for col in 0..8 {
        let best = (col..8).max_by(|&i, &j| a[i][col].abs().total_cmp(&a[j][col].abs()))?;
        a.swap(col, best);
        let pivot = a[col];
        // Coordinates are normalised to about 1, so a pivot this small means three points in line.
        if pivot[col].is_nan() || pivot[col].abs() <= 1e-10 {
            return None;
        }
        for row in (0..8).filter(|&r| r != col) {
            let k = a[row][col] / pivot[col];
            for c in col..9 {
                a[row][c] -= k * pivot[c];
            }
        }
    }
    Some(std::array::from_fn(|i| a[i][8] / a[i][i]))
}
