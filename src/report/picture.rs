//! A picture of one reading: the photo with the face outlined and its compound marked, the profile
//! beside it, the pattern and the change above it.

mod canvas;
mod header;
mod overlay;
mod panel;
mod spread;

use std::ops::RangeInclusive;

use image::imageops::{self, FilterType};
use image::{Rgb, RgbImage};
use jpeg_encoder::{ColorType, Encoder, EncodingError};

use super::CheckReport;
use crate::reading::face::TipDirection;
use crate::reading::inspect::Inspection;
use crate::reading::photo::UprightPhoto;
use crate::reading::shrink::area_average;

/// The photo's longer side in the picture, px: large enough for a phone, small enough to send.
const LONG_SIDE_PX: RangeInclusive<f64> = 800.0..=1600.0;
/// The same where a page shows many.
const PAGE_SIDE_PX: RangeInclusive<f64> = 640.0..=800.0;
/// The profile needs this much height to be read, px.
const LOWEST_PANEL_PX: u32 = 480;
const JPEG_QUALITY: u8 = 90;

/// Okabe–Ito palette (Okabe and Ito, “Color Universal Design”, 2008).
const YELLOW: Rgb<u8> = Rgb([240, 228, 66]);
const BLUE: Rgb<u8> = Rgb([0, 114, 178]);
const BLACK: Rgb<u8> = Rgb([0, 0, 0]);
const WHITE: Rgb<u8> = Rgb([255, 255, 255]);
const GREY: Rgb<u8> = Rgb([120, 120, 120]);
const PALE: Rgb<u8> = Rgb([225, 225, 225]);

/// The photo at the size that it is shown in.
struct Shown {
    pixels: RgbImage,
    /// Pixels here per pixel of the full-size photo.
    scale: f64,
}

/// The picture of the photo with that index as a JPEG without any metadata; a file that was no photo
/// gives a picture without photo.
///
/// # Errors
/// Where the picture cannot be encoded.
pub fn to_jpeg(report: &CheckReport, index: usize) -> Result<Vec<u8>, EncodingError> {
    jpeg(&compose(report, index), JPEG_QUALITY)
}

/// Longer side of a thumbnail, px.
const THUMBNAIL_PX: u32 = 320;
const THUMBNAIL_QUALITY: u8 = 70;
/// Of a reading's picture among many: seen on a screen, not sent about.
const PAGE_QUALITY: u8 = 80;

/// A reading's pictures on a page that shows many, as JPEGs without any metadata.
pub struct PagePictures {
    /// The photo alone, small.
    pub thumbnail: Vec<u8>,
    /// The photo with the face outlined and its compound marked, at most 800 px long. Without words about
    /// the check, so that it holds whatever the check comes to.
    pub picture: Vec<u8>,
}

/// The photo alone, turned so that the tip points up, as a JPEG without any metadata: neither a name nor a
/// place nor a time goes with it.
///
/// # Errors
/// Where the picture cannot be encoded.
pub fn photo_to_jpeg(photo: &UprightPhoto, tip: TipDirection) -> Result<Vec<u8>, EncodingError> {
    let pixels = &photo.pixels;
    let turned = match tip {
        TipDirection::Up => pixels.clone(),
        TipDirection::Down => imageops::rotate180(pixels),
        TipDirection::Left => imageops::rotate90(pixels),
        TipDirection::Right => imageops::rotate270(pixels),
    };
    jpeg(&turned, JPEG_QUALITY)
}

/// # Errors
/// Where the pictures cannot be encoded.
pub fn page_pictures(inspection: &Inspection) -> Result<PagePictures, EncodingError> {
    let mut shown = show_at(inspection, PAGE_SIDE_PX);
    let thumbnail = jpeg(&thumbnail_of(&shown.pixels), THUMBNAIL_QUALITY)?;
    overlay::draw(&mut shown, inspection);
    let picture = jpeg(&shown.pixels, PAGE_QUALITY)?;
    Ok(PagePictures { thumbnail, picture })
}

