//! Faces of which a part cannot be seen: burnt out, or outside of the picture. The corners are the renderer's,
//! so that it is known which part that is; that nothing may be said of what was not seen is common practice.

use image::{Rgb, RgbImage};
use seepline::{Inspection, Pattern, Point, Quad, Reason, Request, UprightPhoto, inspect};

use super::compare::{change, cuts_nothing};
use super::samples::{Sample, readable};
use super::transforms::with_pixels;

pub(super) const TOLD_BY_ENDS: [Pattern; 3] =
    [Pattern::FullLength, Pattern::TipOnly, Pattern::BaseOnly];

pub(super) fn told_by_its_ends() -> impl Iterator<Item = &'static Sample> {
    readable().filter(|s| s.truth.pattern.is_some_and(|p| TOLD_BY_ENDS.contains(&p)))
}

/// Between two shares of the length from tip to base.
pub(super) fn part(face: &Quad, from: f64, to: f64) -> Quad {
    let [tip_left, tip_right, base_right, base_left] = face.0;
    let on = |a: Point, b: Point, t: f64| Point::new(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y));
    Quad([
        on(tip_left, base_left, from),
        on(tip_right, base_right, from),
        on(tip_right, base_right, to),
        on(tip_left, base_left, to),
    ])
}

/// Light so strong that nothing is left of the metal there.
pub(super) fn burnt(photo: &UprightPhoto, place: &Quad) -> UprightPhoto {
    let scale = photo.scale();
    let corners = place
        .0
        .map(|p| imageproc::point::Point::new((p.x * scale) as i32, (p.y * scale) as i32));
    let mut pixels: RgbImage = photo.pixels.clone();
    imageproc::drawing::draw_polygon_mut(&mut pixels, &corners, Rgb([255; 3]));
    with_pixels(photo, pixels)
}

pub(super) fn read(sample: &Sample, photo: UprightPhoto, corners: Quad) -> Inspection {
    let request = Request {
        corners: Some(corners),
        ..sample.request()
    };
    inspect(photo, &request)
}

#[test]
fn an_end_that_is_burnt_out_is_no_evidence() {
    let mut tried = 0;
    for sample in told_by_its_ends() {
        let face = sample.truth.corners().expect("corners");
        for (from, to) in [(0.0, 0.34), (0.66, 1.0), (0.0, 0.2), (0.8, 1.0)] {
            let photo = burnt(&sample.inspection.photo, &part(&face, from, to));
            let reading = read(sample, photo, face).reading;
            let name = sample.name();
            let told = TOLD_BY_ENDS.contains(&reading.pattern);
            assert!(!told, "{name}, {from} to {to}: {reading:?}");
            assert_eq!(change(vec![&reading; 3]), None, "{name}");
            tried += 1;
        }
    }
    assert!(tried >= 20, "{tried}");
}

#[test]
fn given_corners_that_leave_the_picture_are_refused_as_that() {
    for sample in told_by_its_ends().take(4) {
        let face = sample.truth.corners().expect("corners");
        let [width, height] = sample.inspection.photo.size_px.map(f64::from);
        let off = face.0.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        // A quarter of the face's width beyond the left border.
        let across = face.0.iter().map(|p| p.x).fold(0.0, f64::max) - off;
        let moved = Quad(face.0.map(|p| Point::new(p.x - off - across / 4.0, p.y)));
        assert!(moved.share_inside(width, height) < 0.93);
        let reading = read(sample, sample.inspection.photo.clone(), moved).reading;
        let reason = reading.refusal.map(|r| r.reason);
        assert_eq!(reason, Some(Reason::OutOfPicture), "{}", sample.name());
    }
}

/// Both were said by the user, and only one can be right. It matters to patterns that are another one from the
/// other end.
#[test]
fn corners_and_tip_that_contradict_each_other_change_nothing() {
    let mut contradicted = 0;
    for sample in told_by_its_ends() {
        let face = sample.truth.corners().expect("corners");
        let photo = || sample.inspection.photo.clone();
        let turned = read(sample, photo(), face.with_tip_side(2)).reading;
        let matters = matches!(turned.pattern, Pattern::TipOnly | Pattern::BaseOnly);
        assert!(turned.tip_contradicted || !matters, "{}", sample.name());
        contradicted += usize::from(matters);
        assert!(cuts_nothing(&turned), "{}", sample.name());
        let agreeing = read(sample, photo(), face).reading;
        let said = |w: &String| w.contains("the corners begin at the other end");
        assert!(!agreeing.warnings.iter().any(said), "{}", sample.name());
    }
    assert!(contradicted > 0, "nothing was tried");
}

/// The picture, cut so that so much of the face's size is left around it; negative: cut through the face.
fn with_room(sample: &Sample, share: f64) -> UprightPhoto {
    let photo = &sample.inspection.photo;
    let face = sample.truth.corners().expect("corners");
    let room = share * face.signed_area().abs().sqrt();
    let ends = |of: fn(&Point) -> f64, most: u32| {
        let all: Vec<f64> = face.0.iter().map(of).collect();
        let low = all.iter().copied().fold(f64::INFINITY, f64::min) - room;
        let high = all.iter().copied().fold(0.0, f64::max) + room;
        let in_picture = |v: f64| ((v * photo.scale()).max(0.0) as u32).min(most);
        (in_picture(low), in_picture(high))
    };
    let (width, height) = photo.pixels.dimensions();
    let (left, right) = ends(|p| p.x, width);
    let (top, bottom) = ends(|p| p.y, height);
    let cut = image::imageops::crop_imm(&photo.pixels, left, top, right - left, bottom - top);
    with_pixels(photo, cut.to_image())
}

/// Cut off there it might show another pattern than it does; found by trying, as there is no photo of it (common practice).
#[test]
fn a_face_that_reaches_to_the_border_of_the_picture_changes_nothing() {
    let (mut near, mut named) = (0, 0);
    for sample in told_by_its_ends() {
        for share in [0.05, -0.05] {
            let inspection = inspect(with_room(sample, share), &sample.request());
            let reading = &inspection.reading;
            let refused = reading.refusal.as_ref().map(|r| r.reason);
            near +=
                usize::from(inspection.may_be_cut_off() || refused == Some(Reason::OutOfPicture));
            named += usize::from(inspection.may_be_cut_off() && refused.is_none());
            if inspection.may_be_cut_off() {
                let name = sample.name();
                assert!(reading.confidence <= 0.7, "{name}, {share}: {reading:?}");
                assert_eq!(change(vec![reading; 3]), None, "{name}, {share}");
            }
        }
    }
    assert!(near >= 6 && named >= 2, "{near}, {named}");
}
