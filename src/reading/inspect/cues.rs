//! What a photo says of its face beside the map of compound: whether it can be trusted, and where the tip is.

use super::Request;
use super::limits;
use crate::reading::face::{
    Border, Face, FoundBy, Look, TipDirection, Turned, compound_beyond_base, may_be_cut_off,
};
use crate::reading::method::Method;
use crate::reading::photo::UprightPhoto;

/// Probabilities are 0 to 1.
#[derive(Debug, Clone, Copy)]
pub struct Cues {
    /// In the order of `network::Quality`.
    pub(super) quality: [f64; 7],
    /// That this is the gripping face of a jaw.
    pub(super) jaw: f64,
    /// The same, of the crop turned end for end, where the face was searched; a person who gives the corners has seen a jaw.
    pub(super) jaw_when_turned: Option<f64>,
    /// That compound and metal are too alike.
    pub(super) alike: f64,
    /// That a seam was painted.
    pub(super) seam: f64,
    /// That the reader sees the outline: asked also where the corners were given.
    pub(super) outline_seen: f64,
    /// That the outline is the face's: [`Face::confidence`].
    pub(super) outline: f64,
    /// See [`Look::sharpness`].
    pub(super) sharpness: f64,
    /// See [`Face::unlike_ends`].
    pub(super) unlike_ends: f64,
    /// See [`Look::opinions_apart`].
    pub(super) opinions_apart: f32,
    /// See [`compound_beyond_base`]; 0 where the corners were given.
    pub(super) beyond_base: f32,
    /// See [`may_be_cut_off`]; not where the corners were given.
    pub(super) cut_off: bool,
    /// Why the tip may lie elsewhere, where it may.
    pub(super) tip: Option<TipDoubt>,
    /// What the border says, where it was asked.
    pub(super) border: Option<Border>,
}

/// Why the tip may lie elsewhere.
#[derive(Debug, Clone, Copy)]
pub(super) struct TipDoubt {
    /// For whoever said it, or did not.
    pub(super) words: &'static str,
    /// Nobody said where it is.
    pub(super) unsaid: bool,
    /// Probability that it is where it was taken to be; 1 where somebody said it, whose word is not weighed.
    pub(super) support: f64,
}

impl Cues {
    pub(super) fn of(
        photo: &UprightPhoto,
        face: &Face,
        look: &Look,
        turned: Turned,
        request: &Request,
    ) -> Self {
        let searched = face.found_by == FoundBy::Search;
        Self {
            quality: look.quality,
            jaw: look.jaw,
            jaw_when_turned: searched.then_some(turned.jaw),
            alike: look.alike,
            seam: look.seam,
            outline_seen: look.outline_confidence(),
            outline: face.confidence,
            sharpness: look.sharpness(),
            unlike_ends: face.unlike_ends(),
            opinions_apart: look.opinions_apart(),
            beyond_base: if searched {
                compound_beyond_base(look, &face.corners)
            } else {
                0.0
            },
            cut_off: searched && may_be_cut_off(photo, &face.corners),
            tip: TipDoubt::of(face, request),
            border: None,
        }
    }
}

fn is_named(request: &Request) -> bool {
    // The corners begin at the tip, so they name it too.
    request.tip.is_some() || request.corners.is_some()
}

impl TipDoubt {
    /// A film print has no painted seam to tell the tip by, so there the picture alone never settles it.
    fn of(face: &Face, request: &Request) -> Option<Self> {
        if is_named(request) {
            return of_named(face, request).map(|words| Self {
                words,
                unsaid: false,
                support: 1.0,
            });
        }
        of_unnamed(face, request).map(|words| Self {
            words,
            unsaid: true,
            support: face.tip_support,
        })
    }
}

fn of_named(face: &Face, request: &Request) -> Option<&'static str> {
    if request.tip.is_some_and(|tip| face.is_turned_from(tip)) {
        return Some(
            "the corners begin at the other end than the tip that was named: begin them at the tip's left, or say where it points with --tip",
        );
    }
    let contradicted = face.tip_support < limits::LEAST_TIP_SUPPORT;
    contradicted.then_some(
        "the picture contradicts the direction of the tip: say where it points with --tip",
    )
}

fn of_unnamed(face: &Face, request: &Request) -> Option<&'static str> {
    if face.tip_direction() != TipDirection::default() {
        return Some(
            "nobody said where the tip points and the picture shows it elsewhere than up: say where it points with --tip",
        );
    }
    let settled =
        request.method == Method::Seep && face.tip_support >= limits::LEAST_ASSUMED_TIP_SUPPORT;
    (!settled).then_some(
        "the tip was taken to point up and the picture does not settle it: say where it points with --tip",
    )
}
