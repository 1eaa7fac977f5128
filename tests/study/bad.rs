//! Bad input: named, by file and line where there is one, and the rest used.

use std::fs;

use super::shop::{Study, greys};
use crate::support::program::{Run, contains, seepline};
use crate::support::samples;

#[test]
fn every_bad_line_is_named_and_the_rest_is_used() {
    let study = Study::of_greys(6, "AB,CD", 1);
    study.fill(|_| Some(("tip-only".into(), String::new())));
    study.write(
        "reader-AB/answers.csv",
        "reader,number,pattern,change_per_side,note\nAB,001,tip-only,-1thou,\nAB,002,sideways,,\nCD,003,tip-only,,\nAB,001,full-length,,\nAB,004,base-only,1,\nAB,005,base-only,1thou,\n",
    );
    let told = study.report(&[]).code(1);
    let errors = told.err();
    let file = "study/reader-AB/answers.csv";
    for (line, says) in [
        (
            3,
            "“sideways” is no pattern; write one of full-length, tip-only",
        ),
        (4, "the reader is CD on the sheet of AB"),
        (5, "number 1 is answered on an earlier line"),
        (6, "“1” has no unit"),
        (7, "“1thou” has no sign"),
    ] {
        let start = format!("{file}, line {line}: ");
        let found = errors
            .lines()
            .find(|l| l.contains(&start))
            .unwrap_or_else(|| panic!("{line}: {errors}"));
        assert!(found.contains(says), "{found}");
    }
    assert!(
        errors.contains("no line speaks of number 6; it counts as not answered"),
        "{errors}"
    );
    let report = study.report_json(&[], 1);
    assert_eq!(report["readers"][0]["calls"], 3);
    assert_eq!(report["readers"][1]["calls"], 6);
    assert_eq!(report["problems"].as_array().map(Vec::len), Some(6));
}

#[test]
fn a_change_against_its_pattern_counts_as_the_worse_of_the_two() {
    let study = Study::of_greys(3, "AB", 1);
    study.fill(|_| Some(("tip-only".into(), "+1thou".into())));
    study.truth("photo,pattern\n00.png,tip-only\n01.png,full-length\n");
    let told = study.report(&["--truth", "right.csv"]).code(1);
    assert!(told.err().contains("one of the two is the wrong way round"));
    let report = study.report_json(&["--truth", "right.csv"], 1);
    assert_eq!(
        report["readers"][0]["against_right"]["wrong_way"]["count"],
        1
    );
}

#[test]
fn sheets_as_spreadsheets_save_them_are_read() {
    let study = Study::of_greys(3, "AB,7", 1);
    study.write(
        "reader-AB/answers.csv",
        "\u{feff}reader;number;pattern;change_per_side;note\r\nab;1;Tip only;minus 1 thou;\"clear; I think\"\r\n\r\nAB;2;FULL-LENGTH;0;\r\nAB;3;;;\r\n",
    );
    study.write(
        "reader-7/answers.csv",
        "number\tpattern\n1\ttip-only\n2\tfull-length\n3\tone-side\n",
    );
    let report = study.report_json(&[], 0);
    assert_eq!(report["readers"][0]["reader"], "7");
    assert_eq!(
        (
            &report["readers"][0]["calls"],
            &report["readers"][1]["calls"]
        ),
        (&3.into(), &2.into())
    );
    assert!(report["facts"].to_string().contains("AB answered 2 of 3"));
}

#[test]
fn a_quote_left_open_and_another_encoding_are_told() {
    let study = Study::of_greys(3, "AB,CD", 1);
    study.fill(|_| Some(("tip-only".into(), "'-1thou".into())));
    study.report(&[]).code(0);
    study.write(
        "reader-AB/answers.csv",
        "number,pattern,note\n1,tip-only,\n2,tip-only,\"never closed\n3,tip-only,\n",
    );
    let wide: Vec<u8> = "number,pattern\n1,tip-only\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    fs::write(
        study.path("reader-CD/answers.csv"),
        [b"\xff\xfe", &wide[..]].concat(),
    )
    .expect("written");
    let errors = study.report(&[]).code(1).err();
    assert!(
        errors.contains("reader-AB/answers.csv, line 3: a double quote"),
        "{errors}"
    );
    assert!(
        errors.contains("reader-CD/answers.csv, line 1: the file is UTF-16"),
        "{errors}"
    );
    assert_eq!(study.report_json(&[], 1)["readers"][0]["calls"], 1);
}

