//! Escaping, links, sameness and sizes.

use std::collections::{BTreeMap, BTreeSet};

use seepline::report::{picture_path, thumb_path};
use seepline::{JawLine, JawReading, Pattern, Rules};

use super::shop::{Shop, broken, check, photo, shop};
use super::{folder, heading, pages};

const HOSTILE: [&str; 10] = [
    "",
    "<script>alert(1)</script>",
    "</script><img src=x onerror=alert(1)>",
    "\"><b onmouseover='alert(1)'>",
    "heron\u{202e}nerw\u{2066}",
    "../../../etc/passwd",
    "a\u{0}\u{1b}[31m\u{2028}b",
    "javascript:alert(1)",
    "con",
    "Ħéřøñ 鷺 🐦",
];

fn hostile() -> Shop {
    let mut shop = Shop::default();
    for (i, text) in HOSTILE.iter().enumerate() {
        let line = shop.add(check(Some(text), i as i64, 30, -10), 2);
        line.done = Some((*text).into());
        line.why = (*text).into();
        line.what_to_do = (*text).into();
        line.look_at_first = vec![(*text).into()];
        line.rules = (*text).into();
        line.made = Some((*text).into());
        line.check = (*text).into();
        line.jaws = vec![jaw_of_two(text)];
        let photo = shop.photos.last_mut().expect("a photo");
        photo.file = (*text).into();
        photo.warnings = vec![(*text).into()];
        photo.same_as = vec![(*text).into()];
        photo.taken = Some((*text).into());
        photo.program = (*text).into();
        let mut bad = broken(900 + i as u64);
        bad.sha256 = (*text).into();
        bad.error = Some((*text).into());
        shop.photos.push(bad);
    }
    shop
}

/// Both photos of a check as one jaw, with that warning.
fn jaw_of_two(warning: &str) -> JawLine {
    let alone = photo(0, "", Pattern::TipOnly);
    JawLine {
        jaw: 1,
        photos: vec![0, 1],
        reading: JawReading {
            method: alone.method,
            pattern: alone.pattern,
            confidence: alone.confidence,
            refusal: alone.refusal,
            warnings: vec![warning.to_owned()],
            profile: alone.profile,
            along_sd: Vec::new(),
            bands: alone.bands,
            contact: alone.contact,
            tip_contradicted: false,
            tip_unsaid: false,
            method_contradicted: false,
        },
    }
}

fn is_page(path: &str) -> bool {
    path.rsplit('.').next() == Some("html")
}

/// Element names in a page; texts and values have no `<`.
fn tags(html: &str) -> BTreeSet<String> {
    let open = html
        .split('<')
        .skip(1)
        .map(|t| t.split([' ', '>', '/']).next().unwrap_or_default());
    open.map(str::to_owned).collect()
}

#[test]
fn hostile_texts_add_no_element() {
    let plain = folder(&shop(12));
    let known: BTreeSet<String> = plain.values().flat_map(|page| tags(page)).collect();
    for (path, page) in folder(&hostile()) {
        for text in [
            "<script>a",
            "<img src=x",
            "<b on",
            "\u{202e}",
            "\u{2066}",
            "\u{0}",
            "\u{1b}",
        ] {
            assert!(!page.contains(text), "{path}: {text:?}");
        }
        if is_page(&path) {
            let new: Vec<String> = tags(&page).difference(&known).cloned().collect();
            assert!(new.is_empty(), "{path}: {new:?}");
        }
        if path.starts_with("data/") {
            assert!(!page.contains('<') && !page.contains('\u{2028}'), "{path}");
        }
    }
}

#[test]
fn paths_are_plain_and_stay_in_the_folder() {
    for path in folder(&hostile()).keys() {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-./".contains(c);
        assert!(path.chars().all(plain) && !path.contains(".."), "{path}");
        assert!(
            path.matches('/').count() <= 1 && !path.contains("/."),
            "{path}"
        );
    }
}

/// Values of `href` and `src`.
fn links(page: &str) -> Vec<String> {
    let values = |key: &str| -> Vec<String> {
        page.split(key)
            .skip(1)
            .filter_map(|p| p.split('"').next())
            .map(str::to_owned)
            .collect()
    };
    [values(" href=\""), values(" src=\"")].concat()
}

/// Where a link of a page at `path` leads, without what follows `#`.
fn target(path: &str, link: &str) -> String {
    let file = link.split('#').next().unwrap_or_default();
    match (file.strip_prefix("../"), path.split_once('/')) {
        (Some(up), Some(_)) => up.to_owned(),
        (None, Some((folder, _))) => format!("{folder}/{file}"),
        (_, None) => file.to_owned(),
    }
}

fn broken_links(shop: &Shop, folder: &BTreeMap<String, String>) -> Vec<String> {
    let of =
        |make: fn(&str) -> Option<String>| shop.photos.iter().filter_map(move |p| make(&p.sha256));
    let pictures: BTreeSet<String> = of(thumb_path).chain(of(picture_path)).collect();
    let mut broken = Vec::new();
    for (path, page) in folder.iter().filter(|(p, _)| is_page(p)) {
        for link in links(page).iter().filter(|l| !l.starts_with('#')) {
            let to = target(path, link);
            if !folder.contains_key(&to) && !pictures.contains(&to) {
                broken.push(format!("{path}: {link}"));
            }
        }
    }
    broken
}

#[test]
fn every_link_leads_to_a_page_or_a_picture() {
    for shop in [shop(0), shop(12), shop(1300), hostile()] {
        let folder = folder(&shop);
        assert_eq!(broken_links(&shop, &folder), Vec::<String>::new());
    }
}

