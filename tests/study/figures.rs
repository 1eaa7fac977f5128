//! The report's figures against published tables fed through the sheets, and recounted here.

use serde_json::Value;

use super::shop::{Place, Study, index};
use crate::support::samples;

/// Five patterns for five categories: nominal figures do not ask which.
const FIVE: [&str; 5] = [
    "full-length",
    "tip-only",
    "base-only",
    "one-side",
    "held-off",
];

fn near(value: &Value, expected: f64, within: f64) {
    let value = value.as_f64().expect("a number");
    assert!((value - expected).abs() < within, "{value} {expected}");
}

/// Fleiss, Psychol. Bull. 76:378, 1971, as statsmodels' tests carry it: 30 subjects, six raters, kappa
/// 0.4302445. Nominal alpha without gaps follows: κ + (1 − κ)/180.
const DIAGNOSES: [&str; 30] = [
    "444444", "222555", "233335", "555555", "222444", "113333", "333355", "113334", "114444",
    "555555", "144444", "124444", "222333", "144444", "224445", "333335", "111455", "111112",
    "224444", "133555", "555555", "244444", "224555", "114444", "144445", "222224", "111155",
    "224444", "133333", "555555",
];

#[test]
fn fleiss_own_table_through_six_sheets() {
    let study = Study::of_greys(30, "R0,R1,R2,R3,R4,R5", 1);
    study.fill(|place| {
        let rater: usize = place.reader[1..].parse().expect("a number");
        let diagnosis = DIAGNOSES[index(&place.photo)].as_bytes()[rater] - b'1';
        Some((FIVE[usize::from(diagnosis)].into(), String::new()))
    });
    let report = study.report_json(&[], 0);
    let people = &report["groups"][0];
    assert_eq!(people["readers"].as_array().map(Vec::len), Some(6));
    assert_eq!(
        (people["photos"].as_u64(), people["called_by_all"].as_u64()),
        (Some(30), Some(30))
    );
    near(&people["fleiss_kappa"]["value"], 0.430_244_5, 5e-8);
    near(
        &people["alpha_nominal"]["value"],
        0.430_244_5 + (1.0 - 0.430_244_5) / 180.0,
        1e-7,
    );
    assert_eq!(people["fleiss_kappa"]["interval"], "bootstrap-percentile");
    let ends = ["low", "high"].map(|end| people["fleiss_kappa"][end].as_f64().expect("an end"));
    assert!(ends[0] < 0.43 && ends[1] > 0.43, "{ends:?}");
    // The program called all these unreadable, so nothing was right.
    assert_eq!(report["right"]["not_known"], 30);
    assert_eq!(
        report["readers"][0]["against_right"]["none"],
        "nothing-right"
    );
}

/// A SAS printout in statsmodels' tests (`table10`): rows the first reader, columns the second.
#[test]
fn a_printed_table_of_two_readers_through_two_sheets() {
    let table = [[0, 4, 1], [0, 8, 0], [0, 1, 5]];
    let cells = |(r, row): (usize, &[usize; 3])| -> Vec<[usize; 2]> {
        row.iter()
            .enumerate()
            .flat_map(|(c, n)| vec![[r, c]; *n])
            .collect()
    };
    let calls: Vec<[usize; 2]> = table.iter().enumerate().flat_map(cells).collect();
    let study = Study::of_greys(calls.len(), "AB,CD", 1);
    study.fill(|place| {
        let reader = usize::from(place.reader == "CD");
        Some((
            FIVE[calls[index(&place.photo)][reader]].into(),
            String::new(),
        ))
    });
    let report = study.report_json(&[], 0);
    let compared = &report["pairs"][0]["compared"];
    assert_eq!(
        report["pairs"][0]["readers"],
        serde_json::json!(["AB", "CD"])
    );
    let kappa = &compared["kappa"];
    let printed =
        ["value", "low", "high"].map(|k| format!("{:.4}", kappa[k].as_f64().unwrap_or(9.0)));
    assert_eq!(printed, ["0.4842", "0.2137", "0.7547"]);
    assert_eq!(kappa["interval"], "asymptotic");
    assert_eq!(compared["agreement"]["count"], 13);
    // tip-only (1) against base-only (2): one in the last row.
    assert_eq!(compared["opposed"]["count"], 1);
}

