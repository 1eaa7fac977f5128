//! The pack to give away: what is in it, and above all what is not.

use std::fs;
use std::path::{Path, PathBuf};

use seepline::read_photo;

use super::{GIVEN, with_corners};
use crate::support::bench::Bench;
use crate::support::exif_notes::{PHONE, PLACE_NAME, SERIAL, jpeg, location};
use crate::support::program::{Run, contains, in_shop};
use crate::support::samples;

/// Words that a shop writes down; none of them may be in a pack.
const SECRETS: [&str; 7] = [
    "Zorvax",
    "QXJWV",
    "Vindaloo",
    "Zaffre",
    "secretname",
    "Kestrelium",
    "Undisclosed",
];

/// All files below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let below = |place: PathBuf| {
        if place.is_dir() {
            files(&place)
        } else {
            vec![place]
        }
    };
    entries.flat_map(below).collect()
}

/// A shop whose records and photos say a lot about it.
fn talkative() -> Bench {
    let bench = Bench::bare();
    let run = |line: &str| bench.run(line).success();
    run("jaws add heron-Zorvax --machine Vindaloo --material Kestrelium --notes Undisclosed");
    run("people lead QXJWV on");
    let picture = read_photo(&samples::bytes("heron-too-much-taper/jaw2.jpg"))
        .unwrap()
        .pixels;
    let photo = bench.place("IMG_secretname.jpg");
    fs::write(&photo, jpeg(&picture, 95, Some(location()))).unwrap();
    bench
        .read(&[photo], "--jaws heron-Zorvax --taper 3thou --compound Zaffre --call tip-only --change -1thou --by QXJWV")
        .stdout(contains("Soft jaws"));
    let check = bench.checks("heron-Zorvax")[0]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    bench
        .run(&format!("check label {check} tip-only --by QXJWV"))
        .success();
    bench
        .run(&format!(
            "check rule {check} tip-only --change -1thou --by QXJWV"
        ))
        .success();
    bench
}

/// JPEG (ITU-T T.81): what stands between the markers before the scan.
fn segments(jpeg: &[u8]) -> Vec<(u8, usize)> {
    assert_eq!(jpeg[..2], [0xff, 0xd8]);
    let (mut at, mut found) = (2, Vec::new());
    loop {
        assert_eq!(jpeg[at], 0xff);
        let length = usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
        found.push((jpeg[at + 1], length));
        if jpeg[at + 1] == 0xda {
            // Nothing stands behind the end of the picture either.
            assert_eq!(jpeg[jpeg.len() - 2..], [0xff, 0xd9]);
            return found;
        }
        at += 2 + length;
    }
}

#[test]
fn no_byte_of_a_pack_tells_of_a_shop_a_person_a_time_a_place_or_a_device() {
    let bench = talkative();
    let said = bench
        .run("export --labelled pack --licence CC-BY-4.0")
        .success();
    assert!(said.out().contains("Look at every one"), "{said}");
    let all = files(&bench.folder.path().join("pack"));
    assert_eq!(all.len(), 4);
    let archive = fs::read(bench.archive().join("archive.sqlite")).unwrap();
    let holds = |bytes: &[u8], word: &str| {
        let lower = bytes.to_ascii_lowercase();
        let word = word.to_ascii_lowercase();
        lower.windows(word.len()).any(|w| w == word.as_bytes())
    };
    // The shop's own records do hold them: else there would be nothing to find.
    assert!(SECRETS.iter().all(|word| holds(&archive, word)));
    // The kind of phone is kept, and which one it was is not.
    assert!(holds(&archive, PHONE[1]) && !holds(&archive, SERIAL));
    let hashes = fs::read_dir(bench.archive().join("photos"))
        .unwrap()
        .count();
    assert!(hashes > 0);
    for file in &all {
        let bytes = fs::read(file).unwrap();
        let tells = |word: &&str| {
            holds(&bytes, word)
                || holds(
                    file.to_str()
                        .unwrap()
                        .rsplit("/pack/")
                        .next()
                        .unwrap()
                        .as_bytes(),
                    word,
                )
        };
        for word in SECRETS
            .iter()
            .chain(&[PLACE_NAME, PHONE[0], SERIAL, "exif", "gps", "2026", "10:11"])
        {
            assert!(!tells(word), "{} holds {word}", file.display());
        }
        if file.extension().is_some_and(|e| e == "jpg") {
            // The JFIF header, tables, the frame: no other application data, no comment.
            let app0 = [(0xe0, 16)];
            for (marker, length) in segments(&bytes) {
                let table = matches!(marker, 0xc0 | 0xc4 | 0xda | 0xdb);
                assert!(
                    table || app0.contains(&(marker, length)),
                    "{marker:x} {length}"
                );
            }
        } else {
            let text = String::from_utf8(bytes).unwrap();
            let long_digits = |w: &str| w.len() >= 16 && w.bytes().all(|b| b.is_ascii_hexdigit());
            let words = text.split(|c: char| !c.is_ascii_alphanumeric());
            assert_eq!(
                words.filter(|w| long_digits(w)).count(),
                0,
                "an id or a hash in {text}"
            );
        }
    }
}

