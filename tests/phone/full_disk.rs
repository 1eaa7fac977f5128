//! A disk that fills up under the server: what was not kept is said, what was said to be kept is there.

use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use super::client::Client;
use super::samples::{another, heron};
use super::server::{Server, add_heron};
use super::uploads::set_id;
use crate::support::disk::SmallDisk;
use crate::support::program::wait_for;

/// The archive of the shop, on a disk of its own; `None` where there can be none.
pub(super) fn shop_on(size: &str) -> Option<(Arc<tempfile::TempDir>, SmallDisk)> {
    let disk = SmallDisk::new(size)?;
    let shop = Arc::new(tempfile::tempdir().unwrap());
    std::os::unix::fs::symlink(disk.path(), shop.path().join("archive")).unwrap();
    add_heron(shop.path());
    Some((shop, disk))
}

fn state(phone: &Client, check: &str) -> Value {
    phone
        .get(&format!("/api/checks/{check}"))
        .expect(200)
        .json()
}

fn photos(state: &Value) -> usize {
    state["photos"].as_array().unwrap().len()
}

/// Leaves this many bytes on the disk.
pub(super) fn fill(disk: &Path, left: u64) {
    let filler = disk.join("filler");
    let _ = std::fs::write(&filler, vec![0; 8 << 20]);
    let has = std::fs::metadata(&filler).unwrap().len();
    let file = std::fs::OpenOptions::new().write(true).open(&filler);
    file.unwrap().set_len(has.saturating_sub(left)).unwrap();
}

pub(super) fn free(disk: &Path) {
    std::fs::remove_file(disk.join("filler")).unwrap();
}

/// Sends jaw 2 with so little space; what was kept is the same after a restart, and with space again the
/// photo is taken as if nothing had been.
fn refused_and_sent_again(space_left: u64, restart: bool) -> u16 {
    let Some((shop, disk)) = shop_on("8m") else {
        return 0;
    };
    let mut server = Server::on(Arc::clone(&shop), "");
    let mut phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    phone.photo(&check, 1, "jaw1.jpg", &heron(1)).expect(200);
    let before = state(&phone, &check);
    fill(disk.path(), space_left);
    let answer = phone.photo(&check, 2, "jaw2.jpg", &heron(2));
    // Without any space not even the archive can be looked into: SQLite's log needs an index.
    free(disk.path());
    let now = state(&phone, &check);
    if answer.status != 200 {
        let text = answer.clone().expect(507).text();
        assert!(text.contains("free some space"), "{text}");
        // Where only the answer found no space, the photo is there.
        assert!(now == before || photos(&now) == 2, "{space_left}: {now}");
    }
    assert_eq!(now["problem"], Value::Null, "there is space again");
    assert!(!now["report"].is_null(), "{space_left}: {now}");
    if restart {
        server.signal("-KILL");
        drop(server);
        server = Server::on(shop, "");
        phone = server.phone();
        wait_for("the photos are read again", || {
            !state(&phone, &check)["report"].is_null()
        });
        assert_eq!(state(&phone, &check)["photos"], now["photos"]);
    }
    let again = phone.photo(&check, 2, "jaw2.jpg", &heron(2)).expect(200);
    assert_eq!(photos(&again.json()), 2);
    assert_eq!(again.json()["photos"][1]["state"], "read");
    assert_eq!(again.json()["problem"], Value::Null);
    assert_eq!(again.json()["report"]["check"]["action"], "recut");
    answer.status
}

#[test]
fn a_photo_that_finds_no_space_changes_nothing_and_can_be_sent_again() {
    // No space, some for a part of the photo (220 kB), for the photo and not for the check's sheet, for both
    // and not for a look into the archive, for all.
    let sizes = [0, 100 << 10, 216 << 10, 220 << 10, 240 << 10, 1 << 20];
    for restart in [false, true] {
        let statuses = sizes.map(|left| refused_and_sent_again(left, restart));
        println!("space left {sizes:?}: {statuses:?}");
        if statuses[0] != 0 {
            assert_eq!((statuses[0], statuses[5]), (507, 200));
        }
    }
}

#[test]
fn a_check_that_finds_no_space_is_not_said_to_be_filed() {
    let Some((shop, disk)) = shop_on("8m") else {
        return;
    };
    let server = Server::on(shop, "");
    let phone = server.phone();
    let check = server.begin(json!({ "jaw_set": set_id(&phone), "tip": "up" }));
    for jaw in 1..=3 {
        let bytes = another(&heron(jaw), 1);
        phone.photo(&check, jaw, "jaw.jpg", &bytes).expect(200);
    }
    let path = format!("/api/checks/{check}/file");
    // A photo takes some 300 kB in the archive, the records some 100 kB.
    let mut refused = 0;
    for left in [0, 200 << 10, 500 << 10, 900 << 10, 1000 << 10] {
        fill(disk.path(), left);
        let answer = phone.json("POST", &path, &json!({}));
        free(disk.path());
        let filed = filed_checks(&phone);
        if answer.status == 200 {
            assert_eq!(filed, 1, "{left}");
            break;
        }
        assert_eq!((answer.expect(507).status, filed), (507, 0), "{left}");
        refused += 1;
    }
    assert!(refused >= 3, "{refused}");
    phone.json("POST", &path, &json!({})).expect(200);
    assert_eq!(filed_checks(&phone), 1);
    let archive = seepline::archive::Archive::open(&server.archive()).unwrap();
    assert_eq!(archive.verify().unwrap(), []);
    println!("{refused} times refused for space, then filed once");
}

fn filed_checks(phone: &Client) -> usize {
    let history = phone.get("/api/sets/heron/history").expect(200).json();
    let cuts = history["timeline"]["cuts"].as_array().unwrap().clone();
    let checks = |cut: &Value| cut["checks"].as_array().unwrap().len();
    cuts.iter().map(checks).sum()
}
