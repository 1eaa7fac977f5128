//! Bytes → upright photo, against Pillow's and libheif's values for the same files
//! (`reference/make_photos.py` wrote both), and against files that are no photo.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::support::{exif_notes, pictures};
use proptest::prelude::*;
use seepline::{PhotoError, UprightPhoto, read_photo};

/// What the reference library reads: the upright size, and mean colours of 4 × 4 cells, row by row.
#[derive(serde::Deserialize)]
struct Expected {
    size_px: [u32; 2],
    cells: Vec<[f64; 3]>,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

fn fixture(name: &str) -> Vec<u8> {
    fs::read(folder().join("photos").join(name)).expect("a fixture")
}

fn expected() -> BTreeMap<String, Expected> {
    let text = fs::read_to_string(folder().join("photos.json")).expect("the expected values");
    serde_json::from_str(&text).expect("valid JSON")
}

fn cells(photo: &UprightPhoto) -> Vec<[f64; 3]> {
    let (width, height) = photo.pixels.dimensions();
    let mut sums = vec![([0.0; 3], 0.0); 16];
    for (x, y, pixel) in photo.pixels.enumerate_pixels() {
        let (sum, count) = &mut sums[(y * 4 / height * 4 + x * 4 / width) as usize];
        for (total, value) in sum.iter_mut().zip(pixel.0) {
            *total += f64::from(value);
        }
        *count += 1.0;
    }
    sums.into_iter()
        .map(|(sum, count)| sum.map(|v| v / count))
        .collect()
}

/// The largest difference in levels between a photo's cells and the reference's.
fn difference(photo: &UprightPhoto, reference: &Expected) -> f64 {
    let pairs = cells(photo).into_iter().zip(&reference.cells);
    pairs
        .flat_map(|(a, b)| (0..3).map(move |i| (a[i] - b[i]).abs()))
        .fold(0.0, f64::max)
}

/// Levels. Two decoders' rounding and chroma interpolation differ by up to 1 in a pixel and less in a
/// mean; a wrong turn changes a cell of this scene by 20 levels or more, swapped channels by more still.
const TOLERANCE: f64 = 1.0;
/// libheif and the HEIC decoder place halved chroma half a pixel apart, and this scene's blue changes by
/// up to 4 levels per pixel. Without halved chroma (`sampled-444.heic`) they must agree.
const TOLERANCE_HALVED_CHROMA: f64 = 3.0;

#[test]
fn every_kind_is_read_as_the_reference_libraries_read_it() {
    let readable = expected()
        .into_iter()
        .filter(|(name, _)| cfg!(feature = "heic") || !name.ends_with("heic"));
    for (name, reference) in readable {
        let photo = read_photo(&fixture(&name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let tolerance = if name == "sampled-420.heic" {
            TOLERANCE_HALVED_CHROMA
        } else {
            TOLERANCE
        };
        let off = difference(&photo, &reference);
        assert_eq!(photo.size_px, reference.size_px, "{name}");
        assert!(off <= tolerance, "{name}: {off} levels off");
    }
}

#[test]
fn the_scene_tells_all_eight_turns_apart() {
    let upright = read_photo(&fixture("turned-1.png")).expect("a photo");
    for turn in 2..=4 {
        let turned = read_photo(&fixture(&format!("turned-{turn}.png"))).expect("a photo");
        let reference = Expected {
            size_px: turned.size_px,
            cells: cells(&turned),
        };
        assert!(
            difference(&upright, &reference) > 20.0 * TOLERANCE,
            "turn {turn}"
        );
    }
}

#[test]
fn time_taken_and_focal_length_are_read_and_nothing_else() {
    for name in ["turned-3.jpg", "turned-3.png", "turned-6.webp"] {
        let photo = read_photo(&fixture(name)).expect("a photo");
        assert_eq!(
            photo.taken.as_deref(),
            Some("2026-03-04T10:11:12"),
            "{name}"
        );
        assert_eq!(photo.focal_35mm, Some(26.0), "{name}");
    }
    let bare = read_photo(&fixture("grey.jpg")).expect("a photo");
    assert_eq!((bare.taken, bare.focal_35mm), (None, None));
}

/// Tags 0x010F and 0x0110 of EXIF (CIPA DC-008, 4.6.4, from memory).
#[test]
fn the_kind_of_phone_is_read_and_the_maker_said_once() {
    let picture = image::RgbImage::new(64, 64);
    let noted = exif_notes::jpeg(&picture, 90, Some(exif_notes::location()));
    let phone = read_photo(&noted).expect("a photo").phone;
    assert_eq!(phone.as_deref(), Some(exif_notes::PHONE[1]));
    let of = |make: &str, model: &str| {
        let notes = exif_notes::of_phone(make, model);
        let photo = read_photo(&exif_notes::jpeg(&picture, 90, Some(notes)));
        photo.expect("a photo").phone
    };
    for (make, model, phone) in [
        ("Sandpiper", "P4", Some("Sandpiper P4")),
        (" Sandpiper ", "SANDPIPER  P4", Some("SANDPIPER P4")),
        ("", "P4", Some("P4")),
        ("Sandpiper", "", Some("Sandpiper")),
        (" ", "", None),
        // What would turn the writing in a report, and what is no name.
        ("Sand\u{202e}piper", "", Some("Sand\u{fffd}piper")),
        ("", &"P4 ".repeat(40), None),
    ] {
        assert_eq!(of(make, model).as_deref(), phone, "{make:?} {model:?}");
    }
    assert_eq!(
        read_photo(&fixture("grey.jpg")).expect("a photo").phone,
        None
    );
}

#[cfg(feature = "heic")]
#[test]
fn heic_is_turned_by_its_own_note_and_not_by_exif() {
    let noted = read_photo(&fixture("noted-6.heic")).expect("a photo");
    let turned = read_photo(&fixture("turned-6.heic")).expect("a photo");
    assert_eq!((noted.size_px, turned.size_px), ([96, 64], [64, 96]));
    assert_eq!(noted.taken.as_deref(), Some("2026-03-04T10:11:12"));
}

#[cfg(not(feature = "heic"))]
#[test]
fn without_heic_the_message_says_how_to_get_it() {
    let refused = read_photo(&fixture("sampled-420.heic")).expect_err("HEIC is left out");
    assert!(refused.to_string().contains("--features heic"));
}

/// Value by `sha256sum` of GNU coreutils.
#[test]
fn the_digest_is_that_of_the_bytes() {
    let photo = read_photo(&fixture("grey.jpg")).expect("a photo");
    assert_eq!(
        photo.sha256,
        "c316dc609623e27cf85b43234742c4582d05b2829d1492c2ef07af401958eb4a"
    );
}

#[test]
fn large_photos_are_decoded_at_the_smallest_scale_that_leaves_a_thousand_pixels() {
    for (name, width) in [
        ("large-2.jpg", 1000),
        ("large-3.jpg", 1056),
        ("large-4.jpg", 1000),
        ("large-5.jpg", 1000),
    ] {
        let photo = read_photo(&fixture(name)).expect("a photo");
        assert_eq!(photo.pixels.width(), width, "{name}");
    }
}

#[test]
fn a_photo_has_the_same_working_size_as_png_and_as_jpeg() {
    let photo = read_photo(&fixture("large-3.jpg")).expect("a photo");
    let whole = image::load_from_memory(&fixture("large-3.jpg")).expect("a picture");
    let again = read_photo(&pictures::png(&whole.into_rgb8())).expect("a photo");
    assert_eq!(again.pixels.dimensions(), photo.pixels.dimensions());
}

#[test]
fn broken_exif_is_ignored() {
    let mut bytes = fixture("turned-6.jpg");
    let at = bytes.windows(4).position(|w| w == b"Exif").expect("EXIF");
    for garbage in [0x00, 0x5a, 0xff] {
        bytes[at + 6..at + 60].fill(garbage);
        let photo = read_photo(&bytes).expect("a photo in spite of its EXIF");
        assert_eq!((photo.size_px, photo.taken), ([96, 64], None));
    }
}

#[test]
fn what_is_no_photo_is_named() {
    let cases: [(&[u8], &str); 6] = [
        (b"", "empty"),
        (
            b"These are the setup notes for the second operation.\n",
            "text",
        ),
        (b"GIF89a................", "GIF"),
        (b"\0\0\0\x18ftypavif\0\0\0\0avifmif1", "AVIF"),
        (b"\0\0\0\x18ftypqt  \0\0\0\0qt  qt  ", "video"),
        (b"\x00\x01\x02\x03\x04\x05\x06\x07", "no known kind"),
    ];
    for (bytes, named) in cases {
        let message = read_photo(bytes).expect_err(named).to_string();
        assert!(
            message.contains(named) && message.contains(';'),
            "{named}: {message}"
        );
    }
}

#[test]
fn a_single_pixel_and_a_strip_are_too_small() {
    for (width, height) in [(1, 1), (31, 31), (1200, 20), (4000, 100)] {
        let refused = read_photo(&pictures::png(&image::RgbImage::new(width, height)));
        assert!(
            matches!(refused, Err(PhotoError::TooSmall { .. })),
            "{width} x {height}"
        );
    }
    assert!(read_photo(&pictures::png(&image::RgbImage::new(32, 32))).is_ok());
}

#[test]
fn decompression_bombs_are_refused_by_their_header() {
    // An 8-bit RGB header of 30 000 x 30 000 px; its checksum is zlib's.
    let png = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\x75\x30\0\0\x75\x30\x08\x02\0\0\0\xe9\x45\x6f\xed\0\0\0\0IDAT";
    let jpeg = pictures::with_jpeg_size(&fixture("grey.jpg"), [65_000, 65_000]);
    for bytes in [&png[..], &jpeg] {
        let refused = read_photo(bytes);
        assert!(
            matches!(refused, Err(PhotoError::TooManyPixels { .. })),
            "{refused:?}"
        );
    }
}

#[test]
fn kinds_that_are_decoded_in_full_have_a_lower_limit() {
    let claim = pictures::with_jpeg_size(&fixture("progressive.jpg"), [9_000, 8_000]);
    let refused = read_photo(&claim);
    assert!(
        matches!(
            refused,
            Err(PhotoError::TooManyPixels {
                limit_megapixels: 64,
                ..
            })
        ),
        "{refused:?}"
    );
}

#[test]
fn kinds_of_jpeg_that_no_decoder_here_knows_are_named() {
    // Markers and what they stand for: ITU-T T.81, table B.1.
    let unknown = [
        (0xc3, "without loss"),
        (0xc5, "several sizes"),
        (0xc6, "several sizes"),
        (0xc7, "without loss"),
        (0xc9, "arithmetically"),
        (0xca, "arithmetically"),
        (0xcb, "arithmetically"),
        (0xcd, "arithmetically"),
        (0xce, "arithmetically"),
        (0xcf, "arithmetically"),
    ];
    for (marker, said) in unknown {
        let refused = read_photo(&pictures::with_jpeg_marker(&fixture("grey.jpg"), marker));
        let Err(error @ PhotoError::Unsupported { .. }) = refused else {
            panic!("{marker:x}: {refused:?}");
        };
        let text = error.to_string();
        assert!(
            text.contains(said) && text.contains("ordinary JPEG"),
            "{text}"
        );
    }
}

#[test]
fn a_large_claim_with_little_behind_it_is_refused_soon() {
    let refused = read_photo(&pictures::with_jpeg_size(
        &fixture("sampled-420.jpg"),
        [14_000, 14_000],
    ));
    assert!(
        matches!(
            refused,
            Err(PhotoError::Truncated {
                decoded_percent: Some(0),
                ..
            })
        ),
        "{refused:?}"
    );
}

#[test]
fn a_photo_that_breaks_off_is_refused_wherever_it_does() {
    let kinds = [
        "sampled-420.jpg",
        "restarts.jpg",
        "scan-each.jpg",
        "progressive.jpg",
        "cmyk.jpg",
        "turned-1.png",
        "palette.png",
        "lossless.webp",
        "turned-6.webp",
        "animated.webp",
    ];
    for name in kinds {
        let bytes = fixture(name);
        for percent in [2, 10, 30, 50, 70, 90] {
            let refused = read_photo(&bytes[..bytes.len() * percent / 100]);
            assert!(refused.is_err(), "{name} cut at {percent} %");
        }
    }
}

#[cfg(feature = "heic")]
#[test]
fn heic_that_breaks_off_is_refused_wherever_it_does() {
    let bytes = fixture("sampled-420.heic");
    for end in (16..bytes.len()).step_by(7) {
        let refused = read_photo(&bytes[..end]);
        assert!(refused.is_err(), "cut at {end}");
    }
}

#[test]
fn the_message_says_how_much_of_a_cut_jpeg_was_there() {
    let bytes = fixture("large-4.jpg");
    let refused = read_photo(&bytes[..bytes.len() / 2]).expect_err("half a photo");
    let PhotoError::Truncated {
        decoded_percent: Some(percent),
        ..
    } = refused
    else {
        panic!("{refused}")
    };
    assert!((30..70).contains(&percent), "{percent} %");
}

#[test]
fn a_few_lost_bytes_at_the_end_do_not_matter() {
    let bytes = fixture("large-4.jpg");
    assert!(
        read_photo(&bytes[..bytes.len() - 2]).is_ok(),
        "only the end marker is missing"
    );
}

thread_local! {
    /// Where code of this crate panicked on this thread: a decoder of others may, inside of `read_photo`, which
    /// catches it; our own may not.
    static OURS: std::cell::RefCell<Option<String>> = const { std::cell::RefCell::new(None) };
}

/// Reads the photo, and fails where code of this crate panicked on the way.
fn read_without_panic(bytes: &[u8]) -> Result<UprightPhoto, PhotoError> {
    static WATCH: std::sync::Once = std::sync::Once::new();
    WATCH.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            let place = info.location().map(ToString::to_string).unwrap_or_default();
            if place.starts_with("src/") {
                OURS.set(Some(place));
            }
            usual(info);
        }));
    });
    let read = read_photo(bytes);
    assert_eq!(OURS.take(), None);
    read
}

