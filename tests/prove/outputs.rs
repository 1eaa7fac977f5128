//! The whole of it on photos: begun, called blind, held, judged by a feeler and by later cuts, ended; and what every
//! output says meanwhile, or does not say.

use std::fs;
use std::path::Path;

use super::secret::{FIRST_CUT, SECOND_CUT, Secret, heron, texts_in};
use crate::support::bench::Bench;
use crate::support::program::{Run, contains};
use crate::support::samples::bytes;

/// Jaws that grip along their whole length, photographed after the second cut.
fn gripping(bench: &Bench) -> Vec<String> {
    let later = |n: u32| {
        let mut photo = bytes(&format!("wren-full-length/jaw{n}.jpg"));
        let (taken, then) = (b"2026:04:29", b"2026:07:29");
        let places: Vec<usize> = photo
            .windows(10)
            .enumerate()
            .filter(|(_, w)| w == taken)
            .map(|(i, _)| i)
            .collect();
        assert!(!places.is_empty());
        for at in places {
            photo[at..at + 10].copy_from_slice(then);
        }
        let place = bench.place(&format!("later{n}.jpg"));
        fs::write(&place, photo).unwrap();
        place
    };
    (1..=3).map(later).collect()
}

/// Without the breaks that a width asks for.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// All outputs that tell of the check or its set, by name.
fn outputs(bench: &Bench, check: &str) -> Vec<(String, String)> {
    let mut all = vec![
        (
            "read".to_owned(),
            bench
                .read(&heron(), "--jaws heron --picture pictures")
                .success()
                .out(),
        ),
        (
            "read --json".to_owned(),
            bench.read(&heron(), "--jaws heron --json").success().out(),
        ),
        (
            "read alone".to_owned(),
            bench.read(&heron(), "--taper 68.7um").success().out(),
        ),
        (
            "read alone --json".to_owned(),
            bench
                .read(&heron(), "--taper 68.7um --json")
                .success()
                .out(),
        ),
    ];
    for line in [
        &*format!("check show {check}"),
        &*format!("check show {check} --json"),
        "history heron --picture history.svg",
        "history heron --json",
        "sheet heron",
        "prove-out state --curve plan.svg",
        "prove-out state --json",
        "jaws show heron",
        "recut heron --json",
        "recut heron",
        "jaws list",
        "jaws list --json",
        "people show JK --by JK",
        "people export JK --by JK",
        "people agreement --by JK --html agreement.html",
        "people agreement --by JK --json",
        "reread --into again",
        "reread --into again --json",
    ] {
        all.push((line.to_owned(), bench.run(line).success().out()));
    }
    all.push((
        "history.svg".to_owned(),
        fs::read_to_string(bench.place("history.svg")).unwrap(),
    ));
    all.push((
        "people agreement, the page".to_owned(),
        fs::read_to_string(bench.place("agreement.html")).unwrap(),
    ));
    bench.run("export exported").success();
    bench
        .run("export --labelled pack --licence CC0-1.0 --jaws heron")
        .success();
    let folder = bench.place("photos");
    fs::create_dir_all(&folder).unwrap();
    for (n, file) in heron().iter().enumerate() {
        fs::copy(file, format!("{folder}/jaw{n}.jpg")).unwrap();
    }
    bench
        .run("review photos --tip up --into reviewed --csv checks.csv")
        .success();
    bench
        .run("join reviewed --into joined --jsonl joined.jsonl")
        .success();
    for folder in ["exported", "pack", "again", "reviewed", "joined"] {
        texts_in(Path::new(&bench.place(folder)), &mut all);
    }
    for file in ["checks.csv", "joined.jsonl"] {
        all.push((
            file.to_owned(),
            fs::read_to_string(bench.place(file)).unwrap(),
        ));
    }
    all.extend(beside_the_shop(bench, &folder));
    all
}

/// What is said of the same photos where no jaw set is named: a study, practice, a call that is not filed.
fn beside_the_shop(bench: &Bench, photos: &str) -> Vec<(String, String)> {
    let called = bench.read(
        &heron(),
        "--taper 68.7um --call base-only --change=+9thou --by AB --json",
    );
    let made = bench.run(&format!(
        "study make --photos {photos} --readers AB --tip up --into study"
    ));
    let sheet = bench.place("study/reader-AB/answers.csv");
    let filled = fs::read_to_string(&sheet).unwrap();
    let filled = filled.replacen("001,,", "001,tip-only,-9thou", 1);
    fs::write(&sheet, filled).unwrap();
    let report = bench.run("study report study --html study.html --json");
    let mut all = vec![
        ("read with a call".to_owned(), called.success().out()),
        ("study make".to_owned(), made.success().out()),
        ("study report".to_owned(), report.success().out()),
        (
            "study report, the page".to_owned(),
            fs::read_to_string(bench.place("study.html")).unwrap(),
        ),
    ];
    texts_in(Path::new(&bench.place("study")), &mut all);
    all
}

