//! The pages: light, whole in themselves, for everyone, and without a trace of where a photo was taken.

use std::io::Cursor;

use serde_json::json;

use super::client::{Answer, Client};
use super::samples::{heron, photo};
use super::server::{Server, run};
use super::uploads::set_id;
use crate::support::exif_notes;

/// A shop that has something on every page.
struct Shop {
    server: Server,
    pages: Vec<String>,
}

impl Shop {
    fn open() -> Self {
        let server = Server::start();
        for name in [
            "wren",
            "plover <b>",
            "very-long-name-of-a-jaw-set-that-somebody-has-typed-without-any-blank-in-it",
        ] {
            let output = crate::support::program::in_shop(server.shop.path(), "jaws add")
                .arg(name)
                .output()
                .unwrap();
            assert!(output.status.success());
        }
        let phone = server.phone();
        let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
        for jaw in 1..=3 {
            phone.photo(&check, jaw, "jaw.jpg", &heron(jaw)).expect(200);
        }
        let filed = phone
            .json("POST", &format!("/api/checks/{check}/file"), &json!({}))
            .expect(200)
            .json();
        let id = filed["filed"]["check"].as_str().unwrap();
        let quick = server.begin(json!({}));
        phone
            .photo(&quick, 1, "jaw.jpg", &photo("singles/refused-smeared.jpg"))
            .expect(200);
        let pages = vec![
            "/".into(),
            format!("/checks/{check}"),
            format!("/checks/{quick}"),
            "/sets/heron".into(),
            format!("/filed/{id}"),
            "/start".into(),
            "/start?jaws=heron&feeler=2thou&open_end=tip&face_length=2in".into(),
            "/recut".into(),
            "/recut?jaws=heron&run_out=minus".into(),
            "/recut?jaws=heron&worn=yes&workpiece_diameter=2in".into(),
            "/nothing".into(),
        ];
        Self { server, pages }
    }

    fn phone(&self) -> Client {
        self.server.phone()
    }
}

/// Addresses in the page's attributes.
fn links<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let mark = format!("{attribute}=\"");
    page.split(&*mark)
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

#[test]
fn pages_are_light_and_whole_in_themselves() {
    let shop = Shop::open();
    let script = shop.phone().get("/page.js").expect(200).body.len();
    for path in &shop.pages {
        let page = shop.phone().get(path);
        assert_eq!(
            page.header("content-type"),
            Some("text/html; charset=utf-8"),
            "{path}"
        );
        // With the script the whole page stays below 100 kB; photos of jaws come after it.
        assert!(
            page.body.len() + script < 100_000,
            "{path}: {} + {script} bytes",
            page.body.len()
        );
        let text = page.text();
        assert!(
            !text.contains("<link rel=\"stylesheet\"")
                && !text.contains("@import")
                && !text.contains("url("),
            "{path}"
        );
        assert_eq!(text.matches("<script").count(), 1, "{path}");
        assert!(
            text.contains("defer"),
            "{path}: drawn before the script has come"
        );
        let all = [" src", " href", " action"]
            .map(|a| links(&text, a))
            .concat();
        for link in all {
            let own = link.starts_with('/') && !link.starts_with("//")
                || link.starts_with('#')
                || link == "data:,";
            assert!(own, "{path}: {link}");
            let here = link.split('#').next().unwrap();
            let gets = text.contains(&format!("href=\"{link}\""))
                || text.contains(&format!("src=\"{link}\""));
            if gets && here.starts_with('/') {
                shop.phone().get(&here.replace("&amp;", "&")).expect(200);
            }
        }
    }
}