#[test]
fn a_sheet_that_is_gone_or_empty_is_named() {
    let study = Study::of_greys(3, "AB,CD,EF", 1);
    study.fill(|_| Some(("tip-only".into(), String::new())));
    fs::remove_file(study.path("reader-AB/answers.csv")).expect("removed");
    study.write("reader-CD/answers.csv", "");
    let errors = study.report(&[]).code(1).err();
    assert!(
        errors.contains("reader-AB/answers.csv: the file does not exist"),
        "{errors}"
    );
    assert!(
        errors.contains("reader-CD/answers.csv, line 1: no column is called “number”"),
        "{errors}"
    );
}

#[test]
fn without_any_answer_there_is_no_report() {
    let study = Study::of_greys(3, "AB", 1);
    study
        .report(&[])
        .code(2)
        .stdout("")
        .stderr(contains("fill in answers.csv"));
    let empty = tempfile::tempdir().expect("a folder");
    seepline(empty.path())
        .args(["study", "report", "."])
        .ran()
        .code(2)
        .stderr(contains("holds no study"));
}

#[test]
fn a_damaged_or_newer_key_is_refused() {
    let study = Study::of_greys(3, "AB", 1);
    study.fill(|_| Some(("tip-only".into(), String::new())));
    let whole = fs::read_to_string(study.path("key-not-for-readers/study.json")).expect("the key");
    for (key, says) in [
        (whole[..whole.len() / 2].to_owned(), "damaged"),
        (
            whole.replacen("\"schema\": 1", "\"schema\": 2", 1),
            "layout 2",
        ),
        (
            whole.replace("\"orders\": [", "\"orders\": [[99],"),
            "damaged",
        ),
        (String::new(), "damaged"),
    ] {
        study.write("key-not-for-readers/study.json", &key);
        study.report(&[]).code(2).stdout("").stderr(contains(says));
        study
            .make(&["--readers", "AB", "--repeats", "1"])
            .code(2)
            .stderr(contains(says));
    }
}

#[test]
fn a_bad_table_of_what_was_right_is_named_and_the_rest_used() {
    let study = Study::of_greys(3, "AB", 1);
    study.fill(|_| Some(("tip-only".into(), String::new())));
    study.truth("photo,pattern,change_per_side\n00.png,tip-only,-1thou\n01.png,tippy,\n02.png,tip-only,1thou\n99.png,tip-only,\n");
    let errors = study.report(&["--truth", "right.csv"]).code(1).err();
    for says in [
        "right.csv, line 3: “tippy”",
        "right.csv, line 4: the change “1thou” has no sign",
        "right.csv, line 5: no photo of the study is called “99.png”",
    ] {
        assert!(errors.contains(says), "{errors}");
    }
    study.truth("name\n00.png\n");
    study
        .report(&["--truth", "right.csv"])
        .code(2)
        .stderr(contains("no column is called “photo”"));
    study
        .report(&["--truth", "none.csv"])
        .code(2)
        .stderr(contains("none.csv"));
}

#[test]
fn what_makes_no_study_is_refused() {
    let folder = greys(3);
    let refused = |arguments: &[&str], says: &str| {
        let mut command = seepline(folder.path());
        command.args(["study", "make"]).args(arguments);
        command.ran().code(2).stdout("").stderr(contains(says));
    };
    let make = |readers, photos| ["--photos", photos, "--readers", readers, "--into", "study"];
    refused(&make("AB,ab", "photos"), "named twice");
    refused(&make("A.B.", "photos"), "is no initials or shop number");
    refused(
        &make("somebodys-whole-name", "photos"),
        "is no initials or shop number",
    );
    refused(&make("AB,", "photos"), "is no initials or shop number");
    refused(&make("AB", "nowhere"), "is no folder");
    fs::create_dir(folder.path().join("empty")).expect("a folder");
    refused(&make("AB", "empty"), "no photos");
    let with_zero = [&make("AB", "photos")[..], &["--repeats", "0"]].concat();
    refused(&with_zero, "repeats");
    assert!(!folder.path().join("study").exists());
    fs::create_dir(folder.path().join("study")).expect("a folder");
    fs::write(folder.path().join("study/notes.txt"), "mine").expect("written");
    refused(&make("AB", "photos"), "holds no study");
}

/// The tip of both samples is up (sample-images/README.md).
#[test]
fn a_tip_that_points_elsewhere_is_told_and_not_called() {
    let study = Study { folder: greys(0) };
    for name in ["jaw1.jpg", "jaw2.jpg"] {
        let photo = samples::place("heron-too-much-taper").join(name);
        fs::copy(photo, study.folder.path().join("photos").join(name)).expect("copied");
    }
    let errors = study
        .make(&["--readers", "AB", "--tip", "down"])
        .code(0)
        .err();
    let told = errors
        .matches("does not bear out that the tip points there")
        .count();
    assert_eq!(told, 2, "{errors}");
    let key = fs::read_to_string(study.path("key-not-for-readers/study.json")).expect("the key");
    assert_eq!(key.matches("\"pattern\": \"unreadable\"").count(), 2);
}