#[test]
fn every_check_is_on_a_page_of_its_set_and_in_the_data() {
    let shop = shop(1300);
    let folder = folder(&shop);
    let listed: String = folder
        .iter()
        .filter(|(p, _)| p.starts_with("sets/"))
        .map(|(_, t)| t.as_str())
        .collect();
    for line in &shop.checks {
        let page = format!("checks/{}.html", line.check);
        assert!(folder.contains_key(&page));
        assert!(listed.contains(&page));
        assert!(folder["data/checks-0.js"].contains(&line.check));
    }
}

#[test]
fn the_same_check_id_twice_loses_neither() {
    let mut shop = Shop::default();
    shop.add(check(Some("heron"), 1, 30, 0), 1);
    shop.add(check(Some("heron"), 1, 30, 0), 1);
    let checks = folder(&shop)
        .into_keys()
        .filter(|p| p.starts_with("checks/"));
    assert_eq!(checks.count(), 2);
}

#[test]
fn a_check_page_says_both_ways_in_both_units() {
    let mut shop = Shop::default();
    let id = shop.add(check(Some("wren"), 1, 30, -10), 3).check.clone();
    let page = &folder(&shop)[&format!("checks/{id}.html")];
    // 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8); on the diameter twice per side.
    for text in [
        "-1.0 thou (-0.025 mm) per side",
        "-2.0 thou (-0.051 mm) on the diameter",
        "3.0 thou (0.076 mm) per side",
        "2.0 thou (0.051 mm) per side",
        "-1.5 to -0.5 thou (-0.038 to -0.013 mm) per side",
        "wren</bdi>, check of 2024-01-02 07:30",
        "open at the base: too much taper",
    ] {
        assert!(page.contains(text), "{text}");
    }
    for caution in Rules::built_in().cautions() {
        let first = caution.split('\'').next().unwrap_or_default();
        assert!(page.contains(first), "{caution}");
    }
    assert_eq!(page.matches("loading=\"lazy\"").count(), 3);
    assert_eq!(page.matches("<figure class=\"strip\">").count(), 3);
}

#[test]
fn checks_of_a_set_lead_to_one_another() {
    let mut shop = Shop::default();
    let ids: Vec<String> = [(2, "wren"), (1, "wren"), (1, "heron"), (3, "wren")]
        .map(|(day, set)| shop.add(check(Some(set), day, 30, 0), 1).check.clone())
        .into();
    let folder = folder(&shop);
    let page = &folder[&format!("checks/{}.html", ids[0])];
    assert!(page.contains(&format!("rel=\"prev\" href=\"../checks/{}.html\"", ids[1])));
    assert!(page.contains(&format!("rel=\"next\" href=\"../checks/{}.html\"", ids[3])));
    let alone = &folder[&format!("checks/{}.html", ids[2])];
    assert!(!alone.contains("rel=\"prev\"") && !alone.contains("rel=\"next\""));
}

#[test]
fn the_same_lines_make_the_same_bytes() {
    let shop = shop(300);
    assert_eq!(pages(&shop), pages(&shop));
}

#[test]
fn nothing_is_loaded_from_elsewhere() {
    for (path, page) in folder(&shop(30)) {
        for text in [
            "http:",
            "https:",
            "//cdn",
            "url(\"",
            "@import",
            "fetch(",
            "innerHTML",
            "eval(",
        ] {
            assert!(!page.contains(text), "{path}: {text}");
        }
    }
}

#[test]
fn ten_thousand_photos_stay_small() {
    let shop = shop(3300);
    let photos = shop.photos.len();
    assert!(photos > 10_000);
    let folder = folder(&shop);
    let size = |path: &str| folder[path].len();
    assert!(size("index.html") < 150_000, "{}", size("index.html"));
    assert!(size("checks.html") < 10_000, "{}", size("checks.html"));
    let data: usize = folder
        .iter()
        .filter(|(p, _)| p.starts_with("data/") && *p != "data/questions.js")
        .map(|(_, t)| t.len())
        .sum();
    let asked = super::questions(&shop).asked.len();
    let questions = size("data/questions.js");
    assert!(questions / asked < 500, "{}", questions / asked);
    // A hash of 64 digits each, and a third of a row of about 100.
    assert!(data / photos < 120, "{}", data / photos);
    let largest = folder
        .iter()
        .filter(|(p, _)| p.starts_with("checks/"))
        .map(|(_, t)| t.len())
        .max();
    assert!(largest.is_some_and(|l| l < 25_000), "{largest:?}");
    let set = folder
        .iter()
        .filter(|(p, _)| p.starts_with("sets/"))
        .map(|(_, t)| t.len())
        .max();
    assert!(set.is_some_and(|l| l < 400_000), "{set:?}");
}

#[test]
fn pages_are_made_when_they_are_asked_for() {
    let shop = shop(300);
    let (photos, checks, none) = (&shop.photos, &shop.checks, seepline::Questions::default());
    let mut all =
        seepline::report::review_pages(photos, checks, &none, Rules::built_in(), heading());
    assert_eq!(all.next().map(|p| p.path), Some("index.html".to_owned()));
}

#[test]
fn a_photo_that_is_missing_or_has_no_hash_has_no_picture() {
    let mut shop = Shop::default();
    let line = shop.add(check(Some("heron"), 1, 30, 0), 1);
    line.photos.push("../../x".into());
    line.pattern = Pattern::FullLength;
    let id = line.check.clone();
    let page = &folder(&shop)[&format!("checks/{id}.html")];
    assert!(page.contains("This photo is not among the results."));
    assert_eq!(thumb_path("../../x"), None);
    assert_eq!(picture_path(&"A".repeat(64)), None);
}