/// The style sheet is known to the content policy by its hash (Content Security Policy Level 3, 6.7.2.4): else a
/// browser draws the page without it.
#[test]
fn the_policy_lets_the_pages_own_style_through_and_nothing_else() {
    use base64::Engine;
    use sha2::Digest;
    let shop = Shop::open();
    for path in &shop.pages {
        let page = shop.phone().get(path);
        let text = page.text();
        let style = text
            .split("<style>")
            .nth(1)
            .and_then(|s| s.split("</style>").next())
            .expect("a style");
        let hash = base64::engine::general_purpose::STANDARD
            .encode(sha2::Sha256::digest(style.as_bytes()));
        let policy = page.header("content-security-policy").unwrap();
        assert!(
            policy.contains(&format!("style-src 'sha256-{hash}'")),
            "{path}: {policy}"
        );
        assert!(
            !text.contains(" style=\"") && !text.contains(" onclick"),
            "{path}"
        );
    }
}

#[test]
fn every_control_has_a_name_and_every_picture_its_words() {
    let shop = Shop::open();
    for path in &shop.pages {
        let text = shop.phone().get(path).text();
        assert!(
            text.contains("<html lang=\"en\">") && text.contains("name=\"viewport\""),
            "{path}"
        );
        assert_eq!(text.matches("<h1").count(), 1, "{path}");
        assert_eq!(
            text.matches("<img").count(),
            text.matches(" alt=\"").count(),
            "{path}"
        );
        // A control stands in its label, or names itself.
        let mut rest = &text[..];
        while let Some(at) = rest
            .find("<input type=\"text\"")
            .or_else(|| rest.find("<input type=\"file\""))
        {
            let tag = &rest[at..at + rest[at..].find('>').unwrap()];
            let before = &rest[..at];
            let in_label = before.rfind("<label") > before.rfind("</label");
            assert!(in_label || tag.contains("aria-label"), "{path}: {tag}");
            rest = &rest[at + 1..];
        }
        let mut ids: Vec<&str> = links(&text, " id");
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "{path}: an id twice");
        assert!(
            !text.contains("--tip") && !text.contains("--corners"),
            "{path}"
        );
    }
}

#[test]
fn the_basic_path_works_with_forms_alone() {
    let server = Server::start();
    let phone = server.phone();
    let set = set_id(&phone);
    let first = phone.get("/").expect(200).text();
    assert!(
        first.contains(&format!("name=\"jaw_set\" value=\"{set}\"")),
        "{first}"
    );
    let begun = phone.form("/checks", &[("jaw_set", &set)]).expect(303);
    let check = begun.header("location").unwrap().to_owned();
    let settings = [
        ("method", "seep"),
        ("tip", "up"),
        ("taper", "3.5"),
        ("taper_unit", "thou"),
        ("length", ""),
        ("clearance", ""),
        ("compound", ""),
        ("pressure", ""),
    ];
    phone
        .form(&format!("{check}/settings"), &settings)
        .expect(303);
    let id = check.rsplit('/').next().unwrap();
    for jaw in 1..=3 {
        phone
            .upload(id, Some(jaw), &[("image.jpg", &heron(jaw))])
            .expect(303);
    }
    let page = phone.get(&check).expect(200).text();
    for words in [
        "CUT AGAIN WITH LESS TAPER",
        "thou per side",
        "thou on the diameter",
        "−2.0",
        "−4.0",
        "tip-only",
        "File this check",
        "a new cut is noted",
    ] {
        assert!(
            page.to_lowercase().contains(&words.to_lowercase()),
            "no “{words}”: {page}"
        );
    }
    phone.form(&format!("{check}/file"), &[]).expect(303);
    assert!(
        phone
            .get("/sets/heron")
            .expect(200)
            .text()
            .contains("3.5 thou")
    );
    assert!(
        phone
            .get("/sets/heron/history.svg")
            .expect(200)
            .text()
            .starts_with("<svg")
    );
    // What was chosen is there the next time.
    let cookies: Vec<&str> = begun
        .head
        .iter()
        .filter(|(n, _)| n == "set-cookie")
        .map(|(_, v)| v.as_str())
        .collect();
    assert!(
        cookies
            .iter()
            .any(|c| c.starts_with("seepline-last=") && c.contains("HttpOnly")),
        "{cookies:?}"
    );
    phone.form(&format!("{check}/discard"), &[]).expect(303);
    phone.get(&check).expect(404);
}

