//! Practice on a phone alone, by touch and by keyboard, without its server. `.ci/release-page` builds what it needs.

use std::fs;
use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::alone::{by_worker, open, open_as};
use super::network::cut;
use super::phone::{Kind, Phone};
use super::sample;
use super::small::fits;
use super::three::{by_tab, tap};
use crate::phone::server::{Server, run};
use crate::support::program::in_shop;

/// What is kept of it on the phone.
fn kept(phone: &Phone) -> Vec<Value> {
    let all = phone.run_later(
        "const open = indexedDB.open('seepline-practice');
        open.onsuccess = () => {
            const all = open.result.transaction('answers').objectStore('answers').getAll();
            all.onsuccess = () => { done(all.result.map((one) => one.text)); open.result.close(); };
        };",
    );
    let texts = all.as_array().expect("answers").iter();
    texts
        .map(|t| serde_json::from_str(t.as_str().expect("text")).expect("JSON"))
        .collect()
}

/// Tip-only, two thousandths off: right of some photos and wrong of others.
fn call(phone: &Phone, press: &dyn Fn(&str)) {
    phone.keys("form.call select[name=pattern]", "tip-only");
    phone.keys("form.call select[name=way]", "Take");
    phone.keys("form.call input[name=amount]", "2");
    press("form.call button");
    phone.wait("#answer .beside");
    assert_eq!(phone.count("form.call"), 0);
}

fn letters(text: &str) -> String {
    text.chars()
        .filter(char::is_ascii_alphanumeric)
        .collect::<String>()
        .to_lowercase()
}

/// The table's rows of the question's photos, in a folder with them: what the command asks about.
fn folder_of(shop: &Path, item: &str) -> std::path::PathBuf {
    let table: Value =
        serde_json::from_slice(&fs::read(sample("truth.json")).expect("a table")).expect("JSON");
    let hash = |file: &Value| {
        let bytes = fs::read(sample(file.as_str().expect("a name"))).expect("a photo");
        format!("{:x}", Sha256::digest(bytes))
    };
    let rows = |of: &str| table[of].as_array().expect("rows").clone();
    let checks = rows("checks")
        .into_iter()
        .filter(|check| hash(&check["photos"][0]) == item);
    let checks: Vec<Value> = checks.collect();
    let of_check = |row: &Value| {
        checks.iter().any(|c| {
            c["photos"]
                .as_array()
                .expect("photos")
                .contains(&row["file"])
        })
    };
    let photos = rows("photos")
        .into_iter()
        .filter(|row| of_check(row) || checks.is_empty() && hash(&row["file"]) == item);
    let photos: Vec<Value> = photos.collect();
    let folder = shop.join(format!("photos-{}", &item[..8]));
    for row in &photos {
        let file = row["file"].as_str().expect("a name");
        fs::create_dir_all(folder.join(file).parent().expect("a folder")).expect("a folder");
        fs::copy(sample(file), folder.join(file)).expect("a copy");
    }
    let table = json!({ "checks": checks, "photos": photos }).to_string();
    fs::write(folder.join("truth.json"), table).expect("a table");
    folder
}

/// What is shown says what the command says of the same photos and the same call.
fn says_what_the_command_says(phone: &Phone, shop: &Path) {
    let item = kept(phone).pop().expect("an answer")["call"]["item"]["photo"].clone();
    let folder = folder_of(shop, item.as_str().expect("a photo"));
    let line = format!(
        "practice --by CD --photos {} --archive command",
        folder.display()
    );
    let mut command = in_shop(shop, &line);
    let output =
        crate::support::program::Run::ran_with(&mut command, "tip-only\n-2thou\n").success();
    let printed = letters(&output.out());
    let script = "return [...document.querySelectorAll('.beside h2, .beside td, .beside li, .beside p')].map((e) => e.textContent)";
    for said in phone.run(script).as_array().expect("texts") {
        let said = said
            .as_str()
            .expect("text")
            .trim_start_matches("What was right: ")
            .trim_start_matches("Why: ");
        assert!(printed.contains(&letters(said)), "{said}\n{}", output.out());
    }
}

fn begin(phone: &Phone, by: &str, press: &dyn Fn(&str)) {
    phone.wait("#practice");
    phone.run("document.querySelector('#practice input[name=by]').value = ''");
    phone.keys("#practice input[name=by]", by);
    phone.keys("#practice select[name=count]", "5");
    press("#practice button");
    phone.wait("form.call");
    // Not drawn is not shown.
    let drawn = "return [...document.querySelectorAll('main figure img')].every((i) => i.complete && i.naturalWidth > 0)";
    phone.until("the pictures", || phone.run(drawn).as_bool().filter(|d| *d));
}

