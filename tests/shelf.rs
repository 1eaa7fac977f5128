//! The verbs of the archive as a user runs them, on the photos of `sample-images`. That filing loses and
//! doubles nothing is plumbing: what counts is here compared with the files themselves.

use std::fs;
use std::path::{Path, PathBuf};

use crate::support::bench::Bench;
use crate::support::program::{Run, contains, lacks};
use crate::support::samples::{jaws, sample};
use serde_json::Value;

mod clock;

/// A shop with a jaw set called heron, of which the pressures are known.
fn with_heron() -> Bench {
    let shop = Bench::bare();
    shop.run("jaws add heron --production-pressure 300psi --boring-pressure 100psi")
        .success();
    shop
}

#[test]
fn a_check_is_filed_once_with_its_photos_as_they_are() {
    let shop = with_heron();
    let photos = jaws("heron-too-much-taper");
    shop.read(&photos[..1], "--jaws heron --taper 4thou")
        .success()
        .stdout(contains("one is begun; filed as check"));
    // The other two jaws with the first again: the same check, whole.
    shop.read(&photos, "--jaws heron")
        .success()
        .stdout(contains("2 more photos filed in check"));
    shop.read(&photos, "--jaws heron")
        .success()
        .stdout(contains("filed already as check"));
    // One alone is still advised on with the others of its check.
    shop.read(&photos[1..2], "--jaws heron")
        .success()
        .stdout(contains("seep-in check, outside grip, 3 photos"));

    let checks = shop.checks("heron");
    assert_eq!(checks.len(), 1);
    let readings = checks[0]["readings"].as_array().expect("readings");
    assert_eq!(readings.len(), 3);
    for photo in &photos {
        let bytes = fs::read(photo).expect("the sample");
        let kept = all_files(&shop.archive().join("photos"));
        let same = kept.iter().filter(|k| fs::read(k).expect("kept") == bytes);
        assert_eq!(
            same.count(),
            1,
            "{photo} lies in the archive once, as it was"
        );
    }
}

#[test]
fn photos_of_one_jaw_are_filed_with_the_jaw_counted_once() {
    let shop = with_heron();
    let photos = jaws("heron-too-much-taper");
    shop.read(
        &photos,
        "--jaws heron --taper 4thou --jaw 1 --jaw 1 --jaw 2",
    )
    .stdout(contains("3 photos of 2 jaws"));
    let filed = || shop.checks("heron")[0].clone();
    let readings = |check: &Value| check["readings"].as_array().expect("readings").clone();
    let first = filed();
    let of = |index: usize, field: &str| readings(&first)[index][field].clone();
    assert_eq!(readings(&first).len(), 3);
    // The second of the jaw's photos holds nothing that could count again; its own reading is in the detail.
    assert_eq!(of(0, "pattern"), "tip-only");
    assert_eq!(
        (of(1, "pattern"), of(1, "refusal"), of(1, "seen")),
        ("unreadable".into(), Value::Null, Value::Null)
    );
    let id = first["id"].as_str().expect("an id");
    let whole = readings(&shop.json(&format!("check show {id}")));
    assert_eq!(whole[1]["detail"]["pattern"], "tip-only");
    assert_eq!(whole[0]["detail"]["alone"]["pattern"], "tip-only");

    // Read again, any of them: which jaw it is of is known.
    let again: Value = shop.read(&photos[1..2], "--jaws heron --json").json();
    let joined = again["jaws"].as_array().expect("jaws");
    assert_eq!(joined.len(), 1);
    assert_eq!(joined[0]["photos"].as_array().map(Vec::len), Some(2));
    assert_eq!(shop.checks("heron").len(), 1);
    let jaws = |check: &Value| {
        readings(check)
            .iter()
            .filter(|r| !r["seen"].is_null())
            .count()
    };
    assert_eq!(jaws(&filed()), 2);

    shop.run(&format!("check show {id}"))
        .stdout(contains("jaw 2"))
        .stdout(contains("read with"))
        .stdout(lacks("jaw 3"));
}

fn all_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let place = entry.expect("an entry").path();
        if place.is_dir() {
            files.extend(all_files(&place));
        } else {
            files.push(place);
        }
    }
    files
}

