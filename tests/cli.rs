//! The program as a user runs it: arguments, exit status, messages, streams.

use std::fs;
use std::path::PathBuf;

use crate::support::program::{Run, contains, lacks, seepline};
use std::process::Command;
use tempfile::TempDir;

/// A folder with three grey pictures that show no jaw.
fn folder_of_pictures() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (index, name) in ["a.png", "b.png", "c.png"].iter().enumerate() {
        let grey = image::Luma([100 + index as u8]);
        let picture = image::GrayImage::from_pixel(320, 240, grey);
        picture.save(folder.path().join(name)).expect("written");
    }
    folder
}

fn write(folder: &TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let place = folder.path().join(name);
    fs::write(&place, bytes).expect("written");
    place
}

fn json_of(command: &mut Command, status: i32) -> serde_json::Value {
    command.ran().code(status).json()
}

/// Refused before any photo is opened: status 2, nothing on the standard output.
fn refused_command(arguments: &[&str], message: &str) {
    let folder = folder_of_pictures();
    seepline(folder.path())
        .args(["read", "a.png", "b.png", "c.png"])
        .args(arguments)
        .ran()
        .code(2)
        .stdout("")
        .stderr(contains(message));
}

#[test]
fn a_taper_without_a_unit_is_refused_with_examples() {
    refused_command(&["--taper", "3"], "no unit");
    refused_command(&["--taper", "3"], "0.003in");
}

#[test]
fn a_negative_taper_is_refused_by_its_meaning() {
    refused_command(&["--taper", "-0.003in"], "more material is left at the tip");
}

#[test]
fn a_taper_with_the_wrong_unit_is_refused() {
    refused_command(&["--taper", "3in"], "check the unit");
    refused_command(&["--taper", "3mm"], "check the unit");
}

#[test]
fn lengths_that_no_face_has_are_refused() {
    refused_command(&["--length", "0"], "is zero; give the length as measured");
    refused_command(&["--length", "-1in"], "is below zero");
    refused_command(&["--length", "1mm"], "2 mm to 500 mm");
    refused_command(&["--clearance", "-1mm"], "is below zero");
    refused_command(&["--clearance", "1000mm"], "up to 500 mm");
    refused_command(&["--length", "1.25"], "no unit");
}

#[test]
fn two_corners_for_three_photos_are_counted() {
    let corners = "10,10 300,10 300,200 10,200";
    refused_command(
        &["--corners", corners, "--corners", corners],
        "2 --corners for 3 photos; give --corners once per photo",
    );
}

#[test]
fn corners_that_are_no_corners_are_refused() {
    refused_command(
        &["--corners", "1,2 3,4 5,6"],
        "3 corners where four are needed",
    );
    refused_command(&["--corners", "1,2 3,4 5,6 x"], "write x,y in pixels");
}

#[test]
fn a_missing_or_broken_rules_file_is_named() {
    refused_command(&["--rules", "none.toml"], "none.toml could not be read");
    let folder = folder_of_pictures();
    write(&folder, "rules.toml", b"this is [ no table");
    seepline(folder.path())
        .args(["read", "a.png", "--rules", "rules.toml"])
        .ran()
        .code(2)
        .stderr(contains("rules.toml").and(contains("line 1")));
}

/// One bad file among good pictures: status 2, a message with the remedy, and the others are read.
fn bad_file(name: &str, remedy: &str, prepare: impl Fn(&TempDir)) {
    let folder = folder_of_pictures();
    prepare(&folder);
    let mut command = seepline(folder.path());
    let report = json_of(command.args(["read", "--json", "a.png", name, "b.png"]), 2);
    let photos = report["photos"].as_array().expect("photos");
    assert_eq!(photos.len(), 3);
    assert_eq!(photos[1]["file"], name);
    let error = photos[1]["error"].as_str().expect("a message");
    assert!(error.contains(remedy), "{error}");
    for good in [&photos[0], &photos[2]] {
        assert!(
            good["error"].is_null() && good["sha256"].is_string(),
            "{good}"
        );
    }
    let mut command = seepline(folder.path());
    command
        .args(["read", "a.png", name, "b.png"])
        .ran()
        .code(2)
        .stdout(
            contains(name)
                .and(contains("NOT READ"))
                .and(contains("3. b.png")),
        )
        .stderr(contains(format!("{name}: ")).and(contains(remedy)));
}

#[test]
fn a_folder_does_not_stop_the_others() {
    bad_file("jaws", "name the photos in it", |folder| {
        fs::create_dir(folder.path().join("jaws")).expect("a folder");
    });
}

#[test]
fn a_missing_file_does_not_stop_the_others() {
    bad_file("none.jpg", "does not exist; check the name", |_| {});
}