fn import(shop: &Path, saved: &str) -> String {
    fs::write(
        shop.join("practice.tar"),
        STANDARD.decode(saved).expect("base64"),
    )
    .expect("a file");
    let said = run(shop, "import phone practice.tar", 0).stdout;
    String::from_utf8_lossy(&said).replace('\n', " ")
}

#[test]
fn a_round_by_touch_without_the_server_tells_what_the_command_tells_and_reaches_an_archive() {
    let mut server = Server::start();
    let Some(phone) = open(&server) else { return };
    let shop = server.shop.path().to_owned();
    let press = |css: &str| {
        phone.run(&format!(
            "document.querySelector(\"{css}\").scrollIntoView({{ block: 'center' }})"
        ));
        tap(&phone, css);
    };
    press("#to-practice");
    phone.wait("#practice");
    fits(&phone, "begin");
    begin(&phone, "AB", &press);
    fits(&phone, "question");
    cut(&mut server);
    phone.reload();
    phone.wait("form.call");
    let mut asked = 0;
    loop {
        assert_eq!(kept(&phone).len(), asked);
        assert_eq!(
            phone.count(".beside") + phone.count("#answer"),
            0,
            "shown before it was called"
        );
        call(&phone, &press);
        asked += 1;
        assert_eq!(kept(&phone).len(), asked);
        says_what_the_command_says(&phone, &shop);
        if asked == 1 {
            fits(&phone, "told");
            // It stands: neither a reload nor the way back asks again.
            phone.reload();
            phone.wait("#answer .beside");
            assert_eq!(phone.count("form.call"), 0);
        }
        press("#next");
        phone.until("what comes next", || {
            (phone.count("form.call") + phone.count("#score") > 0).then_some(())
        });
        if phone.count("#score") > 0 {
            break;
        }
    }
    assert_eq!(asked, 5);
    fits(&phone, "score");
    assert!(phone.text("#score").contains("of 5"));
    let saved = by_worker(&phone, "['save', 'practice', '2026-03-04']");
    assert!(import(&shop, &saved).contains("5 filed, 0 filed already"));
    // The same again, beside the checks.
    let saved = by_worker(&phone, "['save', null, '2026-03-04']");
    assert!(import(&shop, &saved).contains("0 filed, 5 filed already"));
}

#[test]
fn a_round_by_keyboard_at_a_desk_needs_no_server_once_the_photos_have_come() {
    let mut server = Server::start();
    let Some(desk) = open_as(&server, Kind::Desk) else {
        return;
    };
    let press = |css: &str| {
        desk.run("document.activeElement.blur()");
        by_tab(&desk, css, 60);
        desk.press("\u{e007}");
    };
    press("#to-practice");
    begin(&desk, "AB", &press);
    // Those that other rounds ask about come by themselves: twenty of them.
    let there = "caches.open('samples').then((c) => c.keys()).then((keys) => done(keys.length))";
    desk.until("all photos", || (desk.run_later(there) == 20).then_some(()));
    cut(&mut server);
    desk.go("/phone/?practice");
    begin(&desk, "CD", &press);
    fits(&desk, "question-at-the-desk");
    call(&desk, &press);
    fits(&desk, "told-at-the-desk");
    let focus = "return document.activeElement.id";
    assert_eq!(desk.run(focus), "answer");
    press("#next");
    desk.wait("form.call");
}

#[test]
fn what_cannot_be_kept_is_not_answered() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    let press = |css: &str| phone.click(css);
    press("#to-practice");
    begin(&phone, "AB", &press);
    phone.keys("form.call select[name=pattern]", "tip-only");
    phone.keys("form.call select[name=way]", "Leave");
    phone.without_space(|| {
        press("form.call button");
        phone.wait("form.call .fault");
        let said = phone.text("form.call .fault");
        assert!(said.contains("could not keep it"), "{said}");
        fits(&phone, "not-kept");
        assert_eq!(phone.count(".beside"), 0);
    });
    assert_eq!(kept(&phone).len(), 0);
    press("form.call button");
    phone.wait("#answer .beside");
    assert_eq!(kept(&phone).len(), 1);
}

#[test]
fn answers_are_handed_over_once() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    let press = |css: &str| phone.click(css);
    press("#to-practice");
    begin(&phone, "AB", &press);
    call(&phone, &press);
    phone.go("/phone/?practice");
    phone.wait("#answers form.hand-over");
    fits(&phone, "to-hand-over");
    press("#answers form.hand-over button");
    phone.wait("#answers .good");
    let archive =
        seepline::archive::Archive::open(&server.shop.path().join("archive")).expect("an archive");
    let calls = archive.calls().expect("calls");
    assert_eq!(calls.len(), 1);
    assert_eq!(calls[0].kind, seepline::CallKind::Practice);
    phone.reload();
    phone.wait("#answers .good");
}
