//! Changes of a photo. Each works on the upright pixels and knows nothing of the reading.

use image::imageops::{self, FilterType};
use image::{Rgb, RgbImage};
use seepline::{TipDirection, UprightPhoto, linear_to_srgb, read_photo, srgb_to_linear};

/// The photo with other pixels of the same scale.
pub(crate) fn with_pixels(photo: &UprightPhoto, pixels: RgbImage) -> UprightPhoto {
    let scale = photo.scale();
    let full = |working: u32| (f64::from(working) / scale).round() as u32;
    UprightPhoto {
        size_px: [full(pixels.width()), full(pixels.height())],
        pixels,
        ..photo.clone()
    }
}

/// Turned clockwise by so many quarters, and where its tip points then.
pub(crate) fn turned(
    photo: &UprightPhoto,
    tip: Option<TipDirection>,
    quarters: usize,
) -> (UprightPhoto, Option<TipDirection>) {
    let clockwise = [
        TipDirection::Up,
        TipDirection::Right,
        TipDirection::Down,
        TipDirection::Left,
    ];
    let at = clockwise
        .iter()
        .position(|d| Some(*d) == tip)
        .expect("one of four");
    let pixels = match quarters {
        1 => imageops::rotate90(&photo.pixels),
        2 => imageops::rotate180(&photo.pixels),
        _ => imageops::rotate270(&photo.pixels),
    };
    (
        with_pixels(photo, pixels),
        Some(clockwise[(at + quarters) % 4]),
    )
}

/// Left and right swapped, and where the tip points then.
pub(crate) fn mirrored(
    photo: &UprightPhoto,
    tip: Option<TipDirection>,
) -> (UprightPhoto, Option<TipDirection>) {
    let tip = match tip {
        Some(TipDirection::Left) => Some(TipDirection::Right),
        Some(TipDirection::Right) => Some(TipDirection::Left),
        upright => upright,
    };
    (
        with_pixels(photo, imageops::flip_horizontal(&photo.pixels)),
        tip,
    )
}

/// Channels scaled in linear light, clipped where the sensor would clip.
pub(crate) fn lit(photo: &UprightPhoto, gains: [f32; 3]) -> UprightPhoto {
    let table = gains.map(|gain| {
        let level = |v: u8| linear_to_srgb((srgb_to_linear(f32::from(v) / 255.0) * gain).min(1.0));
        std::array::from_fn::<u8, 256, _>(|v| (level(v as u8) * 255.0).round() as u8)
    });
    let mut pixels = photo.pixels.clone();
    for Rgb(rgb) in pixels.pixels_mut() {
        for (value, levels) in rgb.iter_mut().zip(&table) {
            *value = levels[usize::from(*value)];
        }
    }
    with_pixels(photo, pixels)
}

/// As a camera with that share of the pixels along each side would have taken it.
pub(crate) fn shrunk(photo: &UprightPhoto, share: f64) -> UprightPhoto {
    let (width, height) = photo.pixels.dimensions();
    let [width, height] = [width, height].map(|side| (f64::from(side) * share) as u32);
    let pixels = imageops::resize(&photo.pixels, width, height, FilterType::Triangle);
    UprightPhoto {
        size_px: [width, height],
        pixels,
        ..photo.clone()
    }
}

/// With half the pixels along each side.
pub(crate) fn halved(photo: &UprightPhoto) -> UprightPhoto {
    shrunk(photo, 0.5)
}

/// Written as JPEG again, and read as the program reads it.
pub(crate) fn recompressed(photo: &UprightPhoto, quality: u8) -> UprightPhoto {
    let bytes = crate::support::exif_notes::jpeg(&photo.pixels, quality, None);
    let again = read_photo(&bytes).expect("a JPEG");
    UprightPhoto {
        focal_35mm: photo.focal_35mm,
        ..again
    }
}