/// One tip is up and one is to the left (sample-images/README.md, and a quarter turn).
#[test]
fn each_photo_has_its_own_tip() {
    let study = Study { folder: greys(0) };
    let photos = study.folder.path().join("photos");
    let heron = samples::place("heron-too-much-taper");
    fs::copy(heron.join("jaw1.jpg"), photos.join("a.jpg")).expect("copied");
    // As it lies in the file, without the EXIF orientation that turns it upright.
    let stored = image::open(heron.join("jaw2.jpg")).expect("a photo");
    stored.save(photos.join("b.png")).expect("written");
    let make = |into: &str, more: &[&str]| {
        let said = [&["--readers", "AB", "--repeats", "1", "--seed", "1"], more].concat();
        study.make_into(into, &said)
    };
    make("refused", &["--tip", "up", "--tip", "left", "--tip", "up"])
        .code(2)
        .stderr(contains("3 --tip for 2 photos"))
        .stderr(contains("b.png"));
    let table = study.folder.path().join("groups.csv");
    fs::write(&table, "file,tip\nb.png,left\n").expect("written");
    let table = table.display().to_string();
    let within = |into: &str, place: &str| study.folder.path().join(into).join(place);
    let key =
        |into| fs::read_to_string(within(into, "key-not-for-readers/study.json")).expect("the key");
    make("one-by-one", &["--tip", "up", "--tip", "left"]).code(0);
    make("by-table", &["--tip", "up", "--groups", &table]).code(0);
    let called = key("one-by-one");
    assert_eq!(
        called.matches("\"pattern\": \"tip-only\"").count(),
        2,
        "{called}"
    );
    assert_eq!(called, key("by-table"));
    // Everybody sees both upright.
    for name in ["1", "2"] {
        let photo = within("one-by-one", &format!("reader-AB/photos/00{name}.jpg"));
        let shown = image::open(photo).expect("a photo");
        assert!(shown.height() > shown.width());
    }
    // The same again changes nothing, and other tips are another study.
    make("one-by-one", &["--tip", "up", "--tip", "left"]).code(0);
    make("one-by-one", &["--tip", "up"])
        .code(2)
        .stderr(contains("holds another study"));
}

#[test]
fn a_broken_photo_and_a_double_are_named_and_the_rest_is_shown() {
    let study = Study { folder: greys(3) };
    let photos = study.folder.path().join("photos");
    fs::write(photos.join("broken.jpg"), b"\xff\xd8\xff\xe0 broken").expect("written");
    fs::write(photos.join("empty.jpg"), b"").expect("written");
    fs::write(photos.join("notes.txt"), b"not a photo").expect("written");
    fs::copy(photos.join("00.png"), photos.join("copy.png")).expect("copied");
    let errors = study.make(&["--readers", "AB"]).code(1).err();
    for says in [
        "broken.jpg: ",
        "empty.jpg: ",
        "copy.png: the same picture as 00.png",
    ] {
        assert!(errors.contains(says), "{errors}");
    }
    assert!(!errors.contains("notes.txt"));
    assert_eq!(study.key().len(), 6);
}

#[test]
fn making_it_again_never_touches_a_filled_in_sheet() {
    let study = Study::of_greys(4, "AB,CD", 2);
    study.fill(|_| Some(("tip-only".into(), String::new())));
    let sheet = study.path("reader-AB/answers.csv");
    let filled = fs::read(&sheet).expect("a sheet");
    let key = fs::read(study.path("key-not-for-readers/study.json")).expect("a key");
    let picture = study.path("reader-AB/photos/001.jpg");
    let shown = fs::read(&picture).expect("a picture");
    // What is missing comes back; without a seed the same order is used.
    fs::remove_file(&picture).expect("removed");
    study.make(&["--readers", "AB,CD"]).code(0);
    assert_eq!(fs::read(&picture).expect("a picture"), shown);
    for other in [
        &["--readers", "AB,CD", "--seed", "4"][..],
        &["--readers", "AB,CD", "--repeats", "3"],
        &["--readers", "AB,EF"],
        &["--readers", "AB,CD", "--method", "transfer"],
    ] {
        study
            .make(other)
            .code(2)
            .stderr(contains("holds another study"));
    }
    fs::remove_file(study.folder.path().join("photos/00.png")).expect("removed");
    study
        .make(&["--readers", "AB,CD"])
        .code(2)
        .stderr(contains("holds another study"));
    assert_eq!(fs::read(&sheet).expect("a sheet"), filled);
    assert_eq!(
        fs::read(study.path("key-not-for-readers/study.json")).expect("a key"),
        key
    );
}
