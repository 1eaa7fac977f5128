//! What `join` holds of each photo: not its line. The system gives the process so much memory of its own and no more, so that
//! nothing hangs on how fast it is or on when somebody looks.

use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::process::{Command, ExitStatus};

use serde_json::{Value, json};

use super::shop::Shop;

const PHOTOS: usize = 3000;
/// Holding the lines took 5 kB a photo, 15 MB of these.
const ENOUGH_KB: usize = 8000;
/// Less than any run takes.
const TOO_LITTLE_KB: usize = 200;

/// One of these photos under another name, with another content, an hour after the last check.
fn another(line: &Value, number: usize) -> Value {
    let mut line = line.clone();
    let (check, jaw) = (number / 3, number % 3);
    let folder = format!("set{:03}/check{:02}", check / 50, check % 50);
    line["sha256"] = json!(format!("{:064x}", number * 7919));
    line["file"] = json!(format!("{folder}/jaw{jaw}.jpg"));
    line["told"]["folder"] = json!(folder);
    line["told"]["jaw_set"] = json!(format!("set{:03}", check / 50));
    let (day, hour) = (check / 24, check % 24);
    line["taken"] = json!(format!(
        "2026-{:02}-{:02}T{hour:02}:0{jaw}:00",
        1 + day / 28,
        1 + day % 28
    ));
    line
}

/// Joins under a limit on the memory that is the process's own: program and files that are mapped do not count.
fn join(shop: &Shop, into: &str, limit_kb: usize) -> ExitStatus {
    let join = shop.command("join", &format!("part --into {into}"));
    let mut limited = Command::new("sh");
    limited
        .args(["-c", &format!("ulimit -d {limit_kb}; exec \"$0\" \"$@\"")])
        .arg(join.get_program())
        .args(join.get_args())
        .current_dir(join.get_current_dir().unwrap());
    for (name, value) in join.get_envs() {
        match value {
            Some(value) => limited.env(name, value),
            None => limited.env_remove(name),
        };
    }
    limited.output().unwrap().status
}

#[test]
fn a_join_does_not_hold_the_lines() {
    let shop = Shop::with_two_checks();
    shop.review("read", "", 0);
    let lines = shop.lines("read", "photo");
    let part: Vec<String> = (0..PHOTOS)
        .map(|number| another(&lines[number % lines.len()], number).to_string() + "\n")
        .collect();
    fs::create_dir(shop.path("part")).unwrap();
    fs::write(shop.path("part/review.jsonl"), part.concat()).unwrap();

    let status = join(&shop, "joined", ENOUGH_KB);
    assert!(status.success(), "{status}");
    assert_eq!(shop.lines("joined", "photo").len(), PHOTOS);
    assert_eq!(shop.lines("joined", "check").len(), PHOTOS / 3);
    // That the limit holds.
    let status = join(&shop, "less", TOO_LITTLE_KB);
    assert!(status.signal().is_some(), "{status}");
}