#[test]
fn a_later_check_is_advised_on_with_the_earlier_one() {
    let shop = with_heron();
    shop.read(&jaws("wren-full-length"), "--jaws heron --taper 2thou")
        .success();
    let alone = estimate_width(&shop);
    shop.read(&jaws("heron-too-much-taper"), "--jaws heron --taper 4thou")
        .success()
        .stdout(contains("a new cut is noted with the taper given"));
    let together = estimate_width(&shop);
    assert!(together < alone, "{together} against {alone} thousandths");
}

#[test]
fn a_filed_check_keeps_its_conditions_when_the_set_has_others() {
    let shop = with_heron();
    let photos = jaws("heron-too-much-taper");
    shop.run("jaws change heron --machine north").success();
    let first = shop.read(&photos, "--jaws heron --taper 4thou --compound blue --json");
    let first = first.success().json();
    shop.run("jaws change heron --machine south --production-pressure 250psi")
        .success();
    let again = shop.read(&photos, "--jaws heron --json");
    let again = again.success().json();
    assert_eq!(
        again["check"]["taper_change"],
        first["check"]["taper_change"]
    );
    shop.read(&photos, "--jaws heron --pressure 200psi")
        .success()
        .stdout(contains("filed with another pressure, which stands"));
    let filed = &shop.checks("heron")[0];
    assert_eq!(filed["mounting"]["machine"], "north");
}

