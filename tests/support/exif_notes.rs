//! Photos with EXIF data, written for tests.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ImageEncoder, RgbImage};

/// The picture as a JPEG file, with these EXIF data.
pub(crate) fn jpeg(picture: &RgbImage, quality: u8, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).expect("JPEG holds EXIF");
    }
    encoder.encode_image(picture).expect("written to memory");
    bytes
}

/// The picture as a PNG file with these EXIF data.
pub(crate) fn png(picture: &RgbImage, exif: Vec<u8>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = PngEncoder::new(&mut bytes);
    encoder.set_exif_metadata(exif).expect("PNG holds EXIF");
    let (width, height) = picture.dimensions();
    encoder
        .write_image(picture, width, height, image::ExtendedColorType::Rgb8)
        .expect("written to memory");
    bytes
}

/// EXIF data with an orientation and nothing else.
pub(crate) fn orientation(code: u16) -> Vec<u8> {
    tiff(&[field(Tag::Orientation, Value::Short(vec![code]))])
}

/// EXIF data with the maker and the model of a phone.
pub(crate) fn of_phone(make: &str, model: &str) -> Vec<u8> {
    let text = |t: &str| Value::Ascii(vec![t.as_bytes().to_vec()]);
    tiff(&[field(Tag::Make, text(make)), field(Tag::Model, text(model))])
}

/// A place that no number of a reading looks like, and its name.
pub(crate) const PLACE_NAME: &str = "Quarry Lane Annexe";
pub(crate) const LATITUDE: [(u32, u32); 3] = [(48, 1), (51, 1), (297_531, 10_000)];
pub(crate) const LONGITUDE: [(u32, u32); 3] = [(172, 1), (17, 1), (408_642, 10_000)];

/// An invented phone, as it writes itself: the model names the maker again.
pub(crate) const PHONE: [&str; 2] = ["Sandpiper", "Sandpiper P4"];
/// Of that phone.
pub(crate) const SERIAL: &str = "SP4-77120";

/// EXIF data with that place and phone, as phones write it.
pub(crate) fn location() -> Vec<u8> {
    let angle = |parts: [(u32, u32); 3]| {
        Value::Rational(parts.map(|(num, denom)| Rational { num, denom }).to_vec())
    };
    let text = |t: &str| Value::Ascii(vec![t.as_bytes().to_vec()]);
    tiff(&[
        field(Tag::DateTimeOriginal, text("2026:03:04 10:11:12")),
        field(Tag::ImageDescription, text(PLACE_NAME)),
        field(Tag::Make, text(PHONE[0])),
        field(Tag::Model, text(PHONE[1])),
        field(Tag::BodySerialNumber, text(SERIAL)),
        field(Tag::GPSLatitudeRef, text("N")),
        field(Tag::GPSLatitude, angle(LATITUDE)),
        field(Tag::GPSLongitudeRef, text("E")),
        field(Tag::GPSLongitude, angle(LONGITUDE)),
        field(Tag::GPSDateStamp, text("2026:03:05")),
    ])
}

fn field(tag: Tag, value: Value) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    }
}

fn tiff(fields: &[Field]) -> Vec<u8> {
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, false).expect("written to memory");
    bytes.into_inner()
}