/// What two people call of twelve photos in two rounds, made up: photo, right, AB twice, CD twice.
const CALLED: [(&str, [&str; 2], [&str; 2]); 12] = [
    (
        "full-length",
        ["full-length", "full-length"],
        ["full-length", "tip-only"],
    ),
    (
        "full-length",
        ["full-length", "one-side"],
        ["full-length", "full-length"],
    ),
    (
        "tip-only",
        ["tip-only", "tip-only"],
        ["base-only", "tip-only"],
    ),
    (
        "tip-only",
        ["tip-only", "tip-only"],
        ["base-only", "base-only"],
    ),
    (
        "tip-only",
        ["tip-only", "full-length"],
        ["tip-only", "tip-only"],
    ),
    ("base-only", ["base-only", "base-only"], ["tip-only", ""]),
    (
        "base-only",
        ["base-only", "base-only"],
        ["base-only", "base-only"],
    ),
    (
        "one-side",
        ["one-side", "one-side"],
        ["one-side", "tip-only"],
    ),
    (
        "ends-only",
        ["ends-only", "full-length"],
        ["middle-only", "middle-only"],
    ),
    (
        "edges-only",
        ["edges-only", "edges-only"],
        ["tip-only", "tip-only"],
    ),
    (
        "held-off",
        ["held-off", "unreadable"],
        ["held-off", "held-off"],
    ),
    (
        "unreadable",
        ["unreadable", "unreadable"],
        ["full-length", "unreadable"],
    ),
];

fn called(place: &Place) -> Option<(String, String)> {
    let (_, ab, cd) = CALLED[index(&place.photo)];
    let of = if place.reader == "AB" { ab } else { cd };
    let pattern = of[place.round as usize - 1];
    (!pattern.is_empty()).then(|| (pattern.into(), String::new()))
}

/// Every pair of right and called of one person, recounted from the table above.
fn judgements(person: &str) -> Vec<(&'static str, &'static str)> {
    let of = |row: &(&'static str, [&'static str; 2], [&'static str; 2])| {
        let calls = if person == "AB" { row.1 } else { row.2 };
        calls.map(|c| (row.0, c))
    };
    CALLED
        .iter()
        .flat_map(of)
        .filter(|(_, c)| !c.is_empty())
        .collect()
}

fn counted(share: &Value) -> (u64, u64) {
    let of = |key: &str| {
        share[key]
            .as_u64()
            .unwrap_or_else(|| panic!("a share: {share}"))
    };
    (of("count"), of("of"))
}

type Case = fn(&str) -> bool;

#[test]
fn misses_false_alarms_and_the_wrong_way_recounted() {
    let study = Study::of_greys(12, "AB,CD", 2);
    study.fill(called);
    let lines = CALLED
        .iter()
        .enumerate()
        .map(|(at, (right, ..))| format!("{at:02}.png,{right}\n"));
    study.truth(&format!("photo,pattern\n{}", lines.collect::<String>()));
    let report = study.report_json(&["--truth", "right.csv"], 0);
    let work: Case = |p| p != "full-length" && p != "unreadable";
    let taper: Case = |p| p == "tip-only" || p == "base-only";
    for (at, person) in ["AB", "CD"].into_iter().enumerate() {
        let all = judgements(person);
        let count = |case: Case, hit: fn(&str, &str) -> bool| {
            let of: Vec<_> = all.iter().filter(|(r, _)| case(r)).collect();
            (
                of.iter().filter(|(r, c)| hit(r, c)).count() as u64,
                of.len() as u64,
            )
        };
        let found = &report["readers"][at];
        assert_eq!(found["reader"], person);
        let found = &found["against_right"];
        assert_eq!(
            counted(&found["effectiveness"]),
            count(|_| true, |r, c| r == c)
        );
        assert_eq!(
            counted(&found["misses"]),
            count(work, |_, c| c == "full-length")
        );
        let needless = |_: &str, c: &str| c != "full-length" && c != "unreadable";
        assert_eq!(
            counted(&found["false_alarms"]),
            count(|p| p == "full-length", needless)
        );
        let opposite = |r: &str, c: &str| r != c && c.ends_with("p-only") | c.starts_with("base");
        assert_eq!(counted(&found["wrong_way"]), count(taper, opposite));
        assert_eq!(
            counted(&found["refused"]),
            count(|p| p != "unreadable", |_, c| c == "unreadable")
        );
    }
    // By hand: AB differs between rounds on photos 1, 4, 8 and 10; CD on 0, 2, 7 and 11, and turned 2.
    let again = |at: usize| &report["readers"][at]["repeatability"];
    assert_eq!(counted(&again(0)["same"]), (8, 12));
    assert_eq!(counted(&again(1)["same"]), (7, 11));
    assert_eq!(
        (counted(&again(0)["turned"]), counted(&again(1)["turned"])),
        ((0, 12), (1, 11))
    );
    assert_eq!(report["small"], true);
}

