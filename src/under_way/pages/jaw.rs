//! One jaw of a check: where its photo is taken, and what was read of it.

mod views;

use std::io::Cursor;
use std::sync::Arc;

use image::{ImageFormat, ImageReader};
use maud::{Markup, html};

use super::super::KeptBack;
use super::super::addresses::{picture_address, plain_address, profile_address};
use super::super::settings::word_of;
use super::super::words;
use super::super::{Photo, Read, UnderWay};
use crate::reading::inspect::Inspection;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::refusal::Refusal;
use crate::report::{shown, words as said};

/// What the camera and the picker of photos are asked for; what comes is judged by its content.
const KINDS: &str = "image/jpeg,image/png,image/webp,image/heic,image/heif";

/// A jaw without a photo.
pub(crate) fn empty(check: &UnderWay, number: u8) -> Markup {
    html! {
        li .jaw id=(format!("jaw-{number}")) data-jaw=(number) data-state="empty" {
            h2 { "Jaw " (number) }
            (take(check, number, Beside::Nothing, &format!("Take jaw {number}")))
        }
    }
}

/// A jaw with its photo, or with several of it.
pub(crate) fn with_photos(
    check: &UnderWay,
    number: u8,
    photos: &[&Photo],
    kept: Option<&KeptBack>,
) -> Markup {
    let reads: Option<Vec<&Arc<Read>>> = photos.iter().map(|p| check.read(p)).collect();
    let odd = kept.is_none() && photos.iter().any(|p| is_odd(check, p));
    let state = if reads.is_some() { "read" } else { "waiting" };
    html! {
        li .jaw id=(format!("jaw-{number}")) data-jaw=(number) data-state=(state) {
            h2 { "Jaw " (number) @if odd { " disagrees with the others" } }
            @match (reads.as_deref(), photos) {
                (None, _) => p role="status" { "The photo is being read." },
                (Some(_), _) if kept.is_some() => (photos_alone(check, photos)),
                (Some([read]), [photo]) => (shown_reading(check, photo, read)),
                (Some(reads), _) => (views::read_together(check, number, photos, reads)),
            }
        }
    }
}

/// What a new photo of a jaw is taken beside.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beside {
    /// It is the jaw's photo.
    Nothing,
    /// What the jaw has: they are read together.
    Others,
}

/// The camera, and photos that were taken already; without the script the second button sends.
fn take(check: &UnderWay, number: u8, beside: Beside, label: &str) -> Markup {
    let to = format!("/checks/{}/photos", check.sheet.id);
    let another = beside == Beside::Others;
    html! {
        form .take .another[another] method="post" action=(to) enctype="multipart/form-data" {
            input type="hidden" name="jaw" value=(number);
            @if another { input type="hidden" name="another" value="true"; }
            label .pick {
                span { (label) }
                // `environment`: the camera at the back.
                input type="file" name="photo" accept=(KINDS) capture="environment" required;
            }
            button .send type="submit" { "Send" span .hidden { " the photo of jaw " (number) } }
        }
        form .take .another[another] method="post" action=(to) enctype="multipart/form-data" {
            input type="hidden" name="jaw" value=(number);
            @if another { input type="hidden" name="another" value="true"; }
            label .pick .small {
                span { "Choose a photo" span .hidden { " of jaw " (number) } }
                input type="file" name="photo" accept=(KINDS) required;
            }
            button .send type="submit" { "Send" span .hidden { " the chosen photo of jaw " (number) } }
        }
    }
}

pub(crate) fn several(check: &UnderWay) -> Markup {
    html! {
        form .take .several method="post" action=(format!("/checks/{}/photos", check.sheet.id)) enctype="multipart/form-data" {
            label .pick {
                span { "Choose photos, in the jaws' order" }
                input type="file" name="photo" accept=(KINDS) multiple required;
            }
            button .send type="submit" { "Send" span .hidden { " the chosen photos" } }
        }
    }
}

/// Its place is kept until it has come, so that nothing moves under a finger.
pub(crate) fn picture(jpeg: &[u8], address: &str, alt: &str) -> Markup {
    let size = ImageReader::with_format(Cursor::new(jpeg), ImageFormat::Jpeg).into_dimensions();
    let (width, height) = size.ok().unzip();
    html! { img .picture src=(address) alt=(alt) width=[width] height=[height] loading="lazy"; }
}

fn is_odd(check: &UnderWay, photo: &Photo) -> bool {
    let odd = check.answer.as_ref().and_then(|a| a.odd_photo());
    odd.and_then(|i| check.sheet.photos.get(i))
        .is_some_and(|p| p.jaw == photo.jaw)
}

fn shown_reading(check: &UnderWay, photo: &Photo, read: &Read) -> Markup {
    let Some(inspection) = read.report.inspection() else {
        return html! {};
    };
    let reading = &answered(check, photo).unwrap_or(inspection).reading;
    let completed = inspection.can_be_completed();
    html! {
        (figure(check, photo, read, reading))
        (judged(check, reading))
        @for warning in &reading.warnings { p .warning { (words::sentence(warning)) } }
        (tip(check, photo, reading))
        @if completed { (views::another(check, photo.jaw)) }
        @if let Some(profile) = &read.pictures.profile {
            details .more {
                summary { "Profile from tip to base" }
                (picture(profile, &profile_address(check, photo), "The profile; its thirds are said in words above"))
            }
        }
        details .more .mend {
            summary { "Not right? Corners, or another photo" }
            (corners(check, photo, inspection))
            (instead(check, photo, reading.refusal.is_some()))
            @if !completed { (views::another(check, photo.jaw)) }
        }
    }
}

