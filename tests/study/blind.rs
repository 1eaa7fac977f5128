//! What a reader gets tells nothing of the photos, and each reader sees them otherwise.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use seepline::read_photo;
use walkdir::WalkDir;

use super::shop::Study;
use crate::support::samples;

/// Some samples with EXIF data, one of them upside down, under telling names.
fn of_samples(tip: &str) -> Study {
    let folder = tempfile::tempdir().expect("a folder");
    let photos = folder.path().join("photos/tells-all");
    fs::create_dir_all(&photos).expect("a folder");
    for (from, to) in [
        ("heron-too-much-taper/jaw1.jpg", "too-much-taper.jpg"),
        ("wren-full-length/jaw1.jpg", "good-one.jpg"),
        (
            "singles/base-only-orange-upside-down-phone.jpg",
            "base-only.jpg",
        ),
    ] {
        fs::copy(samples::place(from), photos.join(to)).expect("copied");
    }
    let study = Study { folder };
    study
        .make(&[
            "--readers",
            "AB,CD",
            "--repeats",
            "3",
            "--seed",
            "5",
            "--tip",
            tip,
        ])
        .code(0);
    study
}

fn files(folder: &Path) -> Vec<std::path::PathBuf> {
    let entries = WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .map(|e| e.expect("an entry"));
    entries
        .filter(|e| e.file_type().is_file())
        .map(walkdir::DirEntry::into_path)
        .collect()
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|w| w == text.as_bytes())
}

#[test]
fn nothing_in_a_readers_folder_tells_the_answer() {
    let study = of_samples("up");
    for reader in ["reader-AB", "reader-CD"] {
        let files = files(&study.path(reader));
        assert_eq!(files.len(), 9 + 3);
        for file in files {
            let bytes = fs::read(&file).expect("a file");
            // Names and dates of the originals, EXIF, and the words of the key.
            for told in [
                "too-much",
                "good-one",
                "tells-all",
                "Exif",
                "2026",
                "key-not",
                "sha256",
            ] {
                assert!(!holds(&bytes, told), "{}: {told}", file.display());
            }
            if file.extension().is_some_and(|e| e == "jpg") {
                let name = file.file_stem().expect("a name").to_string_lossy();
                assert!(name.chars().all(|c| c.is_ascii_digit()), "{name}");
            }
        }
    }
}

#[test]
fn each_reader_sees_another_order_and_each_photo_as_often() {
    let study = of_samples("up");
    let order = |reader: &str| -> Vec<String> {
        let key = study.key().into_iter().filter(|p| p.reader == reader);
        key.map(|p| p.photo).collect()
    };
    let (ab, cd) = (order("AB"), order("CD"));
    assert_ne!(ab, cd);
    for order in [ab, cd] {
        for round in order.chunks(3) {
            assert_eq!(round.iter().collect::<BTreeSet<_>>().len(), 3);
        }
        assert!(order.windows(2).all(|w| w[0] != w[1]), "{order:?}");
    }
}

/// Mean difference of two pictures of the same size, in levels.
fn differ(a: &image::RgbImage, b: &image::RgbImage) -> f64 {
    assert_eq!(a.dimensions(), b.dimensions());
    let sum: u64 = a
        .as_raw()
        .iter()
        .zip(b.as_raw())
        .map(|(x, y)| u64::from(x.abs_diff(*y)))
        .sum();
    sum as f64 / a.as_raw().len() as f64
}

/// The picture with this number against the original as the pipeline decodes it, tip turned up. JPEG at
/// quality 90 changes levels by one or two in the mean; another photo, or the same turned round, by tens.
#[test]
fn the_pictures_are_the_originals_upright_with_the_tip_up() {
    for (tip, turned) in [("up", false), ("down", true)] {
        let study = of_samples(tip);
        for place in study
            .key()
            .into_iter()
            .filter(|p| p.reader == "AB" && p.round == 1)
        {
            let original =
                fs::read(study.folder.path().join("photos").join(&place.photo)).expect("a photo");
            let mut upright = read_photo(&original).expect("a photo").pixels;
            if turned {
                upright = image::imageops::rotate180(&upright);
            }
            let file = study.path(&format!("reader-AB/photos/{:03}.jpg", place.number));
            let shown = image::open(file).expect("a picture").into_rgb8();
            let apart = differ(&upright, &shown);
            let round_about = differ(&image::imageops::rotate180(&upright), &shown);
            assert!(
                apart < 4.0 && round_about > 3.0 * apart,
                "{}: {apart} {round_about}",
                place.photo
            );
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_study() {
    let keys = [3, 3, 4].map(|seed| {
        let study = Study {
            folder: super::shop::greys(8),
        };
        study
            .make(&["--readers", "AB,CD", "--seed", &seed.to_string()])
            .code(0);
        fs::read(study.path("key-not-for-readers/key.csv")).expect("a key")
    });
    assert_eq!(keys[0], keys[1]);
    assert_ne!(keys[0], keys[2]);
}