#[test]
fn kappa_of_two_rounds_is_that_of_all_pairs() {
    let study = Study::of_greys(12, "AB,CD", 2);
    study.fill(called);
    let report = study.report_json(&[], 0);
    // Round by round, where both called; kappa by its plain definition.
    let pairs: Vec<_> = CALLED
        .iter()
        .flat_map(|(_, ab, cd)| ab.iter().zip(cd).map(|(a, c)| (*a, *c)))
        .filter(|(_, c)| !c.is_empty())
        .collect();
    let n = pairs.len() as f64;
    let same = pairs.iter().filter(|(a, c)| a == c).count() as f64 / n;
    let mut words: Vec<&str> = pairs.iter().flat_map(|(a, c)| [*a, *c]).collect();
    words.sort_unstable();
    words.dedup();
    let by_chance = |word: &&str| {
        let of_ab = pairs.iter().filter(|(a, _)| a == word).count() as f64;
        let of_cd = pairs.iter().filter(|(_, c)| c == word).count() as f64;
        of_ab * of_cd / (n * n)
    };
    let chance: f64 = words.iter().map(by_chance).sum();
    let kappa = &report["pairs"][0]["compared"]["kappa"];
    near(&kappa["value"], (same - chance) / (1.0 - chance), 1e-12);
    assert_eq!(kappa["interval"], "bootstrap-percentile");
}

/// Everybody calls the same pattern everywhere: no kappa, and said why.
#[test]
fn a_table_with_one_category_has_no_kappa() {
    let study = Study::of_greys(4, "AB,CD", 2);
    study.fill(|_| Some(("tip-only".into(), "-1thou".into())));
    study.truth(
        "photo,pattern\n00.png,tip-only\n01.png,tip-only\n02.png,tip-only\n03.png,tip-only\n",
    );
    let report = study.report_json(&["--truth", "right.csv"], 0);
    assert_eq!(
        report["pairs"][0]["compared"]["kappa"]["none"],
        "one-category"
    );
    assert_eq!(report["groups"][0]["fleiss_kappa"]["none"], "one-category");
    assert_eq!(report["groups"][0]["alpha_nominal"]["none"], "one-category");
    let against = &report["readers"][0]["against_right"];
    assert_eq!(against["false_alarms"]["none"], "no-such-case");
    assert_eq!(counted(&against["effectiveness"]), (8, 8));
}

#[test]
fn the_program_is_a_reader_and_not_its_own_judge() {
    let folder = tempfile::tempdir().expect("a folder");
    let photos = folder.path().join("photos");
    std::fs::create_dir(&photos).expect("a folder");
    for (from, to) in [
        ("heron-too-much-taper/jaw1.jpg", "heron1.jpg"),
        ("wren-full-length/jaw1.jpg", "wren1.jpg"),
    ] {
        std::fs::copy(samples::place(from), photos.join(to)).expect("copied");
    }
    let study = Study { folder };
    study
        .make(&["--readers", "AB", "--repeats", "1", "--tip", "up"])
        .code(0);
    study.fill(|place| {
        let heron = place.photo.starts_with("heron");
        Some(if heron {
            ("base-only".into(), "+2thou".into())
        } else {
            ("full-length".into(), "0".into())
        })
    });
    let report = study.report_json(&[], 0);
    assert_eq!(
        report["right"]["known"],
        serde_json::json!([{"rests_on": "program", "photos": 2}])
    );
    assert_eq!(
        counted(&report["readers"][0]["against_right"]["wrong_way"]),
        (1, 1)
    );
    assert_eq!(report["readers"][1]["reader"], "seepline");
    assert_eq!(
        report["readers"][1]["against_right"]["none"],
        "rests-on-itself"
    );
    // The renderer's truth (sample-images/README.md): heron has too much taper, wren grips in full.
    study.truth("photo,pattern,change_per_side,rests_on\nheron1.jpg,tip-only,minus 55.9um,later-cuts\nwren1.jpg,full-length,0,lead\n");
    let report = study.report_json(&["--truth", "right.csv"], 0);
    let program = &report["readers"][1]["against_right"];
    assert_eq!(counted(&program["effectiveness"]), (2, 2));
    assert_eq!(counted(&program["wrong_way"]), (0, 1));
    assert_eq!(program["changes"]["wrong_sign"], 0);
    let person = &report["readers"][0]["against_right"];
    assert_eq!(
        (
            counted(&person["wrong_way"]),
            &person["changes"]["wrong_sign"]
        ),
        ((1, 1), &serde_json::json!(1))
    );
}
