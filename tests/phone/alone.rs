//! Checks that a phone made alone, taken into an archive. What lies in their file is what lies in the folder of a check
//! under way at a server; in a browser `browser/alone.rs` makes one.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::thread;
use std::time::Duration;

use seepline::archive::{Archive, Details};
use serde_json::{Value, json};
use tempfile::TempDir;

use super::client::Client;
use super::samples::{heron, heron_settings};
use super::server::{Server, add_heron, run};
use crate::support::program::in_shop;

/// A header and the file in blocks of 512 bytes (POSIX.1-2017, pax, “ustar Interchange Format”).
fn put(tar: &mut Vec<u8>, name: &str, bytes: &[u8]) {
    let mut head = [0; 512];
    head[..name.len()].copy_from_slice(name.as_bytes());
    head[124..135].copy_from_slice(format!("{:011o}", bytes.len()).as_bytes());
    head[148..156].fill(b' ');
    head[257..262].copy_from_slice(b"ustar");
    let sum: u32 = head.iter().map(|b| u32::from(*b)).sum();
    head[148..155].copy_from_slice(format!("{sum:06o}\0").as_bytes());
    tar.extend(head);
    tar.extend(bytes);
    tar.resize(tar.len().next_multiple_of(512), 0);
}

/// Names and bytes of a check's files.
pub(super) type Saved = Vec<(String, Vec<u8>)>;

/// Of the photos whose jaws are named; `number` makes them other photos than those of another number.
pub(super) fn check(number: u32, jaws: &[u8]) -> Saved {
    check_with(heron_settings(), number, jaws)
}

pub(super) fn check_with(settings: Value, number: u32, jaws: &[u8]) -> Saved {
    let server = Server::start();
    let check = server.begin(settings);
    for jaw in jaws {
        let photo = super::samples::another(&heron(*jaw), number);
        let name = format!("jaw{jaw}.jpg");
        server
            .phone()
            .photo(&check, *jaw, &name, &photo)
            .expect(200);
    }
    let folder = server.shop.path().join("archive/under-way").join(&check);
    let files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let mut files: Vec<PathBuf> = files.collect();
    // The sheet comes first.
    files.sort_by_key(|file| !file.ends_with("check.json"));
    let name = |file: &Path| format!("{check}/{}", file.file_name().unwrap().display());
    files
        .iter()
        .map(|file| (name(file), fs::read(file).unwrap()))
        .collect()
}

/// With another sheet.
pub(super) fn saying(mut check: Saved, say: impl FnOnce(&mut Value)) -> Saved {
    let mut sheet = serde_json::from_slice(&check[0].1).unwrap();
    say(&mut sheet);
    check[0].1 = sheet.to_string().into_bytes();
    check
}

pub(super) fn file_of(checks: &[Saved]) -> Vec<u8> {
    let mut tar = Vec::new();
    for (name, bytes) in checks.iter().flatten() {
        put(&mut tar, name, bytes);
    }
    tar.resize(tar.len() + 1024, 0);
    tar
}

fn shop_with(file: &[u8]) -> TempDir {
    let shop = tempfile::tempdir().unwrap();
    add_heron(shop.path());
    fs::write(shop.path().join("checks.tar"), file).unwrap();
    shop
}

const IMPORT: &str = "import phone heron checks.tar";

/// How many checks heron has.
pub(super) fn filed(shop: &Path) -> usize {
    filed_under(shop, "heron")
}

pub(super) fn filed_under(shop: &Path, set: &str) -> usize {
    let archive = Archive::open(&shop.join("archive")).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    let set = archive.jaw_set(set).unwrap().id;
    let timeline = archive.timeline(set, Details::LeftOut).unwrap();
    timeline.checks().count()
}

/// The jaw set as a phone is given it.
pub(super) fn facts(shop: &Path, set: &str) -> Value {
    let printed = run(shop, "jaws list --for-phone", 0).stdout;
    let file: Value = serde_json::from_slice(&printed).unwrap();
    let sets = file["jaw_sets"].as_array().unwrap();
    sets.iter().find(|s| s["name"] == set).unwrap().clone()
}

