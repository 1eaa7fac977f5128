//! Where a photo was taken is in no output, in no form.

use std::path::Path;
use std::process::{Command, Output};

use exif::{In, Reader, Tag};

use super::samples::sample;
use crate::support::exif_notes::{self, LATITUDE, LONGITUDE, PLACE_NAME};
use crate::support::program::SEEPLINE;

/// Seconds as EXIF holds them, as a number of its own in the file.
const NUMERATORS: [u32; 2] = [LATITUDE[2].0, LONGITUDE[2].0];

/// The place in the ways a program might print it: names, decimal degrees, minutes and seconds, the
/// GPS date (a day after the photo's).
const IN_WORDS: [&str; 11] = [
    "gps",
    "latitude",
    "longitude",
    "location",
    PLACE_NAME,
    "48.858",
    "172.294",
    "29.75",
    "40.86",
    "2026-03-05",
    "2026:03:05",
];

fn write_photos(folder: &Path) {
    let pixels = &sample("heron").inspection.photo.pixels;
    let smaller = image::imageops::thumbnail(pixels, pixels.width() / 2, pixels.height() / 2);
    let jpeg = exif_notes::jpeg(pixels, 90, Some(exif_notes::location()));
    let png = exif_notes::png(&smaller, exif_notes::location());
    for (name, bytes) in [("jaw1.jpg", jpeg), ("jaw2.png", png)] {
        let found = Reader::new().read_from_container(&mut std::io::Cursor::new(&bytes));
        let place = found
            .expect("EXIF")
            .get_field(Tag::GPSLatitude, In::PRIMARY)
            .is_some();
        assert!(
            place && shows_place(&bytes),
            "{name} must hold the place to begin with"
        );
        std::fs::write(folder.join(name), bytes).expect("written");
    }
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(SEEPLINE)
        .current_dir(folder)
        .args(["read", "jaw1.jpg", "jaw2.png"])
        .args(arguments)
        .output()
        .expect("the program ran")
}

fn shows_place(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes).to_lowercase();
    let holds = |needle: &[u8]| bytes.windows(needle.len()).any(|w| w == needle);
    IN_WORDS
        .iter()
        .any(|word| text.contains(&word.to_lowercase()))
        || NUMERATORS
            .iter()
            .any(|n| holds(&n.to_be_bytes()) || holds(&n.to_le_bytes()))
}

#[test]
fn json_and_text_hold_no_place() {
    let folder = tempfile::tempdir().expect("a folder");
    write_photos(folder.path());
    for arguments in [&["--json"][..], &[][..]] {
        let output = run(folder.path(), arguments);
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(
            text.contains("jaw1.jpg") && text.contains("jaw2.png"),
            "{text}"
        );
        assert!(!shows_place(&output.stdout), "{text}");
        assert!(!shows_place(&output.stderr), "{:?}", output.stderr);
    }
    let json = run(folder.path(), &["--json"]).stdout;
    let taken = String::from_utf8_lossy(&json)
        .matches("2026-03-04T10:11:12")
        .count();
    assert_eq!(taken, 2, "the EXIF data were read");
}

/// A picture holds no metadata at all. Its pixels are compressed, so that words may turn up by chance
/// there and are looked for in the segments before them only.
#[test]
fn pictures_hold_no_place() {
    let folder = tempfile::tempdir().expect("a folder");
    write_photos(folder.path());
    run(folder.path(), &["--picture", "out"]);
    let pictures = std::fs::read_dir(folder.path().join("out")).expect("a folder of pictures");
    let pictures: Vec<_> = pictures.map(|p| p.expect("an entry").path()).collect();
    assert_eq!(pictures.len(), 2);
    for picture in pictures {
        let bytes = std::fs::read(&picture).expect("a picture");
        let exif = Reader::new().read_from_container(&mut std::io::Cursor::new(&bytes));
        assert!(exif.is_err(), "{}: holds EXIF", picture.display());
        let scan = bytes
            .windows(2)
            .position(|w| w == [0xff, 0xda])
            .expect("a scan");
        let holds = |name: &[u8]| bytes[..scan].windows(name.len()).any(|w| w == name);
        assert!(!holds(b"Exif") && !holds(b"http"), "{}", picture.display());
        assert!(!shows_place(&bytes[..scan]), "{}", picture.display());
    }
}