/// The outputs that carry the line, by the beginnings of their names.
const WITH_LINE: [&str; 9] = [
    "read",
    "read --json",
    "read alone",
    "check show",
    "history heron",
    "history heron --json",
    "sheet",
    "prove-out state",
    "checks.csv",
];

#[test]
fn what_is_held_comes_out_nowhere_and_the_line_stands_everywhere() {
    let secret = Secret::of_heron();
    let bench = Bench::new();
    bench.run(FIRST_CUT).success();
    bench
        .run("prove-out begin --by JK --checks 2 --hold")
        .failure()
        .stderr(contains("is no lead"));
    bench.run("people lead JK on").success();
    bench
        .run("prove-out begin --by JK --checks 2 --hold")
        .success();
    bench
        .run("prove-out begin --by JK")
        .failure()
        .stderr(contains("goes on"));
    // A lead calls before the reading is shown; the amount is another than the program's.
    let called = bench
        .read(
            &heron(),
            "--jaws heron --compound blue --call tip-only --change=-7thou --by JK",
        )
        .success();
    let text = called.out();
    assert!(
        text.contains("NOT PROVEN HERE: WHAT TO CHANGE IS KEPT BACK"),
        "{text}"
    );
    assert!(
        text.contains("Open at the base: too much taper"),
        "the reading is shown: {text}"
    );
    let check = bench.checks("heron")[0]["id"].as_str().unwrap().to_owned();
    let line = "Not proven in this shop: 1 of 2 checks so far, 1 right, 0 the wrong way.";
    let told = outputs(&bench, &check);
    for (what, text) in &told {
        secret.is_not_in(what, text);
        let carries = WITH_LINE.iter().any(|w| what.starts_with(w))
            || what.ends_with("review.jsonl")
            // A pack to give away says nothing of the shop.
            || (what.ends_with("index.html") && !what.contains("/pack/"));
        assert!(!carries || one_line(text).contains(line), "{what}: {text}");
    }
    let pages = told.iter().filter(|(what, text)| {
        what.contains("reviewed") && what.ends_with("html") && text.contains(line)
    });
    assert!(pages.count() >= 2, "overview and check");
    proven(&bench, &check, &secret);
}

/// Goes on to the end: a feeler on a second check, and later cuts that prove the first.
fn proven(bench: &Bench, first: &str, secret: &Secret) {
    bench.run(SECOND_CUT).success();
    bench
        .read(&gripping(bench), "--jaws heron --compound blue")
        .success();
    let checks = bench.checks("heron");
    let second = checks[1]["id"].as_str().unwrap();
    assert_eq!(checks[1]["advice"]["action"], "held");
    let right = bench.json(&format!("check show {first}"))["right"].clone();
    assert_eq!(
        (&right["by"], &right["pattern"]),
        (&"outcome".into(), &"tip-only".into())
    );
    bench
        .run(&format!("check measured {second} neither 1thou --by AB"))
        .failure();
    bench
        .run(&format!("check measured {second} base --by AB"))
        .failure()
        .stderr(contains("the thickest leaf"));
    // A slip of the unit is not kept: it could not be read back.
    bench
        .run(&format!("check measured {second} base 9in --by AB"))
        .failure()
        .stderr(contains("check the unit"));
    bench
        .run(&format!("check measured {second} neither --by AB"))
        .success();
    let state = bench.json("prove-out state");
    assert_eq!(state["standing"], "fulfilled");
    assert_eq!(state["amount_off"]["checks"], 1);
    assert_eq!(state["strata"][0]["value"], "blue");
    bench.run("prove-out end --by AB").failure();
    bench
        .run("prove-out end --by JK")
        .success()
        .stdout(contains("Proven in this shop on 2 checks, 2 right, 0"));
    // What was kept back of a filed check stays so: the proof may fall.
    bench.run("export proven").success();
    let mut exported = Vec::new();
    texts_in(Path::new(&bench.place("proven")), &mut exported);
    for (what, text) in &exported {
        secret.is_not_in(what, text);
    }
    // Now it is said; a compound that it was not tried with is new here.
    let json = bench.read(&heron(), "--jaws heron --json").success().json();
    assert_eq!(
        (&json["check"]["action"], &json["proof"]["proven"]),
        (&"recut".into(), &true.into())
    );
    assert!(json["check"]["taper_change"].is_object());
    bench.run("jaws add finch --material steel").success();
    let line = bench
        .read(&heron(), "--jaws finch --taper 3thou --compound red --json")
        .success()
        .json();
    let line = line["proof"]["line"].as_str().unwrap().to_owned();
    assert!(
        line.ends_with("New here: compound red, material steel."),
        "{line}"
    );
    let not_tried = bench.json("prove-out state")["not_tried"].clone();
    assert!(
        not_tried
            .as_array()
            .unwrap()
            .contains(&"material steel".into()),
        "{not_tried}"
    );
}