#[test]
fn a_text_file_named_jpg_does_not_stop_the_others() {
    bad_file("text.jpg", "JPEG", |folder| {
        write(folder, "text.jpg", b"these are words, not a photo");
    });
}

#[test]
fn an_empty_file_does_not_stop_the_others() {
    bad_file("empty.jpg", "empty; copy the photo again", |folder| {
        write(folder, "empty.jpg", b"");
    });
}

/// Corners of the middle one of three pictures.
fn bad_corners(corners: &str, message: &str) {
    let folder = folder_of_pictures();
    let good = "40,30 280,30 280,210 40,210";
    let mut command = seepline(folder.path());
    command.args(["read", "--json", "a.png", "b.png", "c.png"]);
    command.args(["--corners", good, "--corners", corners, "--corners", good]);
    let report = json_of(&mut command, 2);
    let error = report["photos"][1]["error"].as_str().expect("a message");
    assert!(error.contains(message), "{error}");
    assert!(report["photos"][2]["error"].is_null());
}

#[test]
fn impossible_corners_spoil_only_their_photo() {
    bad_corners("nan,30 280,30 280,210 40,210", "no number");
    bad_corners("inf,30 280,30 280,210 40,210", "no number");
    bad_corners("40,30 280,210 280,30 40,210", "cross over");
    bad_corners("280,30 40,30 40,210 280,210", "left and right are swapped");
    bad_corners("9,9 9,9 9,9 9,9", "next to nothing");
    bad_corners("40,30 2800,30 2800,2100 40,2100", "320 by 240 px");
    bad_corners("-400,30 280,30 280,210 40,210", "outside the picture");
}

#[test]
fn the_tip_is_said_once_for_all_photos_or_once_per_photo() {
    let folder = folder_of_pictures();
    let read = |tips: &[&str]| {
        let mut command = seepline(folder.path());
        command.args(["read", "--json", "a.png", "b.png", "c.png"]);
        command.args(tips.iter().flat_map(|tip| ["--tip", tip]));
        command
    };
    for good in [&[][..], &["left"], &["up", "unsaid", "down"]] {
        json_of(&mut read(good), 1);
    }
    let refused = |tips: &[&str], remedy: &str| {
        read(tips).ran().code(2).stderr(contains(remedy));
    };
    refused(&["up", "down"], "2 --tip for 3 photos");
    refused(&["skyward"], "up, down, left, right or unsaid");
}

#[test]
fn a_value_that_begins_with_a_minus_is_a_value() {
    let folder = folder_of_pictures();
    let mut command = seepline(folder.path());
    command.args(["read", "a.png", "--taper", "-2thou"]);
    let refused = command.ran().code(2);
    let reason = refused.err();
    assert!(!reason.contains("unexpected argument"), "{reason}");
    assert!(reason.contains("-2thou"), "{reason}");
    let mut command = seepline(folder.path());
    command.args(["read", "--json", "a.png", "--call", "tip-only"]);
    command.args(["--change", "-1thou", "--by", "AB"]);
    json_of(&mut command, 1);
}

#[test]
fn a_picture_without_a_jaw_is_refused_with_status_1() {
    let folder = folder_of_pictures();
    let mut command = seepline(folder.path());
    let report = json_of(command.args(["read", "--json", "a.png"]), 1);
    assert_eq!(report["schema"], 1);
    let photo = &report["photos"][0];
    assert_eq!(photo["pattern"], "unreadable");
    assert!(photo["refusal"]["advice"].is_string());
    assert!(report["check"]["taper_change"].is_null());
    assert_eq!(report["check"]["action"], "retake");
}

#[test]
fn the_same_picture_twice_counts_once() {
    let folder = folder_of_pictures();
    fs::copy(folder.path().join("a.png"), folder.path().join("copy.png")).expect("copied");
    let mut command = seepline(folder.path());
    let report = json_of(
        command.args(["read", "--json", "a.png", "b.png", "copy.png"]),
        1,
    );
    assert_eq!(report["photos"][2]["same_as"], 0);
    let warnings = report["photos"][2]["warnings"].to_string();
    assert!(
        warnings.contains("the same picture as a.png: counted once"),
        "{warnings}"
    );
    seepline(folder.path())
        .args(["read", "a.png", "b.png", "copy.png"])
        .ran()
        .stdout(contains("3 photos, 2 counted"));
}

#[test]
fn nothing_is_coloured_off_a_terminal_or_with_no_color() {
    let folder = folder_of_pictures();
    let no_escape = || lacks("\u{1b}");
    seepline(folder.path())
        .args(["read", "a.png"])
        .ran()
        .stdout(no_escape());
    seepline(folder.path())
        .env("NO_COLOR", "1")
        .args(["read", "a.png", "none.jpg"])
        .ran()
        .stdout(no_escape())
        .stderr(no_escape());
}