/// Begun with that jaw set.
pub(super) fn begun_with(check: Saved, facts: &Value) -> Saved {
    saying(check, |sheet| {
        sheet["settings"]["jaw_set"] = facts["id"].clone();
        sheet["of_set"] = facts.clone();
    })
}

#[test]
fn a_check_of_a_phone_is_filed_once_as_read_files_it() {
    let shop = shop_with(&file_of(&[check(0, &[1, 2, 3])]));
    let first = run(shop.path(), &format!("{IMPORT} --json"), 0).stdout;
    let again = run(shop.path(), IMPORT, 0).stdout;
    assert!(String::from_utf8_lossy(&again).contains("filed already"));
    assert_eq!(filed(shop.path()), 1);
    // `read` finds the same photos filed, with the same answer.
    let other = shop_with(b"");
    for jaw in 1..=3 {
        let photo = super::samples::another(&heron(jaw), 0);
        fs::write(other.path().join(format!("jaw{jaw}.jpg")), photo).unwrap();
    }
    let line = "read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --taper 0.003in --jaws heron --json";
    let [first, read]: [Value; 2] = [first, run(other.path(), line, 0).stdout]
        .map(|printed| serde_json::from_slice(&printed).unwrap());
    assert_eq!(first["check"], read["check"]);
}

#[test]
fn of_several_checks_those_that_are_named_are_taken() {
    let checks = [check(1, &[1]), check(2, &[2, 3])];
    let shop = shop_with(&file_of(&checks));
    let refused = run(shop.path(), IMPORT, 2).stderr;
    let ids = checks.map(|check| check[0].0.split('/').next().unwrap().to_owned());
    for id in &ids {
        assert!(
            String::from_utf8_lossy(&refused).contains(id.as_str()),
            "{id}"
        );
    }
    run(
        shop.path(),
        &format!("{IMPORT} --check {}", &ids[1][..12]),
        0,
    );
    assert_eq!(filed(shop.path()), 1);
    run(shop.path(), &format!("{IMPORT} --check 0123456789ab"), 2);
}

#[test]
fn a_check_that_was_begun_with_its_set_needs_no_name() {
    let shop = tempfile::tempdir().unwrap();
    add_heron(shop.path());
    run(shop.path(), "jaws add wren", 0);
    let [heron, wren] = ["heron", "wren"].map(|set| facts(shop.path(), set));
    let checks = [
        begun_with(check(5, &[1]), &heron),
        begun_with(check(6, &[2]), &wren),
        check(7, &[3]),
    ];
    let ids = checks
        .clone()
        .map(|c| c[0].0.split('/').next().unwrap().to_owned());
    fs::write(shop.path().join("checks.tar"), file_of(&checks)).unwrap();
    let says = |line: &str, status: i32, said: &str| {
        let output = run(shop.path(), line, status);
        let text = [output.stdout, output.stderr].concat();
        let text = String::from_utf8_lossy(&text).replace('\n', " ");
        assert!(text.contains(said), "{line}: {text}");
    };
    // Under another set it would be held against other jaws.
    says(
        &format!("import phone wren checks.tar --check {}", ids[0]),
        2,
        "begun with the jaw set heron",
    );
    assert_eq!(filed(shop.path()) + filed_under(shop.path(), "wren"), 0);
    // Each under its own, and the one without is named.
    says(
        "import phone checks.tar",
        2,
        &format!("check {}: it was begun without a jaw set", ids[2]),
    );
    says("import phone checks.tar", 2, "filed already");
    says(
        &format!("import phone heron checks.tar --check {}", ids[0]),
        0,
        "filed already",
    );
    assert_eq!(
        (filed(shop.path()), filed_under(shop.path(), "wren")),
        (1, 1)
    );
    // An archive that was begun anew has other ids, and one of another shop has no such set.
    let other = shop_with(&file_of(&checks[..1]));
    run(other.path(), "import phone checks.tar", 0);
    assert_eq!(filed(other.path()), 1);
    let third = tempfile::tempdir().unwrap();
    run(third.path(), "jaws add dunlin", 0);
    fs::write(third.path().join("checks.tar"), file_of(&checks[..1])).unwrap();
    let said = run(third.path(), "import phone checks.tar", 2).stderr;
    assert!(String::from_utf8_lossy(&said).contains("heron, which is not in this archive"));
}

