//! Whether given corners can outline a face at all.

use crate::reading::geometry::{Point, Quad};

/// How far outside the picture a corner may lie, as a share of the picture's longer side. A face that
/// runs out of the picture is for the reading to refuse; further off, the numbers are not this photo's.
const MARGIN: f64 = 0.25;

/// Smallest outline that is taken seriously, as a share of the picture's area: 40 by 30 px of 12 Mpx.
const SMALLEST_AREA: f64 = 1e-4;

/// Four `x,y` pairs. Only the spelling is judged here: whether they outline a face is said per photo.
pub(crate) fn parse_corners(text: &str) -> Result<Quad, String> {
    let points: Vec<Point> = text
        .split_whitespace()
        .map(parse_point)
        .collect::<Result<_, _>>()?;
    let count = points.len();
    <[Point; 4]>::try_from(points).map(Quad).map_err(|_| {
        format!("{count} corners where four are needed; write \"x,y x,y x,y x,y\" in pixels")
    })
}

fn parse_point(text: &str) -> Result<Point, String> {
    let remedy = || format!("“{text}” is no corner; write x,y in pixels, for example 812.5,1440");
    let (x, y) = text.split_once(',').ok_or_else(remedy)?;
    let number = |t: &str| t.parse::<f64>().map_err(|_| remedy());
    Ok(Point {
        x: number(x)?,
        y: number(y)?,
    })
}

/// Why four corners are no face. Every message says what to type instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum CornersError {
    #[error("--corners holds a value that is no number; give four corners as x,y in pixels")]
    NotANumber,
    #[error(
        "--corners ({x},{y}) lies outside the picture, which is {width} by {height} px upright; \
         give the corners in pixels of the upright photo at full size"
    )]
    Outside {
        x: String,
        y: String,
        width: u32,
        height: u32,
    },
    #[error(
        "--corners enclose next to nothing; give the four corners of the face: tip-left, tip-right, \
         base-right, base-left"
    )]
    NoArea,
    #[error(
        "--corners cross over, bend inwards or lie on one line; go round the face: tip-left, tip-right, base-right, \
         base-left"
    )]
    NotConvex,
    #[error(
        "--corners run the wrong way round (left and right are swapped); as seen with the tip up: \
         tip-left, tip-right, base-right, base-left"
    )]
    Mirrored,
}

/// Accepts corners that outline a convex patch of the picture in the agreed order.
///
/// `size_px` is the upright photo's width and height at full size.
pub(crate) fn check(corners: &Quad, size_px: [u32; 2]) -> Result<(), CornersError> {
    if corners
        .0
        .iter()
        .any(|p| !p.x.is_finite() || !p.y.is_finite())
    {
        return Err(CornersError::NotANumber);
    }
    inside(corners, size_px)?;
    let [width, height] = size_px.map(f64::from);
    if corners.length_px() * corners.width_px() < SMALLEST_AREA * width * height {
        return Err(CornersError::NoArea);
    }
    if corners.is_convex_clockwise() {
        return Ok(());
    }
    let [a, b, c, d] = corners.0;
    let reversed = Quad([b, a, d, c]);
    let mirrored = reversed.is_convex_clockwise();
    Err(if mirrored {
        CornersError::Mirrored
    } else {
        CornersError::NotConvex
    })
}

fn inside(corners: &Quad, size_px: [u32; 2]) -> Result<(), CornersError> {
    let [width, height] = size_px.map(f64::from);
    let margin = MARGIN * width.max(height);
    let out = |p: &&Point| {
        p.x < -margin || p.y < -margin || p.x > width + margin || p.y > height + margin
    };
    match corners.0.iter().find(out) {
        None => Ok(()),
        Some(point) => Err(CornersError::Outside {
            x: shown(point.x),
            y: shown(point.y),
            width: size_px[0],
            height: size_px[1],
        }),
    }
}

/// In pixels; a number that is no photo's is not written out in hundreds of digits.
fn shown(pixels: f64) -> String {
    if pixels.abs() < 1e7 {
        format!("{pixels:.0}")
    } else {
        format!("{pixels:.0e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quad(c: [(f64, f64); 4]) -> Quad {
        Quad(c.map(|(x, y)| Point { x, y }))
    }

    const SIZE: [u32; 2] = [1000, 2000];

    #[test]
    fn a_face_with_its_tip_in_any_direction_is_accepted() {
        let corners = [
            (100.0, 100.0),
            (900.0, 120.0),
            (880.0, 1800.0),
            (90.0, 1790.0),
        ];
        for turn in 0..4 {
            let mut turned = corners;
            turned.rotate_left(turn);
            assert_eq!(check(&quad(turned), SIZE), Ok(()));
        }
    }

    #[test]
    fn a_corner_just_past_the_border_is_accepted_and_one_far_off_is_not() {
        let mut corners = [
            (-450.0, 100.0),
            (900.0, 120.0),
            (880.0, 1800.0),
            (90.0, 1790.0),
        ];
        assert_eq!(check(&quad(corners), SIZE), Ok(()));
        corners[0].0 = -550.0;
        let error = check(&quad(corners), SIZE).expect_err("far outside");
        assert!(error.to_string().contains("(-550,100)"), "{error}");
        assert!(error.to_string().contains("1000 by 2000"), "{error}");
        corners[0].0 = -1e308;
        let error = check(&quad(corners), SIZE).expect_err("far outside");
        assert!(error.to_string().contains("(-1e308,100)"), "{error}");
    }

    #[test]
    fn corners_that_outline_nothing_are_refused_by_name() {
        let square = [
            (100.0, 100.0),
            (900.0, 100.0),
            (900.0, 900.0),
            (100.0, 900.0),
        ];
        let mut nan = square;
        nan[2].1 = f64::NAN;
        assert_eq!(check(&quad(nan), SIZE), Err(CornersError::NotANumber));
        let crossed = [square[0], square[2], square[1], square[3]];
        assert_eq!(check(&quad(crossed), SIZE), Err(CornersError::NotConvex));
        let dented = [square[0], square[1], (200.0, 200.0), square[3]];
        assert_eq!(check(&quad(dented), SIZE), Err(CornersError::NotConvex));
        let mirrored = [square[1], square[0], square[3], square[2]];
        assert_eq!(check(&quad(mirrored), SIZE), Err(CornersError::Mirrored));
        assert_eq!(
            check(&quad([(5.0, 5.0); 4]), SIZE),
            Err(CornersError::NoArea)
        );
    }
}