fn thumbnail_of(shown: &RgbImage) -> RgbImage {
    let [width, height] = [shown.width(), shown.height()].map(f64::from);
    resized(
        shown,
        (f64::from(THUMBNAIL_PX) / width.max(height).max(1.0)).min(1.0),
    )
}

/// The photo with the face outlined and its compound marked, and the profile apart from it: beside each other
/// they are too small for a phone. As JPEG without any metadata.
pub(crate) fn reading_in_two(
    inspection: &Inspection,
) -> Result<(Vec<u8>, Option<Vec<u8>>), EncodingError> {
    let mut shown = show_at(inspection, PAGE_SIDE_PX);
    overlay::draw(&mut shown, inspection);
    let photo = jpeg(&shown.pixels, PAGE_QUALITY)?;
    let height = *PAGE_SIDE_PX.start() as u32;
    let profile = inspection.reading.profile.as_ref();
    let profile = profile.map(|profile| panel::draw(profile, &inspection.reading, height));
    let profile = profile.map(|p| jpeg(&p, PAGE_QUALITY)).transpose()?;
    Ok((photo, profile))
}

/// # Errors
/// Where a side is longer than a JPEG can be, 65 535 px.
fn jpeg(picture: &RgbImage, quality: u8) -> Result<Vec<u8>, EncodingError> {
    let side = |px: u32| u16::try_from(px).unwrap_or_default();
    let [width, height] = [picture.width(), picture.height()].map(side);
    let mut bytes = Vec::new();
    Encoder::new(&mut bytes, quality).encode(picture.as_raw(), width, height, ColorType::Rgb)?;
    Ok(bytes)
}

fn compose(report: &CheckReport, index: usize) -> RgbImage {
    let Some(inspection) = report.photos[index].inspection() else {
        return header::draw(report, index, *LONG_SIDE_PX.start() as u32);
    };
    let mut shown = show(inspection);
    overlay::draw(&mut shown, inspection);
    let photo = shown.pixels;
    let panel = inspection.reading.profile.as_ref().map(|profile| {
        panel::draw(
            profile,
            &inspection.reading,
            photo.height().max(LOWEST_PANEL_PX),
        )
    });
    assemble(report, index, &photo, panel.as_ref())
}

fn assemble(
    report: &CheckReport,
    index: usize,
    photo: &RgbImage,
    panel: Option<&RgbImage>,
) -> RgbImage {
    let width = photo.width() + panel.map_or(0, RgbImage::width);
    let header = header::draw(report, index, width.max(LOWEST_PANEL_PX));
    let below = photo.height().max(panel.map_or(0, RgbImage::height));
    let mut picture = RgbImage::from_pixel(header.width(), header.height() + below, WHITE);
    imageops::replace(&mut picture, &header, 0, 0);
    imageops::replace(&mut picture, photo, 0, i64::from(header.height()));
    if let Some(panel) = panel {
        imageops::replace(
            &mut picture,
            panel,
            i64::from(photo.width()),
            i64::from(header.height()),
        );
    }
    picture
}

fn show(inspection: &Inspection) -> Shown {
    show_at(inspection, LONG_SIDE_PX)
}

fn show_at(inspection: &Inspection, long_side_px: RangeInclusive<f64>) -> Shown {
    let photo = &inspection.photo;
    let [width, height] = [photo.pixels.width(), photo.pixels.height()].map(f64::from);
    let long = width.max(height).max(1.0);
    let zoom = long.clamp(*long_side_px.start(), *long_side_px.end()) / long;
    Shown {
        pixels: resized(&photo.pixels, zoom),
        scale: photo.scale() * zoom,
    }
}

fn resized(picture: &RgbImage, zoom: f64) -> RgbImage {
    let side = |side: u32| ((f64::from(side) * zoom).round() as u32).max(1);
    let [width, height] = [picture.width(), picture.height()].map(side);
    if [picture.width(), picture.height()] == [width, height] {
        return picture.clone();
    }
    // Area averaging is ten times faster, but no way to enlarge.
    let smaller = (zoom < 1.0).then(|| area_average(picture, width, height));
    smaller
        .flatten()
        .unwrap_or_else(|| imageops::resize(picture, width, height, FilterType::Triangle))
}