#[test]
fn a_taper_that_the_phone_took_for_another_is_named() {
    let shop = tempfile::tempdir().unwrap();
    add_heron(shop.path());
    let mut facts = facts(shop.path(), "heron");
    assert_eq!(facts["taper"], "76.2um");
    facts["taper"] = "100um".into();
    let unsaid = json!({ "tip": "up" });
    let check = begun_with(check_with(unsaid, 8, &[1]), &facts);
    fs::write(shop.path().join("checks.tar"), file_of(&[check])).unwrap();
    let said = run(shop.path(), "import phone checks.tar --json", 0).stdout;
    let report: Value = serde_json::from_slice(&said).unwrap();
    assert!(
        report["filed"]["notes"]
            .to_string()
            .contains("the next taper does not hold"),
        "{report}"
    );
    // The cut is the archive's.
    let archive = Archive::open(&shop.path().join("archive")).unwrap();
    let set = archive.jaw_set("heron").unwrap().id;
    assert_eq!(
        archive.timeline(set, Details::LeftOut).unwrap().cuts.len(),
        1
    );
}

#[test]
fn what_did_not_come_whole_is_refused_and_nothing_is_filed() {
    let whole = check(3, &[1, 2]);
    let mut other = whole.clone();
    other[1].1[5000] ^= 1;
    let lacking = whole[..2].to_vec();
    let cut = file_of(&[whole])[..9000].to_vec();
    for file in [
        cut,
        file_of(&[other]),
        file_of(&[lacking]),
        b"a photo".to_vec(),
        Vec::new(),
    ] {
        let shop = shop_with(&file);
        let said = run(shop.path(), IMPORT, 2).stderr;
        assert!(String::from_utf8_lossy(&said).contains("save it on the phone again"));
        assert_eq!(filed(shop.path()), 0);
    }
}

#[test]
fn a_kill_in_the_middle_leaves_the_check_whole_or_absent() {
    let file = file_of(&[check(4, &[1, 2, 3])]);
    for kill in 0..8 {
        let shop = shop_with(&file);
        let mut import = in_shop(shop.path(), IMPORT)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        // 8 ms to a second, so that a quick machine and a loaded one are both met in the middle.
        thread::sleep(Duration::from_millis(8 << kill));
        let _ = import.kill();
        import.wait().unwrap();
        assert!(filed(shop.path()) <= 1);
        run(shop.path(), IMPORT, 0);
        assert_eq!(filed(shop.path()), 1, "kill {kill}");
    }
}

/// Whether this program was built with the page.
pub(super) fn is_built(phone: &Client) -> bool {
    phone.get("/phone/").status == 200
}

#[test]
fn the_page_is_there_whole_or_it_is_said_that_it_is_not() {
    let server = Server::start();
    let built = is_built(&server.phone());
    let shop = server.shop.path();
    let said = run(shop, "page --into page", if built { 0 } else { 2 });
    if !built {
        assert!(String::from_utf8_lossy(&said.stderr).contains("built without the page"));
        return;
    }
    let service = fs::read_to_string(shop.join("page/service.js")).unwrap();
    for entry in fs::read_dir(shop.join("page")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        // Without a network all of it is there, but for what fetches it.
        let known = match &*name {
            "index.html" => "\"./\"",
            "service.js" => continue,
            // Comes when it is first asked about.
            name if name.starts_with("sample-") => {
                assert!(!service.contains(name), "{name}");
                continue;
            }
            name => name,
        };
        assert!(service.contains(known), "{name}");
        let answer = server.phone().get(&format!("/phone/{name}")).expect(200);
        assert_eq!(
            answer.body,
            fs::read(shop.join("page").join(&name)).unwrap(),
            "{name}"
        );
        let policy = answer.header("content-security-policy").unwrap();
        assert!(
            !policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"),
            "{policy}"
        );
        server.stranger().get(&format!("/phone/{name}")).expect(401);
    }
}