/// The photos are of July 2026; nothing of that time is noted.
#[test]
fn photos_older_than_every_cut_are_not_of_it() {
    let shop = with_heron();
    shop.run("cut add heron --taper 1thou").success();
    let photos = jaws("heron-too-much-taper");
    let read = shop.read(&photos, "--jaws heron --json").success();
    let read = read.json();
    assert!(
        read["check"]["next_taper"].is_null(),
        "the taper is not known"
    );
    // Said later, it is noted with their cut, and not with the other.
    shop.read(&photos, "--jaws heron --taper 4thou").success();
    let history = shop.json("history heron");
    let cuts = history["timeline"]["cuts"].as_array().expect("cuts");
    let tapers: Vec<&Value> = cuts.iter().map(|c| &c["cut"]["taper"]).collect();
    assert_eq!(tapers.len(), 2, "{history}");
    assert_ne!(tapers[0], tapers[1]);
    assert_eq!(cuts[0]["checks"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_slip_of_the_unit_in_a_cut_is_refused() {
    let shop = with_heron();
    for taper in ["4mm", "300in"] {
        shop.run(&format!("cut add heron --taper {taper}"))
            .failure()
            .stderr(contains("check the unit"));
    }
    let id = shop.json("cut add heron --taper 4thou")["id"].clone();
    let id = id.as_str().expect("an id");
    shop.run(&format!("cut change {id} --taper 4mm"))
        .failure()
        .stderr(contains("check the unit"));
    assert!(
        shop.run(&format!("cut show {id}"))
            .success()
            .out()
            .contains("4.0")
    );
}

#[test]
fn an_old_cut_noted_late_leaves_what_the_set_is_now() {
    let shop = with_heron();
    shop.run("cut add heron --taper 3thou --diameter 2.6in --stock-left 0.1in")
        .success();
    shop.run("cut add heron --taper 4thou --diameter 2.5in --stock-left 0.2in --made 2020-01-02T08:00:00")
        .success();
    shop.run("jaws show heron")
        .success()
        .stdout(contains("2.6").and(contains("0.1")).and(lacks("2.500")));
}

#[test]
fn what_spoils_the_comparison_is_said_before_the_advice() {
    let shop = with_heron();
    shop.read(&jaws("wren-full-length"), "--jaws heron --taper 2thou")
        .success();
    let later = jaws("heron-too-much-taper");
    let read = shop.read(
        &later,
        "--jaws heron --taper 4thou --pressure 250psi --compound blue",
    );
    let text = read.success().out();
    let said = text
        .find("pressure: was 300 psi (20.7 bar), is 250 psi (17.2 bar)")
        .expect("the pressure");
    let advice = text.find("CUT AGAIN").expect("the advice");
    assert!(said < advice);
    assert!(!text.contains("compound: was"), "unknown is no difference");
}

/// Of the interval of the needed taper after the last check, in thousandths per side.
fn estimate_width(shop: &Bench) -> f64 {
    let history = shop.json("history heron");
    let last = history["estimates"]
        .as_array()
        .expect("estimates")
        .last()
        .cloned();
    let needed = last.expect("a check")["needed"].clone();
    let thou = |end: &str| needed[end]["per_side_thou"].as_f64().expect("a number");
    thou("high") - thou("low")
}

#[test]
fn a_taper_that_contradicts_what_is_filed_is_refused() {
    let shop = with_heron();
    let photos = jaws("heron-too-much-taper");
    shop.read(&photos, "--jaws heron --taper 4thou").success();
    shop.read(&photos, "--jaws heron --taper 3thou")
        .code(2)
        .stdout("")
        .stderr(contains("filed under a cut of 4.0 thou per side"));
    shop.read(&photos, "--jaws heron --grip inside")
        .code(2)
        .stderr(contains("filed with the other grip"));
}

#[test]
fn a_set_that_is_not_there_costs_no_reading() {
    let shop = with_heron();
    shop.read(&["missing.jpg".to_owned()], "--jaws heran")
        .code(2)
        .stderr(contains("did you mean “heron”?"));
    let nobody = Bench::bare();
    nobody
        .run("jaws list")
        .code(2)
        .stderr(contains("holds no archive"));
    assert!(!nobody.archive().exists(), "looking makes nothing");
}

#[test]
fn deleting_asks_and_only_hides() {
    let shop = with_heron();
    shop.read(&jaws("wren-full-length"), "--jaws heron --taper 2thou")
        .success();
    // There is no terminal to ask on.
    shop.run("jaws delete heron")
        .code(2)
        .stderr(contains("--yes"));
    assert_eq!(shop.json("jaws list").as_array().map(Vec::len), Some(1));
    shop.run("jaws delete heron --yes").success();
    assert_eq!(shop.json("jaws list").as_array().map(Vec::len), Some(0));
    shop.run("jaws restore heron").success();
    assert_eq!(shop.checks("heron").len(), 1);
}

#[test]
fn records_are_changed_field_by_field() {
    let shop = with_heron();
    shop.command()
        .args([
            "jaws",
            "change",
            "heron",
            "--notes",
            "skim the back face",
            "--stock",
            "0.2in",
        ])
        .ran()
        .success();
    let set = shop.json("jaws show HERON");
    assert_eq!(set["stock"], "5080um");
    assert_eq!(set["notes"], "skim the back face");
    shop.run("jaws change heron --forget notes --rename wren")
        .success();
    let set = shop.json("jaws show wren");
    assert_eq!(set["notes"], Value::Null);
    assert_eq!(set["stock"], "5080um");
    shop.run("jaws change wren --forget colour")
        .code(2)
        .stderr(contains("no field that can be cleared"));
    shop.run("jaws add Wren")
        .code(2)
        .stderr(contains("already"));
}

#[test]
fn archives_are_copied_joined_and_written_out() {
    let shop = with_heron();
    shop.read(&jaws("wren-full-length"), "--jaws heron --taper 2thou")
        .success();
    let copy = shop.place("copy");
    shop.run(&format!("backup {copy}")).success();
    shop.run(&format!("backup {copy}")).code(2);
    let other = Bench::bare();
    other.run("jaws add plover").success();
    for added in [
        "1 jaw sets, 1 cuts, 1 checks, 3 photos",
        "0 jaw sets, 0 cuts, 0 checks, 0 photos",
    ] {
        other
            .run(&format!("merge {copy}"))
            .success()
            .stdout(contains(added));
    }
    assert_eq!(other.checks("heron"), shop.checks("heron"));

    let written = other.place("written");
    other.run(&format!("export {written}")).success();
    other
        .run(&format!("export {written}"))
        .code(2)
        .stderr(contains("there already"));
    let third = Bench::bare();
    third
        .run(&format!("import sets {written}/jaw_sets.csv"))
        .success()
        .stdout(contains("2 jaw sets added"));
    assert_eq!(
        third.json("jaws show heron")["production_pressure"],
        shop.json("jaws show heron")["production_pressure"]
    );
}

#[test]
fn a_folder_of_photos_becomes_checks_by_the_time_taken() {
    let shop = with_heron();
    let folder = shop.folder.path().join("old photos");
    fs::create_dir(&folder).expect("a folder");
    // The names are in another order than the times.
    for (check, taper) in [("heron-too-much-taper", "a"), ("wren-full-length", "b")] {
        for (index, photo) in jaws(check).iter().enumerate() {
            fs::copy(photo, folder.join(format!("{taper}-{index}.jpg"))).expect("copied");
        }
    }
    fs::write(folder.join("notes.txt"), "not a photo").expect("written");
    let import = |tips: &[&str], tapers: &[&str]| {
        let mut command = shop.command();
        command.args(["import", "photos", "heron"]).arg(&folder);
        command.args(tips.iter().flat_map(|tip| ["--tip", tip]));
        for taper in tapers {
            command.args(["--taper", taper]);
        }
        command.ran()
    };
    import(&["up"], &["4thou"])
        .code(2)
        .stderr(contains("make 2 checks, and 1 tapers were given"));
    import(&["up", "down"], &["2thou", "4thou"])
        .code(2)
        .stderr(contains("2 --tip for 6 photos"));
    // Once for all, then once per photo.
    for tips in [&["up"][..], &["up"; 6]] {
        import(tips, &["2thou", "4thou"]).success();
        let checks = shop.checks("heron");
        assert_eq!(checks.len(), 2);
        let patterns: Vec<_> = checks
            .iter()
            .map(|c| c["advice"]["pattern"].clone())
            .collect();
        assert_eq!(patterns, ["full-length", "tip-only"]);
    }
}

#[test]
fn what_was_done_is_noted() {
    let shop = with_heron();
    shop.read(&jaws("heron-too-much-taper"), "--jaws heron --taper 4thou")
        .success();
    let id = shop.checks("heron")[0]["id"].as_str().expect("an id")[..8].to_owned();
    shop.command()
        .args(["check", "done", &id, "took 2 thou off"])
        .ran()
        .success();
    shop.run("history heron")
        .success()
        .stdout(contains("done: took 2 thou off"));
    shop.run("check show ffffffff")
        .code(2)
        .stderr(contains("ffffffff"));
}

/// Two hundred kills of the program itself, most of them near its end, where it files. The archive's own
/// tests kill a process that only files, ten times as densely; this one takes minutes.
#[test]
#[ignore = "takes minutes; run with --ignored"]
fn a_killed_command_leaves_its_check_whole_or_absent() {
    const KILLS: u32 = 200;
    let shop = with_heron();
    let photo = fs::read(sample("heron-too-much-taper/jaw1.jpg")).expect("the sample");
    let start = |kill: u32| {
        // Bytes after the picture's end make it another file.
        let file = shop.folder.path().join(format!("{kill}.jpg"));
        fs::write(&file, [&photo[..], &kill.to_be_bytes()].concat()).expect("written");
        shop.command()
            .args(["read", "--tip", "up", "--jaws", "heron", "--taper", "4thou"])
            .arg(&file)
            .stdout(std::process::Stdio::null())
            .spawn()
            .expect("started")
    };
    let begun = std::time::Instant::now();
    assert!(start(KILLS).wait().expect("ended").success());
    let whole = begun.elapsed();
    let mut filed = 1;
    for kill in 0..KILLS {
        let mut child = start(kill);
        // From seven tenths of the time that a whole run took to a little beyond.
        std::thread::sleep(whole.mul_f64(0.7 + 0.4 * f64::from(kill) / f64::from(KILLS)));
        let _ = child.kill();
        let status = child.wait().expect("ended");
        let archive = seepline::archive::Archive::open(&shop.archive()).expect("it opens");
        assert_eq!(archive.verify().expect("it is read"), []);
        let checks = shop.checks("heron");
        let readings = |c: &Value| c["readings"].as_array().map_or(0, Vec::len);
        assert!(checks.iter().all(|c| readings(c) == 1), "each whole");
        assert!(checks.len() == filed || checks.len() == filed + 1);
        assert!(!status.success() || checks.len() == filed + 1);
        filed = checks.len();
    }
    println!("{} of {KILLS} were filed before the kill", filed - 1);
}
