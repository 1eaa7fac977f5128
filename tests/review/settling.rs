//! What is left open, settled on the report's page, and taken by the next review.

use std::fs;
use std::io::Cursor;

use image::ImageFormat;
use serde_json::json;

use super::shop::{Shop, read_now};
use crate::phone::browser::phone::{Kind, Phone};
use crate::support::samples;

/// Arrows and the like (W3C, `WebDriver`, “Keyboard actions”).
const UP: &str = "\u{e013}";
const LEFT: &str = "\u{e012}";
const DOWN: &str = "\u{e015}";
const RIGHT: &str = "\u{e014}";
const ENTER: &str = "\u{e007}";

const HOSTILE: &str = "heron/=a, \"b\" 鷺;c'.png";

/// A tip that points down, a print read as a seam, and a photo of no known jaw set.
fn shop() -> Shop {
    let shop = Shop::new();
    let jaw = image::load_from_memory(&samples::bytes("heron-too-much-taper/jaw1.jpg")).unwrap();
    let mut turned = Cursor::new(Vec::new());
    // Its EXIF orientation, which is lost here, is a quarter turn; half a turn more, and the tip is below.
    jaw.rotate270()
        .write_to(&mut turned, ImageFormat::Png)
        .unwrap();
    shop.write(HOSTILE, turned.get_ref());
    shop.put("wren-full-length/jaw1.jpg", "photos/c.jpg");
    shop.put("singles/transfer-tip-only-violet.jpg", "plover/film.jpg");
    // A column that is not known and a photo that is elsewhere are kept.
    let table = "colour,file,taper,done\nred,film.jpg,3thou,'=1\n,elsewhere.jpg,,\"a, b\"\n";
    fs::write(shop.path("groups.csv"), table).unwrap();
    shop
}