/// Of the answer, where there is one: with the words of the rules.
fn answered<'a>(check: &'a UnderWay, photo: &Photo) -> Option<&'a Inspection> {
    let mut all = check
        .answer
        .as_ref()?
        .photos
        .iter()
        .filter_map(|p| p.inspection());
    all.find(|i| i.photo.sha256 == photo.sha256)
}

fn figure(check: &UnderWay, photo: &Photo, read: &Read, reading: &Reading) -> Markup {
    html! {
        figure {
            (picture(&read.pictures.picture, &picture_address(check, photo), &described(check, photo, reading)))
        }
    }
}

/// Nothing of what was read: somebody is to say first what they see.
fn photos_alone(check: &UnderWay, photos: &[&Photo]) -> Markup {
    html! {
        @for photo in photos { (photo_alone(check, photo)) }
        p .pattern { "Read; what was read is shown after the call." }
        details .more {
            summary { "Not right? Another photo" }
            @if let [photo] = photos { (instead(check, photo, false)) }
            @else { @for photo in photos { (views::take_out(check, photo)) } }
            @if let Some(photo) = photos.first() { (views::another(check, photo.jaw)) }
        }
    }
}

fn photo_alone(check: &UnderWay, photo: &Photo) -> Markup {
    let plain = check
        .reads
        .get(&photo.sha256)
        .map(|r| &r.pictures.plain[..]);
    html! {
        figure {
            (picture(plain.unwrap_or_default(), &plain_address(check, photo), &format!("The photo of jaw {}", photo.jaw)))
        }
    }
}

/// Another photo of the jaw, or none.
fn instead(check: &UnderWay, photo: &Photo, refused: bool) -> Markup {
    // “Again” is only said of a photo that must be taken again.
    let label = if refused {
        "Take it again"
    } else {
        "Take another photo"
    };
    html! {
        (take(check, photo.jaw, Beside::Nothing, label))
        (views::take_out(check, photo))
    }
}

fn to(check: &UnderWay, photo: &Photo) -> String {
    format!("/checks/{}/photos/{}", check.sheet.id, photo.sha256)
}

/// What a picture shows, for whoever does not see it.
fn described(check: &UnderWay, photo: &Photo, reading: &Reading) -> String {
    let bands = said::bands(&reading.bands);
    match (&reading.refusal, &reading.face) {
        (_, None) => format!("Jaw {}: no face was found in the photo", photo.jaw),
        (Some(_), _) => format!("Jaw {}: the face outlined, not judged", photo.jaw),
        (None, _) => {
            let pattern = said::pattern(reading.pattern, check.grip());
            format!(
                "Jaw {}: the face outlined from TIP to BASE, {bands}; {pattern}",
                photo.jaw
            )
        }
    }
}

fn judged(check: &UnderWay, reading: &Reading) -> Markup {
    match &reading.refusal {
        Some(refusal) => refused(refusal),
        None => pattern(check, reading),
    }
}

fn refused(refusal: &Refusal) -> Markup {
    html! {
        p .pattern { "Cannot be judged: " (said::reason(refusal.reason)) "." }
        @if !refusal.advice.is_empty() { p { (words::sentence(&refusal.advice)) } }
    }
}

fn pattern(check: &UnderWay, reading: &Reading) -> Markup {
    let means = said::pattern(reading.pattern, check.grip());
    html! {
        p .pattern { strong { (said::name(reading.pattern)) } ": " (said::sentence(means)) }
        p .small { (said::capitalised(&shown::confidence(reading.confidence))) "; " (said::bands(&reading.bands)) "." }
        @if let Some(profile) = &reading.profile { (thirds(profile, reading.method)) }
    }
}

fn thirds(profile: &crate::reading::profile::ContactProfile, method: Method) -> Markup {
    let [tip, middle, base] = profile.contact(method).map(said::percent);
    html! { p .small { "In contact: tip third " (tip) ", middle " (middle) ", base " (base) "." } }
}

/// Which end is the tip decides which way to cut.
fn tip(check: &UnderWay, photo: &Photo, reading: &Reading) -> Markup {
    let unsaid = photo.tip.or(check.sheet.settings.tip).is_none() && photo.corners.is_none();
    html! {
        @if let Some(face) = &reading.face {
            div .ends {
                @if unsaid {
                    form .as-marked method="post" action=(format!("{}/tip", to(check, photo))) {
                        input type="hidden" name="tip" value=(word_of(face.tip_direction()));
                        button type="submit" { "TIP is marked right" span .hidden { " on jaw " (photo.jaw) } }
                    }
                }
                form .swap method="post" action=(format!("{}/swap", to(check, photo))) {
                    button type="submit" { "Swap TIP and BASE" span .hidden { " of jaw " (photo.jaw) } }
                }
            }
        }
    }
}

/// As numbers, and for the script what it needs to let them be dragged.
fn corners(check: &UnderWay, photo: &Photo, inspection: &Inspection) -> Markup {
    let [width, height] = inspection.photo.size_px;
    let found = inspection.reading.face.as_ref().map(|f| {
        let corner = |p: &crate::reading::geometry::Point| format!("{:.1},{:.1}", p.x, p.y);
        f.corners.0.iter().map(corner).collect::<Vec<_>>().join(" ")
    });
    html! {
        form .corners method="post" action=(format!("{}/corners", to(check, photo)))
            data-photo=(plain_address(check, photo)) data-width=(width) data-height=(height)
            data-corners=(found.clone().unwrap_or_default()) {
            label .field {
                span {
                    "Corners as x,y in pixels of the " (width) " × " (height) " photo: tip-left, tip-right, base-right, "
                    "base-left, as seen with the tip up; empty: search for the face"
                }
                input type="text" name="corners" value=(found.unwrap_or_default()) autocomplete="off";
            }
            button type="submit" { "Read with these corners" }
        }
    }
}
