//! What was said of a filed photo, so that it can be read again as it was read.

use serde::{Deserialize, Serialize};

use super::FiledReading;
use crate::reading::face::{FoundBy, TipDirection};
use crate::reading::geometry::{Point, Quad};
use crate::reading::inspect::{Inspection, Request};
use crate::reading::method::Method;

/// Under which name [`Said`] stands in [`FiledReading::detail`].
pub(crate) const SAID: &str = "said";

/// What the user said of one photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Said {
    /// Where the tip points.
    pub(crate) tip: Option<TipDirection>,
    /// Full-size upright pixels in the order of [`Quad`], not rounded.
    pub(crate) corners_px: Option<[[f64; 2]; 4]>,
}

impl Said {
    pub(crate) fn of(inspection: &Inspection) -> Self {
        let said = &inspection.request;
        Self {
            tip: said.tip,
            corners_px: said.corners.map(|c| c.0.map(|p| [p.x, p.y])),
        }
    }
}

impl FiledReading {
    /// How its photo was read. A photo that was filed before what was said was kept: with its corners where they were
    /// given, and with the tip that was read.
    pub(crate) fn request(&self, method: Method) -> Request {
        let said = self.said().unwrap_or_else(|| Said {
            tip: self.tip_read(),
            corners_px: self
                .corners_read()
                .filter(|_| self.found_by() == Some(FoundBy::Given)),
        });
        Request {
            method,
            tip: said.tip,
            corners: said.corners_px.map(quad),
        }
    }

    /// `None` of a photo that was filed before this was kept.
    pub(crate) fn said(&self) -> Option<Said> {
        Said::deserialize(self.detail.get(SAID)?).ok()
    }

    /// The number of its jaw that it was filed with.
    pub(crate) fn jaw(&self) -> Option<u8> {
        u8::try_from(self.detail.get("jaw")?.as_u64()?).ok()
    }

    /// Where the tip points by the corners that were read, whoever found them. `None` where no face was found.
    pub(crate) fn tip_read(&self) -> Option<TipDirection> {
        let [tip_left, tip_right, base_right, base_left] = self.corners_read()?;
        // From the base's corners toward the tip's.
        let toward = |axis| tip_left[axis] + tip_right[axis] - base_right[axis] - base_left[axis];
        Some(TipDirection::nearest([toward(0), toward(1)]))
    }

    /// Full-size upright pixels in the order of [`Quad`], rounded. `None` where no face was found.
    pub(crate) fn corners_read(&self) -> Option<[[f64; 2]; 4]> {
        Deserialize::deserialize(self.detail.get("face")?.get("corners_px")?).ok()
    }

    /// How the face was found.
    pub(crate) fn found_by(&self) -> Option<FoundBy> {
        Deserialize::deserialize(self.detail.get("face")?.get("found_by")?).ok()
    }
}

fn quad(corners: [[f64; 2]; 4]) -> Quad {
    Quad(corners.map(|[x, y]| Point::new(x, y)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::pattern::Pattern;

    /// A face 60 px wide and 100 px long, turned about the middle of the picture.
    fn turned(tip: [f64; 2]) -> Option<TipDirection> {
        let across = [-tip[1], tip[0]];
        let corner = |along: f64, side: f64| {
            [0, 1].map(|axis| 500.0 + 50.0 * along * tip[axis] + 30.0 * side * across[axis])
        };
        let corners = [
            corner(1.0, -1.0),
            corner(1.0, 1.0),
            corner(-1.0, 1.0),
            corner(-1.0, -1.0),
        ];
        (FiledReading {
            sha256: String::new(),
            file: String::new(),
            taken: None,
            phone: None,
            pattern: Pattern::TipOnly,
            confidence: 1.0,
            refusal: None,
            seen: None,
            detail: serde_json::json!({"face": {"corners_px": corners}}),
        })
        .tip_read()
    }

    #[test]
    fn the_tip_is_where_the_first_two_corners_are() {
        for tip in [
            TipDirection::Up,
            TipDirection::Down,
            TipDirection::Left,
            TipDirection::Right,
        ] {
            assert_eq!(turned(tip.vector()), Some(tip));
        }
    }
}