fn review(shop: &Shop, groups: &str) -> String {
    let line = format!("checks --into out --groups {groups}");
    let output = shop.run("review", &line);
    assert!(output.status.code().is_some_and(|c| c < 2));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_keyboard_alone_settles_all_and_the_next_review_takes_it() {
    let shop = shop();
    let said = review(&shop, "groups.csv");
    assert!(said.contains("left open in 3 of the photos"), "{said}");
    assert!(said.contains("settle.html"), "{said}");
    let Some(desk) = Phone::of_folder(&shop.path("out"), Kind::Desk) else {
        return;
    };
    let saved = tempfile::tempdir().unwrap();
    desk.devtools(
        "Browser.setDownloadBehavior",
        &json!({ "behavior": "allow", "downloadPath": saved.path() }),
    );
    desk.go("/settle.html");
    let says = |text: &str| {
        desk.until(text, || desk.text("#said").contains(text).then_some(()));
    };
    says("0 of 4 said");
    // The method first; a slip is taken back, and what is skipped comes again.
    desk.press("s");
    says("1 of 4 said");
    desk.press("u");
    says("0 of 4 said");
    desk.press("t");
    says("1 of 4 said");
    desk.press("n");
    says("1 skipped");
    desk.press("b");
    // No end lies there: once is a slip.
    desk.press(LEFT);
    desk.until("a question", || {
        let answer = desk.text("[aria-current] .answer");
        answer.contains("No end").then_some(())
    });
    desk.press(DOWN);
    says("2 of 4 said.");
    desk.shot("settle");
    desk.reload();
    says("2 of 4 said.");
    desk.press(UP);
    says("3 of 4 said.");
    desk.press("j");
    desk.press("Ħ, \"siskin\"");
    desk.press(ENTER);
    says("All is said");
    desk.press(ENTER);
    let place = saved.path().join("groups.csv");
    desk.until("the table", || place.exists().then_some(()));
    fs::copy(&place, shop.path("said.csv")).unwrap();
    let table = fs::read_to_string(&place).unwrap();
    for kept in ["colour", "red", "elsewhere.jpg", "\"a, b\"", "'=1"] {
        assert!(table.contains(kept), "{kept}: {table}");
    }

    let said = review(&shop, "said.csv");
    assert_eq!(
        read_now(&said.replace(" (2 of them again", " (")),
        2,
        "{said}"
    );
    assert!(said.contains("(2 of them again"), "{said}");
    assert!(!said.contains("settle.html"), "{said}");
    let photos = shop.lines("out", "photo");
    let told = |i: usize| {
        (
            &photos[i]["tip"],
            &photos[i]["method"],
            &photos[i]["pattern"],
        )
    };
    // The samples' truth: see sample-images/README.md.
    assert_eq!(
        told(0),
        (&json!("down"), &json!("seep"), &json!("tip-only"))
    );
    assert_eq!(
        told(2),
        (&json!("up"), &json!("transfer"), &json!("tip-only"))
    );
    assert_eq!(photos[1]["told"]["jaw_set"], "Ħ, \"siskin\"");
    assert_eq!(photos[2]["told"]["taper"], "76.2um");
    assert_eq!(photos[2]["told"]["done"], "=1");
    desk.reload();
    desk.until("nothing left", || {
        desk.text("main")
            .contains("Nothing is left open")
            .then_some(())
    });
}

/// Of three jaws one was photographed upside down, which nobody said; the others are plain.
#[test]
fn an_end_that_the_other_jaws_bear_out_is_not_asked_for() {
    let shop = Shop::new();
    let folder = "heron-too-much-taper";
    for jaw in ["jaw1.jpg", "jaw3.jpg"] {
        shop.put(&format!("{folder}/{jaw}"), &format!("heron/{jaw}"));
    }
    let jaw = image::load_from_memory(&samples::bytes(&format!("{folder}/jaw2.jpg"))).unwrap();
    let mut turned = Cursor::new(Vec::new());
    jaw.rotate270()
        .write_to(&mut turned, ImageFormat::Png)
        .unwrap();
    shop.write("heron/jaw2.png", turned.get_ref());
    // A picture without a time is of another check, unless the table says which.
    for (table, asked) in [
        ("file,check\njaw1.jpg,a\njaw2.png,a\njaw3.jpg,a\n", false),
        ("file,check\njaw1.jpg,a\njaw2.png,b\njaw3.jpg,a\n", true),
    ] {
        fs::write(shop.path("groups.csv"), table).unwrap();
        let said = review(&shop, "groups.csv");
        assert_eq!(said.contains("settle.html"), asked, "{said}");
    }
}

#[test]
fn a_finger_says_which_end_is_the_tip_on_a_narrow_screen() {
    let shop = shop();
    review(&shop, "groups.csv");
    let Some(phone) = Phone::of_folder(&shop.path("out"), Kind::Phone) else {
        return;
    };
    phone.go("/settle.html");
    phone.click("section:nth-child(2) .end");
    phone.until("an answer", || {
        phone.text("#said").contains("1 of 4 said").then_some(())
    });
    assert_eq!(phone.count(".end[aria-pressed=true]"), 1);
    phone.shot("settle");
    let fits = "return document.documentElement.scrollWidth <= window.innerWidth";
    assert_eq!(phone.run(fits), true);
}

#[test]
fn only_photos_whose_word_changed_are_read_again() {
    let shop = Shop::with_two_checks();
    assert_eq!(read_now(&shop.review("out", "", 0)), 6);
    // The second says of a photo what `--tip` says of all.
    let table = "file,tip\nheron/jaw1.jpg,down\nheron/jaw2.jpg,up\n";
    fs::write(shop.path("groups.csv"), table).unwrap();
    let said = shop.review("out", "--groups groups.csv", 0);
    assert!(said.contains("1 read now (1 of them again"), "{said}");
    let said = shop.review("out", "--groups groups.csv", 0);
    assert!(said.contains(" 0 read now,"), "{said}");
}

/// On a folder that `review` wrote: `SEEPLINE_REVIEW=DIR cargo test --test all how_long_settling -- --ignored --nocapture`.
#[test]
#[ignore = "needs the folder of a review, and minutes"]
fn how_long_settling_takes_by_keyboard_alone() {
    let folder = std::env::var("SEEPLINE_REVIEW").expect("SEEPLINE_REVIEW: a review's folder");
    let desk = Phone::of_folder(std::path::Path::new(&folder), Kind::Desk).expect("a browser");
    desk.go("/settle.html");
    // From the key to the frame that shows the next photo.
    desk.run(
        "window.took = [];
        addEventListener('keydown', () => {
            const began = performance.now();
            const seen = () => {
                const photo = document.querySelector('[aria-current] img');
                if (photo && !photo.complete) return requestAnimationFrame(seen);
                window.took.push(performance.now() - began);
            };
            requestAnimationFrame(() => requestAnimationFrame(seen));
        }, true)",
    );
    let next = "const card = document.querySelector('[aria-current]');
        const q = window.settling.questions[Number(card.querySelector('h2').id.slice(4))];
        const said = document.querySelector('#said').textContent;
        return [q.kind, q.face ? q.face.ends[0].tip : 'up', said, card.querySelector('[data-same]:not([hidden])') !== null]";
    let (mut keys, began) = (0, std::time::Instant::now());
    let mut kinds = std::collections::BTreeMap::<String, usize>::new();
    loop {
        let (kind, tip, said, same): (String, String, String, bool) =
            serde_json::from_value(desk.run(next)).expect("a question");
        if said.contains("All is said") {
            println!("{said}");
            break;
        }
        let pressed = match (&*kind, &*tip, same) {
            ("method", ..) => "s".to_owned(),
            ("same", ..) => "d".to_owned(),
            ("jaw", _, true) => "r".to_owned(),
            ("jaw", ..) => format!("jheron{ENTER}"),
            (_, "up", _) => UP.to_owned(),
            (_, "down", _) => DOWN.to_owned(),
            (_, "left", _) => LEFT.to_owned(),
            _ => RIGHT.to_owned(),
        };
        desk.press(&pressed);
        keys += pressed.chars().count();
        *kinds.entry(kind).or_default() += 1;
    }
    let mut took: Vec<f64> = serde_json::from_value(desk.run("return window.took")).expect("times");
    took.sort_by(f64::total_cmp);
    let at = |share: usize| took[(took.len() - 1) * share / 100];
    println!(
        "{kinds:?}: {keys} keys in {:.0} s with the driver; from key to next photo {:.0} ms (median), {:.0} ms (95 %), {:.0} ms (longest)",
        began.elapsed().as_secs_f64(),
        at(50),
        at(95),
        at(100)
    );
    let questions: usize = kinds.values().sum();
    assert!(
        keys <= questions + 10,
        "{keys} keys for {questions} answers"
    );
}

/// Of three jaws two were photographed once, on two days, and are refused, and one twice: two jaws that agree, or one alone.
/// The second photo of it is the first with a byte more, so that both were taken in the same second.
fn with_a_retake() -> Shop {
    let shop = Shop::new();
    let unpainted = samples::bytes("singles/refused-nothing-was-painted.jpg");
    shop.write("heron/a.jpg", &unpainted);
    shop.write("heron/d.jpg", &a_day_later(unpainted));
    let jaw = samples::bytes("heron-too-much-taper/jaw2.jpg");
    shop.write("heron/b.jpg", &jaw);
    shop.write("heron/c.jpg", &[&jaw[..], &[0]].concat());
    let lines = ["a", "b", "c", "d"].map(|name| format!("{name}.jpg,first,up\n"));
    fs::write(
        shop.path("groups.csv"),
        format!("file,check,tip\n{}", lines.concat()),
    )
    .unwrap();
    shop
}

/// The date in its EXIF data is text.
fn a_day_later(mut photo: Vec<u8>) -> Vec<u8> {
    let day = b"2026:06:29";
    let places = photo.windows(day.len()).enumerate();
    let places: Vec<usize> = places.filter(|(_, w)| w == day).map(|(i, _)| i).collect();
    assert!(!places.is_empty());
    for place in places {
        photo[place..place + day.len()].copy_from_slice(b"2026:06:30");
    }
    photo
}

/// `action` of the only check.
fn action(shop: &Shop) -> serde_json::Value {
    let checks = shop.lines("out", "check");
    assert_eq!(checks.len(), 1);
    checks[0]["action"].clone()
}

#[test]
fn whether_two_photos_are_of_one_jaw_is_said_by_a_key_or_a_finger() {
    let shop = with_a_retake();
    let said = review(&shop, "groups.csv");
    assert!(said.contains("left open in 2 of the photos"), "{said}");
    assert_eq!(action(&shop), "settle");
    // Each photo would be filed as a jaw.
    assert!(shop.run("jaws", "add heron").status.success());
    let filed = review(&shop, "groups.csv --file");
    assert!(
        filed.contains("0 checks filed")
            && filed.contains("1 checks in which photos may be of one jaw"),
        "{filed}"
    );
    for (kind, answer, then) in [(Kind::Desk, "y", "retake"), (Kind::Phone, "d", "recut")] {
        review(&shop, "groups.csv");
        let is_desk = kind == Kind::Desk;
        let Some(browser) = Phone::of_folder(&shop.path("out"), kind) else {
            return;
        };
        let saved = tempfile::tempdir().unwrap();
        browser.devtools(
            "Browser.setDownloadBehavior",
            &json!({ "behavior": "allow", "downloadPath": saved.path() }),
        );
        browser.go("/settle.html");
        browser.until("a question", || {
            (browser.count(".pair img") == 2).then_some(())
        });
        browser.shot(if is_desk {
            "same-jaw-desk"
        } else {
            "same-jaw-phone"
        });
        let fits = "return document.documentElement.scrollWidth <= window.innerWidth";
        assert_eq!(browser.run(fits), true);
        if is_desk {
            browser.press(answer);
            browser.until("the answer", || {
                browser.text("#said").contains("All is said").then_some(())
            });
            browser.press(ENTER);
        } else {
            browser.click("[data-say=different]");
            browser.until("the answer", || {
                browser.text("#said").contains("All is said").then_some(())
            });
            browser.click("[data-do=save]");
        }
        let place = saved.path().join("groups.csv");
        browser.until("the table", || place.exists().then_some(()));
        fs::copy(&place, shop.path("said.csv")).unwrap();
        let said = review(&shop, "said.csv");
        assert_eq!(read_now(&said), 0, "{said}");
        assert_eq!(said.contains("1 jaw read from its several photos"), is_desk);
        assert!(!said.contains("settle.html"), "{said}");
        assert_eq!(action(&shop), then);
        let jaws = shop.lines("out", "photo");
        let jaws = jaws.iter().map(|p| p["told"]["jaw"].clone());
        let told = if is_desk {
            json!([null, 1, 1, null])
        } else {
            json!([null, 1, 2, null])
        };
        assert_eq!(jaws.collect::<serde_json::Value>(), told);
        browser.go(&format!(
            "/checks/{}.html",
            shop.lines("out", "check")[0]["check"].as_str().unwrap()
        ));
        browser.shot(if is_desk {
            "jaw-together-desk"
        } else {
            "jaws-apart-phone"
        });
    }
}
