//! A picture of one reading: the photo with the face outlined and its compound marked, the profile
//! beside it, the pattern and the change above it.

mod canvas;
mod header;
mod overlay;
mod panel;
mod spread;

use std::io::Cursor;
use std::ops::RangeInclusive;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::{self, FilterType};
use image::{ImageError, Rgb, RgbImage};

use super::CheckReport;
use crate::face::shrink;
use crate::inspect::Inspection;
use crate::photo::UprightPhoto;

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
pub fn to_jpeg(report: &CheckReport, index: usize) -> Result<Vec<u8>, ImageError> {
    jpeg(&compose(report, index), JPEG_QUALITY)
}

/// Longer side of a thumbnail, px.
const THUMBNAIL_PX: u32 = 320;
const THUMBNAIL_QUALITY: u8 = 70;
/// Of a reading's picture among many: seen on a screen, not sent about.
const PAGE_QUALITY: u8 = 80;

/// The photo alone, small, as a JPEG without any metadata.
///
/// # Errors
/// Where the picture cannot be encoded.
pub fn thumbnail(photo: &UprightPhoto) -> Result<Vec<u8>, ImageError> {
    let [width, height] = [photo.pixels.width(), photo.pixels.height()].map(f64::from);
    let zoom = (f64::from(THUMBNAIL_PX) / width.max(height).max(1.0)).min(1.0);
    jpeg(&shrunk(photo, zoom), THUMBNAIL_QUALITY)
}

/// The photo alone at working size, to place corners on, as a JPEG without any metadata.
pub(crate) fn photo_to_jpeg(photo: &UprightPhoto) -> Result<Vec<u8>, ImageError> {
    jpeg(&photo.pixels, PAGE_QUALITY)
}

/// The photo with the face outlined and its compound marked, and the profile beside it, as a JPEG without
/// any metadata. Without words about the check, so that it holds whatever the check comes to.
///
/// # Errors
/// Where the picture cannot be encoded.
pub fn reading_to_jpeg(inspection: &Inspection) -> Result<Vec<u8>, ImageError> {
    let photo = outlined(inspection);
    let height = photo.height().max(LOWEST_PANEL_PX);
    let Some(panel) = profile(inspection, height) else {
        return jpeg(&photo, PAGE_QUALITY);
    };
    let width = photo.width() + panel.width();
    let mut picture = RgbImage::from_pixel(width, height, WHITE);
    imageops::replace(&mut picture, &photo, 0, 0);
    imageops::replace(&mut picture, &panel, i64::from(photo.width()), 0);
    jpeg(&picture, PAGE_QUALITY)
}

/// The photo with the face outlined and its compound marked, and the profile apart from it: beside each other
/// they are too small for a phone. As JPEG without any metadata.
pub(crate) fn reading_in_two(
    inspection: &Inspection,
) -> Result<(Vec<u8>, Option<Vec<u8>>), ImageError> {
    let photo = jpeg(&outlined(inspection), PAGE_QUALITY)?;
    let profile = profile(inspection, *PAGE_SIDE_PX.start() as u32);
    let profile = profile.map(|p| jpeg(&p, PAGE_QUALITY)).transpose()?;
    Ok((photo, profile))
}

fn outlined(inspection: &Inspection) -> RgbImage {
    let mut shown = show_at(inspection, PAGE_SIDE_PX);
    overlay::draw(&mut shown, inspection);
    shown.pixels
}

fn profile(inspection: &Inspection, height: u32) -> Option<RgbImage> {
    let profile = inspection.reading.profile.as_ref()?;
    Some(panel::draw(profile, &inspection.reading, height))
}

fn jpeg(picture: &RgbImage, quality: u8) -> Result<Vec<u8>, ImageError> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(Cursor::new(&mut bytes), quality).encode_image(picture)?;
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
        pixels: shrunk(photo, zoom),
        scale: photo.scale() * zoom,
    }
}

fn shrunk(photo: &UprightPhoto, zoom: f64) -> RgbImage {
    let [width, height] = [photo.pixels.width(), photo.pixels.height()].map(f64::from);
    let size = [width, height].map(|side| ((side * zoom).round() as u32).max(1));
    if [photo.pixels.width(), photo.pixels.height()] == size {
        return photo.pixels.clone();
    }
    // Area averaging is ten times faster, but no way to enlarge.
    let smaller = (zoom < 1.0).then(|| shrink(&photo.pixels, size[0], size[1]));
    smaller
        .flatten()
        .unwrap_or_else(|| imageops::resize(&photo.pixels, size[0], size[1], FilterType::Triangle))
}
