//! What belongs together.

use std::fs;

use super::shop::{Shop, text};

#[test]
fn the_folder_and_a_pause_make_the_checks() {
    let shop = Shop::with_two_checks();
    shop.review("out", "", 0);
    let checks = shop.lines("out", "check");
    let of = |i: usize| (text(&checks[i]["jaw_set"]), text(&checks[i]["pattern"]));
    assert_eq!(checks.len(), 2);
    // The samples' truth: see sample-images/README.md.
    assert_eq!(of(0), ("heron".into(), "tip-only".into()));
    assert_eq!(of(1), ("wren".into(), "full-length".into()));
    for photo in shop.lines("out", "photo") {
        let check = checks
            .iter()
            .find(|c| c["check"] == photo["check"])
            .unwrap();
        let photos = check["photos"].as_array().unwrap();
        assert!(photos.contains(&photo["sha256"]));
    }
}

#[test]
fn the_table_stands_before_the_folder_and_its_bad_lines_are_named() {
    let shop = Shop::with_two_checks();
    let table = "file;jaw_set;check;taper;done;colour\n\
        heron/jaw1.jpg;plover;a;3thou;took off 1 thou;\n\
        heron/jaw2.jpg;plover;a;0.003in;;\n\
        heron/jaw3.jpg;plover;b;3;;\n\
        wren/jaw1.jpg;=wren;a;;;\n\
        nothing.jpg;plover;a;;;\n\
        jaw2.jpg;plover;a;;;\n";
    fs::write(shop.path("groups.csv"), table).unwrap();
    let line = "checks --tip up --into out --groups groups.csv --csv table.csv --jsonl copy.jsonl";
    let output = shop.run("review", line);
    assert_eq!(output.status.code(), Some(0));
    let errors = String::from_utf8(output.stderr).unwrap();
    for (line, what) in [
        (1, "colour"),
        (4, "no unit"),
        (6, "no photo"),
        (7, "several"),
    ] {
        let named = format!("groups.csv, line {line}: ");
        let said = errors.lines().find(|l| l.contains(&named));
        assert!(said.is_some_and(|l| l.contains(what)), "{line}: {errors}");
    }
    let checks = shop.lines("out", "check");
    let named = |name: &str| checks.iter().find(|c| c["jaw_set"] == name).unwrap();
    let plover = named("plover");
    assert_eq!(plover["photos"].as_array().unwrap().len(), 2);
    assert_eq!(plover["taper"], "76.2um");
    assert_eq!(plover["done"], "took off 1 thou");
    assert_eq!(named("heron")["photos"].as_array().unwrap().len(), 1);
    assert_eq!(named("wren")["photos"].as_array().unwrap().len(), 2);
    assert_eq!(named("=wren")["photos"].as_array().unwrap().len(), 1);

    // A spreadsheet would take the name for a formula.
    let csv = fs::read_to_string(shop.path("table.csv")).unwrap();
    assert!(
        csv.contains(",'=wren,") && !csv.contains(",=wren,"),
        "{csv}"
    );
    assert_eq!(csv.lines().count(), 1 + checks.len());
    let photos = fs::read_to_string(shop.path("table-photos.csv")).unwrap();
    assert_eq!(photos.lines().count(), 7);
    assert_eq!(
        fs::read(shop.path("copy.jsonl")).unwrap(),
        shop.result("out")
    );
}

#[test]
fn a_method_in_the_table_is_read_so() {
    let shop = Shop::new();
    shop.put("singles/transfer-tip-only-violet.jpg", "plover/a.jpg");
    shop.put("heron-too-much-taper/jaw1.jpg", "plover/b.jpg");
    fs::write(shop.path("groups.csv"), "file,method\na.jpg,transfer\n").unwrap();
    shop.review("out", "--groups groups.csv", 0);
    let photos = shop.lines("out", "photo");
    // The samples' truth: see sample-images/README.md.
    assert_eq!(
        (&photos[0]["method"], &photos[0]["pattern"]),
        (&"transfer".into(), &"tip-only".into())
    );
    assert_eq!(photos[1]["method"], "seep");
}