#[test]
fn sampling_factors_that_cannot_be_are_damage() {
    let bytes = fixture("grey.jpg");
    let frame = bytes
        .windows(2)
        .position(|w| w == [0xff, 0xc0])
        .expect("a frame");
    // ITU-T T.81, B.2.2: each of both factors is 1 to 4; of the one component they stand 11 bytes on.
    for factors in [0x00, 0x01, 0x10, 0x15, 0x51, 0xff] {
        let mut changed = bytes.clone();
        changed[frame + 11] = factors;
        let refused = read_without_panic(&changed);
        assert!(
            matches!(refused, Err(PhotoError::Damaged { .. })),
            "{factors:x}: {refused:?}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..600), start in 0_usize..5) {
        let starts: [&[u8]; 5] = [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\x40\x01\0\0WEBP", b"\0\0\0\x14ftypheic\0\0\0\0mif1"];
        let _ = read_without_panic(&[starts[start], &bytes].concat());
    }

    /// Few bytes changed in a sound file: it is read or refused, and what is read is whole.
    #[test]
    fn damaged_photos_never_panic(kind in 0_usize..8, changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let kinds = ["sampled-420.jpg", "restarts.jpg", "scan-each.jpg", "progressive.jpg", "cmyk.jpg", "palette.png", "turned-6.webp", "sampled-420.heic"];
        let mut bytes = fixture(kinds[kind]);
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if let Ok(photo) = read_without_panic(&bytes) {
            prop_assert!(photo.pixels.width().min(photo.pixels.height()) >= 32);
            prop_assert!(photo.scale() <= 1.0);
        }
    }
}

proptest! {
    // Each case decodes up to 2.7 megapixels twice, without optimisation.
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// The general decoder and area averaging give the same picture at every scale: what the scaled
    /// transform leaves out is detail of the averaged pixels, and this scene has next to none.
    #[test]
    fn scaled_decoding_agrees_with_full_decoding_and_averaging(
        width in 200_u32..3000, ratio in 0.2_f64..0.3, seed in any::<u8>(), quality in 70_u8..96,
    ) {
        let bytes = pictures::jpeg(&pictures::smooth(width, (f64::from(width) * ratio) as u32, seed), quality);
        let whole = image::load_from_memory(&bytes).expect("a picture").into_rgb8();
        let ours = read_photo(&bytes).expect("a photo").pixels;
        let eighths = (8.0 * f64::from(ours.width()) / f64::from(width)).round();
        prop_assert!(pictures::difference_to_averages(&ours, &whole, 8.0 / eighths) < 1.0);
    }
}
