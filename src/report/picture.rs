//! A picture of one reading: the photo with the face outlined and its compound marked, the profile
//! beside it, the pattern and the change above it.

mod canvas;
mod header;
mod overlay;
mod panel;
mod spread;

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::{self, FilterType};
use image::{ImageError, Rgb, RgbImage};

use super::CheckReport;
use crate::inspect::Inspection;

/// The photo's longer side in the picture, px: large enough for a phone, small enough to send.
const LONG_SIDE_PX: std::ops::RangeInclusive<f64> = 800.0..=1600.0;
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
    let picture = compose(report, index);
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(Cursor::new(&mut bytes), JPEG_QUALITY).encode_image(&picture)?;
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
    let photo = &inspection.photo;
    let [width, height] = [photo.pixels.width(), photo.pixels.height()].map(f64::from);
    let long = width.max(height).max(1.0);
    let zoom = long.clamp(*LONG_SIDE_PX.start(), *LONG_SIDE_PX.end()) / long;
    let size = [width, height].map(|side| ((side * zoom).round() as u32).max(1));
    let pixels = imageops::resize(&photo.pixels, size[0], size[1], FilterType::Triangle);
    Shown {
        pixels,
        scale: photo.scale() * zoom,
    }
}