#[test]
fn method_tip_and_taper_are_remembered() {
    let server = Server::start();
    let mut phone = server.phone();
    let fields = [
        ("jaw_set", ""),
        ("method", "transfer"),
        ("grip", "inside"),
        ("tip", "left"),
        ("taper", "0.08mm"),
        ("taper_unit", "thou"),
    ];
    let begun = phone.form("/checks", &fields).expect(303);
    let last = begun
        .header("set-cookie")
        .unwrap()
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let cookie = phone.cookie.take().unwrap();
    phone.cookie = Some(format!("{cookie}; {last}"));
    let page = phone.get("/").expect(200).text();
    for chosen in [
        "value=\"transfer\" selected",
        "value=\"inside\" selected",
        "value=\"left\" selected",
    ] {
        assert!(page.contains(chosen), "{chosen}: {page}");
    }
    // 0.08 mm is 3.1496 thousandths of an inch (1 in = 25.4 mm, NIST SP 811, appendix B.8).
    assert!(page.contains("value=\"3.1496\""), "{page}");
    // What no longer makes sense is forgotten, not an error.
    phone.cookie = Some(format!("{cookie}; seepline-last=method=x&&tip"));
    phone.get("/").expect(200);
}

fn shows_place(answer: &Answer) -> bool {
    let text = answer.text().to_lowercase();
    let words = [
        "gps",
        "latitude",
        "48.858",
        "172.294",
        &exif_notes::PLACE_NAME.to_lowercase(),
    ];
    let numbers = [exif_notes::LATITUDE[2].0, exif_notes::LONGITUDE[2].0];
    let holds = |n: &u32| {
        let has = |needle: &[u8]| answer.body.windows(4).any(|w| w == needle);
        has(&n.to_be_bytes()) || has(&n.to_le_bytes())
    };
    words.iter().any(|w| text.contains(w)) || numbers.iter().any(holds)
}

#[test]
fn where_a_photo_was_taken_is_in_no_response() {
    let server = Server::start();
    let phone = server.phone();
    let pixels = image::load_from_memory(&heron(1)).unwrap().into_rgb8();
    let bytes = exif_notes::jpeg(&pixels, 90, Some(exif_notes::location()));
    let as_sent = Answer {
        status: 200,
        head: Vec::new(),
        body: bytes.clone(),
    };
    assert!(
        shows_place(&as_sent),
        "the photo must hold the place to begin with"
    );
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    let state = phone.photo(&check, 1, "jaw1.jpg", &bytes).expect(200);
    phone
        .form(&format!("/checks/{check}/file"), &[])
        .expect(303);
    let photo = state.json()["photos"][0].clone();
    let filed = phone.get(&format!("/api/checks/{check}")).json()["filed"]["check"]
        .as_str()
        .unwrap()
        .to_owned();
    let pictures = [
        photo["picture"].as_str().unwrap(),
        photo["photo"].as_str().unwrap(),
    ];
    for path in pictures {
        let answer = phone.get(path).expect(200);
        assert_eq!(answer.header("content-type"), Some("image/jpeg"));
        assert!(
            exif::Reader::new()
                .read_from_container(&mut Cursor::new(&answer.body))
                .is_err(),
            "{path} holds EXIF"
        );
        let scan = answer
            .body
            .windows(2)
            .position(|w| w == [0xff, 0xda])
            .unwrap();
        // Words may turn up by chance in what is compressed.
        let head = Answer {
            body: answer.body[..scan].to_vec(),
            ..answer
        };
        assert!(!shows_place(&head), "{path}");
    }
    for path in [
        &format!("/checks/{check}"),
        &format!("/api/checks/{check}"),
        &format!("/api/checks/{check}/report"),
        "/sets/heron",
        "/api/sets/heron/history",
        &format!("/filed/{filed}"),
        &format!("/api/filed/{filed}"),
        "/",
    ] {
        assert!(!shows_place(&phone.get(path).expect(200)), "{path}");
    }
    run(server.shop.path(), "history heron", 0);
}
