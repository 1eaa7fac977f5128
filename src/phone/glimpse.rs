//! What a live view of the camera shows before the photo is taken, and how to hold the phone: by the code that reads the photo,
//! so that a photo it has nothing against is one that can be judged.
//!
//! Nothing of the pattern is said here: where somebody calls first, the camera must not tell.

use serde::Serialize;

use crate::reading::face::{Face, TipDirection};
use crate::reading::inspect::Request;
use crate::reading::read::inspect_bytes;
use crate::reading::refusal::Reason;

/// One frame of the live view, looked at.
#[derive(Debug, Serialize)]
pub(super) struct Glimpse {
    /// What is to be done, or that the photo can be taken; one or two short sentences for arm's length.
    pub(super) words: String,
    /// The photo can be taken as it is now.
    pub(super) ready: bool,
    /// The face's corners, tip-left, tip-right, base-right, base-left, as fractions of the frame's width and height.
    pub(super) corners: Option<[[f64; 2]; 4]>,
}

impl Glimpse {
    /// Of a frame's bytes, read as the jaw's photo would be.
    pub(super) fn of(frame: &[u8], request: &Request) -> Self {
        let Ok(inspection) = inspect_bytes(frame, request) else {
            return Self::wait("The camera gives no picture yet.", None);
        };
        let reading = &inspection.reading;
        let [width, height] = inspection.photo.size_px.map(f64::from);
        let share = |face: &Face| face.corners.0.map(|p| [p.x / width, p.y / height]);
        let corners = reading.face.as_ref().map(share);
        let refusal = reading.refusal.as_ref();
        if let Some(words) = refusal.and_then(|r| what_to_do(r.reason)) {
            return Self::wait(words, corners);
        }
        let Some(face) = &reading.face else {
            return Self::wait(NO_FACE, corners);
        };
        if inspection.may_be_cut_off() {
            return Self::wait("The face reaches the border. Step back.", corners);
        }
        if reading.tip_contradicted && !reading.tip_unsaid {
            return Self::wait(
                "The tip seems to be at the other end than was said: turn the phone, or say so afterwards.",
                corners,
            );
        }
        let tip = if reading.tip_unsaid {
            "which end is the tip is to be said afterwards".to_owned()
        } else {
            format!("its tip {}", pointing(face.tip_direction()))
        };
        Self {
            words: format!("Hold still and take it. The whole face is in view, {tip}."),
            ready: true,
            corners,
        }
    }

    fn wait(words: &str, corners: Option<[[f64; 2]; 4]>) -> Self {
        Self {
            words: words.to_owned(),
            ready: false,
            corners,
        }
    }
}

const NO_FACE: &str = "No gripping face is seen. One jaw, square on, filling half of the picture.";

/// What the camera can help; `None` for what is a matter of the jaw and not of the shot.
fn what_to_do(reason: Reason) -> Option<&'static str> {
    match reason {
        Reason::Blurred => Some("Blurred. Rest the phone on something, and tap the face to focus."),
        Reason::Dark => Some("Too dark. Bring a diffuse light to the jaw."),
        Reason::BurntOut => Some("Burnt out. Move the lamp away."),
        Reason::Glare => Some("Glare. Shade the lamp, or move a little to the side."),
        Reason::NoFace => Some(NO_FACE),
        Reason::Hidden => Some("Something covers the face. Clear it away."),
        Reason::OutOfPicture => Some("Part of the face is outside. Step back."),
        Reason::TooSmall => Some("Too far. Go closer until the face fills half of the picture."),
        Reason::NoSeam | Reason::Smeared | Reason::TooAlike | Reason::Unclear => None,
    }
}

fn pointing(tip: TipDirection) -> &'static str {
    match tip {
        TipDirection::Up => "at the top",
        TipDirection::Down => "at the bottom",
        TipDirection::Left => "on the left",
        TipDirection::Right => "on the right",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::io::Cursor;
    use std::path::Path;

    fn sample(name: &str) -> Vec<u8> {
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
        std::fs::read(samples.join(name)).unwrap()
    }

    fn of(frame: &[u8], tip: TipDirection) -> Glimpse {
        let request = Request {
            tip: Some(tip),
            ..Request::default()
        };
        Glimpse::of(frame, &request)
    }

    #[test]
    fn a_face_that_can_be_judged_is_ready_and_lies_in_the_frame() {
        let seen = of(&sample("heron-too-much-taper/jaw1.jpg"), TipDirection::Up);
        assert!(seen.ready, "{}", seen.words);
        assert!(seen.words.contains("its tip at the top"), "{}", seen.words);
        let corners = seen.corners.unwrap();
        let inside = |c: &f64| (0.0..=1.0).contains(c);
        assert!(corners.as_flattened().iter().all(inside), "{corners:?}");
    }

    #[test]
    fn what_the_camera_can_help_is_said_and_what_it_cannot_is_not() {
        let dim = image::load_from_memory(&sample("heron-too-much-taper/jaw1.jpg")).unwrap();
        let mut dim = dim.into_rgb8();
        for value in dim.iter_mut() {
            *value /= 32;
        }
        let mut jpeg = Cursor::new(Vec::new());
        dim.write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
        let seen = of(jpeg.get_ref(), TipDirection::Up);
        assert!(!seen.ready, "{}", seen.words);
        // Smeared compound is no fault of the shot, and would tell of the reading.
        let smeared = of(&sample("singles/refused-smeared.jpg"), TipDirection::Down);
        assert!(smeared.ready, "{}", smeared.words);
    }

    #[test]
    fn a_tip_at_the_other_end_is_told_before_the_photo() {
        let seen = of(&sample("heron-too-much-taper/jaw1.jpg"), TipDirection::Down);
        assert!(
            !seen.ready && seen.words.contains("other end"),
            "{}",
            seen.words
        );
    }

    #[test]
    fn what_is_no_picture_is_waited_for() {
        let seen = Glimpse::of(b"", &Request::default());
        assert!(!seen.ready && seen.corners.is_none());
    }
}
