//! What the archive says about photos, and checks that are filed in it.

use std::fs;

use serde_json::Value;

use super::shop::Shop;

fn checks_filed(shop: &Shop, set: &str) -> Vec<Value> {
    let output = shop.run("history", &format!("{set} --json"));
    let history: Value = serde_json::from_slice(&output.stdout).unwrap();
    let cuts = history["timeline"]["cuts"].as_array().unwrap();
    let checks = cuts.iter().flat_map(|c| c["checks"].as_array().unwrap());
    checks.cloned().collect()
}

#[test]
fn filing_files_each_check_once_and_names_what_is_left() {
    let shop = Shop::with_two_checks();
    assert!(
        shop.run("jaws", "add Heron --grip outside")
            .status
            .success()
    );
    let table = "file,taper,done\nheron/jaw1.jpg,4thou,took off 2 thou\n";
    fs::write(shop.path("groups.csv"), table).unwrap();
    let said = shop.review("out", "--groups groups.csv --file", 0);
    assert!(said.contains("1 checks filed, 0 filed already"), "{said}");
    assert!(
        said.contains("1 checks of wren, which is not in the archive"),
        "{said}"
    );
    let filed = checks_filed(&shop, "heron");
    assert_eq!(filed.len(), 1);
    assert_eq!(filed[0]["readings"].as_array().unwrap().len(), 3);
    assert_eq!(filed[0]["done"], "took off 2 thou");

    let said = shop.review("out", "--groups groups.csv --file", 0);
    assert!(said.contains("0 checks filed, 1 filed already"), "{said}");
    assert_eq!(checks_filed(&shop, "heron"), filed);

    // Without the table the archive says the same, under its own id, wherever the photos lie.
    fs::rename(shop.photo("heron"), shop.photo("moved")).unwrap();
    shop.review("out", "", 0);
    let checks = shop.lines("out", "check");
    let heron = checks.iter().find(|c| c["jaw_set"] == "Heron").unwrap();
    assert_eq!(heron["check"], filed[0]["id"]);
    assert_eq!(heron["taper"], "101.6um");
    assert_eq!(heron["done"], "took off 2 thou");
}

#[test]
fn filing_without_an_archive_is_refused() {
    let shop = Shop::with_two_checks();
    let output = shop.run("review", "checks --into out --file");
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn what_was_filed_as_of_one_jaw_is_read_together_again() {
    let shop = Shop::with_two_checks();
    let added = shop.run("jaws", "add Heron --grip outside");
    assert!(added.status.success());
    let table =
        "file,taper,jaw\nheron/jaw1.jpg,3thou,1\nheron/jaw2.jpg,3thou,2\nheron/jaw3.jpg,3thou,1\n";
    fs::write(shop.path("groups.csv"), table).unwrap();
    shop.review("out", "--groups groups.csv --file", 0);
    let of = |shop: &Shop| {
        let checks = shop.lines("out", "check");
        checks
            .into_iter()
            .find(|c| c["grip"] == "outside" && c["taper"] == "76.2um")
            .unwrap()
    };
    let told = of(&shop);
    // The archive says so without the table, and nothing is read again.
    let said = shop.review("out", "", 0);
    assert_eq!(super::shop::read_now(&said), 0, "{said}");
    assert!(!said.contains("together"), "{said}");
    let filed = of(&shop);
    assert_eq!(filed["jaws"], told["jaws"]);
    assert_eq!(filed["jaws"][0]["photos"], serde_json::json!([0, 2]));
    for field in ["action", "change", "low", "high", "look_at_first"] {
        assert_eq!(filed[field], told[field], "{field}");
    }
    // Filed is what they say together.
    let together = &checks_filed(&shop, "heron")[0]["readings"][0];
    assert_eq!(together["pattern"], filed["jaws"][0]["reading"]["pattern"]);
}