#[test]
fn a_ruling_with_the_reading_in_sight_does_not_count() {
    let bench = Bench::new();
    bench.run(FIRST_CUT).success();
    bench.run("people lead JK on").success();
    bench
        .run("prove-out begin --by JK --at-most 5%")
        .success()
        .stdout(contains("0 of 59 checks so far"));
    bench.read(&heron(), "--jaws heron").success();
    let check = bench.checks("heron")[0]["id"].as_str().unwrap().to_owned();
    bench
        .run(&format!(
            "check rule {check} tip-only --change=-1thou --by JK"
        ))
        .success();
    bench
        .run("prove-out state")
        .success()
        .stdout(contains("0 of 59 checks so far"));
    // A feeler does: open at the tip, so the program went the wrong way.
    bench
        .run(&format!("check measured {check} tip 2thou --by AB"))
        .success()
        .stdout(contains("went the wrong"));
    let shown = bench.json(&format!("check show {check}"));
    // A ruling stands before a feeler in what was right, as before.
    assert_eq!(shown["right"]["by"], "ruling");
    // Ended, it stays unproven, and another one is the second.
    bench
        .run("prove-out end --by JK")
        .success()
        .stdout(contains("Not proven in this shop"));
    bench
        .run("prove-out begin --by JK")
        .success()
        .stdout(contains("out number 2 of this shop."));
}

#[test]
fn what_is_no_plan_is_refused() {
    let bench = Bench::new();
    bench
        .run("prove-out state")
        .failure()
        .stderr(contains("begin one with"));
    bench.run("people lead JK on").success();
    for wrong in [
        "--checks 0",
        "--checks 9999",
        "--at-most 0%",
        "--at-most 100%",
        "--at-most much",
        "--checks 5 --at-most 5%",
    ] {
        bench
            .run(&format!("prove-out begin --by JK {wrong}"))
            .code(2);
    }
    bench
        .run("prove-out end --by JK")
        .code(2)
        .stderr(contains("no prove-out goes on"));
}

/// What is right by later cuts hangs on the rules that the shop set, and every command goes by these.
#[test]
fn the_shops_own_rules_say_what_was_right() {
    let bench = Bench::new();
    let text = include_str!("../../src/taper/rules/rules.toml");
    let built_in = "threshold_median = { value = \"0.0005in\"";
    assert!(text.contains(built_in));
    let file = bench.place("shop.toml");
    // So coarse that a full-length check does not tell which way the one before was off.
    let shows_less = "threshold_median = { value = \"0.006in\"";
    fs::write(&file, text.replace(built_in, shows_less)).unwrap();
    bench.run("people lead JK on").success();
    bench.run("prove-out begin --by JK --checks 2").success();
    bench.run(FIRST_CUT).success();
    bench
        .read(
            &heron(),
            "--jaws heron --call tip-only --change=-7thou --by JK",
        )
        .success();
    bench.run(SECOND_CUT).success();
    bench.read(&gripping(&bench), "--jaws heron").success();
    let check = bench.checks("heron")[0]["id"].as_str().unwrap().to_owned();
    for (line, key) in [
        (&*format!("check show {check}"), "right"),
        ("prove-out state", "amount_off"),
        ("people export JK --by JK", "record"),
    ] {
        let told = |more: &str| bench.json(&format!("{line}{more}"))[key].clone();
        let (built_in, own) = (told(""), told(&format!(" --rules {file}")));
        assert!(!built_in.is_null() && built_in != own, "{line}: {own}");
        let mut set_once = bench.command();
        set_once
            .env("SEEPLINE_RULES", &file)
            .args(line.split_whitespace())
            .arg("--json");
        assert_eq!(set_once.ran().success().json()[key], own, "{line}");
    }
    bench
        .run(&format!("check show {check} --rules nowhere.toml"))
        .failure()
        .stderr(contains("nowhere.toml could not be read"));
}