#[test]
fn colour_can_be_forced() {
    let folder = folder_of_pictures();
    seepline(folder.path())
        .env("CLICOLOR_FORCE", "1")
        .args(["read", "a.png"])
        .ran()
        .stdout(contains("\u{1b}["));
}

#[test]
fn a_c_locale_gets_ascii() {
    let folder = folder_of_pictures();
    let output = seepline(folder.path())
        .env("LC_ALL", "C")
        .args(["read", "a.png"])
        .ran()
        .out();
    assert!(output.is_ascii(), "{output}");
}

#[test]
fn the_report_is_the_same_every_time() {
    let folder = folder_of_pictures();
    let run = || {
        let mut command = seepline(folder.path());
        command.args(["read", "--json", "a.png", "b.png", "c.png"]);
        command.ran().out()
    };
    assert_eq!(run(), run());
}

#[test]
fn pictures_of_equal_names_do_not_overwrite_each_other() {
    let folder = folder_of_pictures();
    fs::create_dir(folder.path().join("other")).expect("a folder");
    fs::copy(
        folder.path().join("b.png"),
        folder.path().join("other/a.png"),
    )
    .expect("copied");
    let mut command = seepline(folder.path());
    command.args([
        "read",
        "--json",
        "a.png",
        "other/a.png",
        "--picture",
        "out/new",
    ]);
    let report = json_of(&mut command, 1);
    for photo in report["photos"].as_array().expect("photos") {
        let place = folder
            .path()
            .join(photo["picture"].as_str().expect("a place"));
        assert!(image::open(&place).is_ok(), "{}", place.display());
    }
    let written = fs::read_dir(folder.path().join("out/new"))
        .expect("the folder")
        .count();
    assert_eq!(written, 2);
}

#[test]
fn a_picture_folder_that_is_a_file_is_reported_and_the_report_still_printed() {
    let folder = folder_of_pictures();
    seepline(folder.path())
        .args(["read", "a.png", "--picture", "b.png"])
        .ran()
        .code(2)
        .stdout(contains("1. a.png"))
        .stderr(contains("b.png could not be made"));
}

#[test]
fn help_has_examples_and_the_exit_status() {
    let folder = folder_of_pictures();
    for flag in ["--help", "-h"] {
        seepline(folder.path())
            .args(["read", flag])
            .ran()
            .success()
            .stdout(contains(
                "seepline read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --taper 0.003in",
            ))
            .stdout(contains("Exit status: 0"));
    }
    seepline(folder.path())
        .arg("--version")
        .ran()
        .success()
        .stdout(contains("seepline 0."))
        .stdout(contains("commit").and(contains("rules")));
    seepline(folder.path())
        .ran()
        .code(2)
        .stderr(contains("Example:"));
}

#[test]
fn completions_and_the_manual_are_printed() {
    let folder = folder_of_pictures();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let command = seepline(folder.path())
            .args(["completions", shell])
            .ran()
            .success();
        command.stdout(contains("clearance"));
    }
    let manual = seepline(folder.path()).arg("manual").ran().success();
    manual.stdout(
        contains(".TH seepline")
            .and(contains("clearance"))
            .and(contains("Exit status")),
    );
}

#[test]
fn a_bare_zero_needs_no_unit() {
    let folder = folder_of_pictures();
    seepline(folder.path())
        .args(["read", "a.png", "--clearance", "0", "--taper", "0"])
        .ran()
        .code(1);
}

#[test]
fn the_doctor_says_what_is_lacking_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let doctor = |archive: &str| {
        let output = seepline(folder.path())
            .args(["doctor", "--archive", archive])
            .output()
            .expect("the program runs");
        assert!(output.status.code().is_some_and(|code| code < 2));
        (
            String::from_utf8(output.stdout).expect("text"),
            output.status.code(),
        )
    };
    let (said, _) = doctor("none/yet");
    assert!(said.contains("good   archive: there is none"), "{said}");
    assert!(said.contains("HEIC photos") && said.contains("network"));
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 0);
    // Another program's file stands where the archive would be.
    fs::create_dir(folder.path().join("taken")).expect("a folder");
    fs::write(folder.path().join("taken/archive.sqlite"), "no database").expect("a file");
    let (said, status) = doctor("taken");
    assert!(said.contains("LACKS  archive"), "{said}");
    assert_eq!(status, Some(1));
    let (said, _) = doctor("taken/archive.sqlite");
    assert!(said.contains("is no folder"), "{said}");
}