#[test]
fn the_table_says_what_was_right_and_how_it_is_known() {
    let bench = Bench::new();
    with_corners(&bench, &super::jaw(), GIVEN);
    let others = samples::jaws("wren-full-length");
    bench.read(&others, "--jaws heron --taper 2thou").success();
    // Only the photo with a label.
    bench
        .run("export --labelled pack --licence CC0-1.0")
        .success();
    let mut table = csv::Reader::from_path(bench.place("pack/labels.csv")).unwrap();
    let names = table.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 1);
    let of = |name: &str| &rows[0][names.iter().position(|n| n == name).unwrap()];
    assert_eq!(
        (of("file"), of("jaw_set"), of("corners_by")),
        ("photos/0001.jpg", "1", "given")
    );
    assert_eq!(
        (of("tip_left_x_px"), of("base_left_y_px")),
        ("241.5", "831.9")
    );
    assert_eq!(
        (of("method"), of("grip"), of("pattern")),
        ("seep", "outside", "")
    );
    let photo = read_photo(&fs::read(bench.place("pack/photos/0001.jpg")).unwrap()).unwrap();
    // At the size that photos are read at: 5/8 of the original's, and so are the corners.
    assert_eq!(photo.size_px, [750, 1000]);
    let licence = fs::read_to_string(bench.place("pack/LICENSE.txt")).unwrap();
    assert!(
        licence.starts_with("SPDX-License-Identifier: CC0-1.0\n"),
        "{licence}"
    );
    // Those that were named go in whatever is known of them.
    bench
        .run("export --labelled all --licence CC0-1.0 --jaws heron")
        .success();
    assert_eq!(files(&bench.folder.path().join("all")).len(), 3 + 4);
    let checks = bench.checks("heron");
    let of_three = |c: &&serde_json::Value| c["readings"].as_array().unwrap().len() == 3;
    let check = checks.iter().find(of_three).unwrap()["id"]
        .as_str()
        .unwrap();
    let one = bench.run(&format!(
        "export --labelled one --licence CC0-1.0 --check {check}"
    ));
    one.success().stdout(contains("3 photos"));
    let fewer = "export --labelled fewer --licence CC0-1.0 --jaws heron --without 2 --without 3";
    bench.run(fewer).success();
    let photo = |number: u8| format!("fewer/photos/000{number}.jpg");
    let there = |number: u8| fs::exists(bench.place(&photo(number))).unwrap();
    assert_eq!([1, 2, 3, 4].map(there), [true, false, false, true]);
    assert_eq!(
        fs::read(bench.place(&photo(4))).unwrap(),
        fs::read(bench.place("all/photos/0004.jpg")).unwrap()
    );
}

#[test]
fn a_pack_needs_a_licence_a_label_and_a_folder_of_its_own() {
    let bench = Bench::new();
    bench
        .read(
            &samples::jaws("wren-full-length"),
            "--jaws heron --taper 2thou",
        )
        .success();
    bench
        .run("export --labelled pack")
        .code(2)
        .stderr(contains("--licence"));
    bench.run("export").code(2).stderr(contains("FOLDER"));
    let run = |more: &str| bench.run(&format!("export --labelled pack --licence CC0-1.0 {more}"));
    run("").code(2).stderr(contains("no photo has a label yet"));
    run("--jaws wren").code(2).stderr(contains("wren"));
    run("--jaws heron").success();
    run("--jaws heron")
        .code(2)
        .stderr(contains("holds something already"));
    // A photo that is gone is named; the others are in.
    let archive = seepline::archive::Archive::open(&bench.archive()).unwrap();
    let first = seepline::archive::Archive::photo_path(
        &archive,
        &crate::support::records::hash(&samples::bytes("wren-full-length/jaw1.jpg")),
    )
    .unwrap();
    fs::remove_file(first).unwrap();
    let said = in_shop(
        bench.folder.path(),
        "export --labelled two --licence CC0-1.0 --jaws heron",
    )
    .ran();
    said.code(2)
        .stdout(contains("2 photos"))
        .stderr(contains("jaw1.jpg"));
}
