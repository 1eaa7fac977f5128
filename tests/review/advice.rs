//! A check is advised on from its lines exactly as `seepline read` advises on its photos.

use std::fmt::Write;
use std::fs;

use serde_json::Value;

use super::shop::{Shop, text};

/// The checks: jaw set, method, taper, samples.
const CHECKS: [(&str, &str, &str, &[&str]); 6] = [
    (
        "agree",
        "seep",
        "3thou",
        &[
            "heron-too-much-taper/jaw1.jpg",
            "heron-too-much-taper/jaw2.jpg",
            "heron-too-much-taper/jaw3.jpg",
        ],
    ),
    (
        "no-taper",
        "seep",
        "",
        &["wren-full-length/jaw1.jpg", "wren-full-length/jaw2.jpg"],
    ),
    (
        "odd",
        "seep",
        "4thou",
        &[
            "wren-full-length/jaw3.jpg",
            "singles/base-only-steel-on-the-chuck.jpg",
            "singles/one-side-on-the-chuck.jpg",
        ],
    ),
    (
        "refused",
        "seep",
        "2thou",
        &[
            "singles/refused-smeared.jpg",
            "singles/base-only-orange-upside-down-phone.jpg",
            "singles/ends-only-small-picture.jpg",
        ],
    ),
    (
        "film",
        "transfer",
        "0.05mm",
        &["singles/transfer-tip-only-violet.jpg"],
    ),
    (
        "rust",
        "transfer",
        "1thou",
        &["singles/transfer-base-only-rusty.jpg"],
    ),
];

#[test]
fn a_check_is_advised_on_as_read_does() {
    let shop = Shop::new();
    let mut table = "file,jaw_set,check,taper,method\n".to_owned();
    for (name, method, taper, samples) in CHECKS {
        for (jaw, sample) in samples.iter().enumerate() {
            let file = format!("{name}/jaw{jaw}.jpg");
            shop.put(sample, &file);
            writeln!(table, "{file},{name},1,{taper},{method}").unwrap();
        }
    }
    fs::write(shop.path("groups.csv"), table).unwrap();
    shop.review("out", "--groups groups.csv", 1);
    // Also from the lines alone, read back from the disk.
    shop.run("join", "out --into again");
    for into in ["out", "again"] {
        let checks = shop.lines(into, "check");
        assert_eq!(checks.len(), CHECKS.len());
        for (name, method, taper, _) in CHECKS {
            let check = checks.iter().find(|c| c["jaw_set"] == name).unwrap();
            compare(check, &read(&shop, into, check, &said(method, taper)));
        }
    }
}

fn said(method: &str, taper: &str) -> String {
    match taper {
        "" => format!("--method {method}"),
        taper => format!("--method {method} --taper {taper}"),
    }
}

/// `read --json` of the check's photos, in the check's order.
pub(super) fn read(shop: &Shop, into: &str, check: &Value, said: &str) -> Value {
    let photos = shop.lines(into, "photo");
    let file = |sha256: &Value| {
        let photo = photos.iter().find(|p| p["sha256"] == *sha256).unwrap();
        shop.photo(&text(&photo["file"])).display().to_string()
    };
    let files: Vec<String> = check["photos"]
        .as_array()
        .unwrap()
        .iter()
        .map(file)
        .collect();
    let line = format!("{} --tip up --json {said}", files.join(" "));
    serde_json::from_slice(&shop.run("read", &line).stdout).unwrap()
}

pub(super) fn compare(check: &Value, read: &Value) {
    let advised = &read["check"];
    for field in [
        "pattern",
        "action",
        "odd_jaw",
        "what_to_do",
        "why",
        "look_at_first",
        "rules",
    ] {
        assert_eq!(
            check[field], advised[field],
            "{field} of {}",
            check["jaw_set"]
        );
    }
    let um = |length: &Value| {
        length
            .as_str()
            .map(|l| l.trim_end_matches("um").parse().unwrap())
    };
    let theirs = |value: &Value| value.as_f64();
    // `read` rounds to 0.01 thou, so by up to 0.127 um, or to 0.1 um; to the last digit they are compared
    // beside the lines themselves.
    let close = |ours: Option<f64>, theirs: Option<f64>, per: f64| match (ours, theirs) {
        (Some(a), Some(b)) => (a - b * per).abs() < 0.1271,
        (a, b) => a.is_none() && b.is_none(),
    };
    let change = &advised["taper_change"];
    let next = &advised["next_taper"];
    assert!(close(
        um(&check["change"]),
        theirs(&change["per_side_um"]),
        1.0
    ));
    assert!(close(
        um(&check["low"]),
        theirs(&change["low_per_side_thou"]),
        25.4
    ));
    assert!(close(
        um(&check["high"]),
        theirs(&change["high_per_side_thou"]),
        25.4
    ));
    assert!(close(
        um(&check["next_taper"]),
        theirs(&next["per_side_um"]),
        1.0
    ));
}
