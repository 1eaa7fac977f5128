//! Runs that are repeated, cut off, doubled, or go on for ever.

use std::fs::{self, OpenOptions};
use std::io::Write;

use super::shop::{Shop, read_now};
use crate::support::program::{signal, wait_for};
use crate::support::samples;

#[test]
fn a_second_run_reads_nothing_again() {
    let shop = Shop::with_two_checks();
    assert_eq!(read_now(&shop.review("out", "", 0)), 6);
    let first = shop.result("out");
    assert_eq!(read_now(&shop.review("out", "", 0)), 0);
    assert_eq!(shop.result("out"), first);
    // The content counts, not the name; and not the time, but for looking again.
    fs::rename(shop.photo("wren"), shop.photo("plover")).unwrap();
    let jaw = shop.photo("heron/jaw1.jpg");
    fs::write(&jaw, fs::read(&jaw).unwrap()).unwrap();
    assert_eq!(read_now(&shop.review("out", "", 0)), 0);
    assert!(shop.files("out").contains(&"plover/jaw1.jpg".to_owned()));
    // Another content, another method: read.
    let mut bytes = fs::read(&jaw).unwrap();
    bytes.push(0);
    fs::write(&jaw, bytes).unwrap();
    assert_eq!(read_now(&shop.review("out", "", 0)), 1);
    let output = shop.run("review", "checks --tip up --into out --method transfer");
    assert_eq!(read_now(&String::from_utf8(output.stdout).unwrap()), 6);
}

#[test]
fn a_picture_that_was_deleted_is_made_again() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.write("heron/broken.jpg", b"no picture");
    assert_eq!(read_now(&shop.review("out", "", 1)), 2);
    for folder in ["thumbs", "pictures"] {
        let names = fs::read_dir(shop.path("out").join(folder)).unwrap();
        let places: Vec<_> = names.map(|e| e.unwrap().path()).collect();
        assert_eq!(places.len(), 1);
        let bytes = fs::read(&places[0]).unwrap();
        fs::remove_file(&places[0]).unwrap();
        // What has no picture, since it is none, is not read again.
        assert_eq!(read_now(&shop.review("out", "", 1)), 1);
        assert_eq!(fs::read(&places[0]).unwrap(), bytes);
        assert_eq!(read_now(&shop.review("out", "", 1)), 0);
    }
}

#[test]
fn the_result_is_the_same_whatever_the_threads() {
    let shop = Shop::with_two_checks();
    let one = shop
        .command(
            "review",
            "checks --tip up --into one --threads 1 --csv one.csv",
        )
        // The networks' own threads.
        .env("RTEN_NUM_THREADS", "1")
        .output();
    assert!(one.unwrap().status.success());
    shop.review("four", "--threads 4 --csv four.csv", 0);
    assert_eq!(shop.result("one"), shop.result("four"));
    for name in ["", "-photos"] {
        let table = |run: &str| fs::read(shop.path(&format!("{run}{name}.csv"))).unwrap();
        assert_eq!(table("one"), table("four"));
    }
}

/// What a stop left is a result that lacks photos, and is not to be taken for a whole one.
fn assert_not_joined(shop: &Shop, why: &str) {
    let output = shop.run("join", "out --into joined");
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(errors.contains(why), "{errors}");
    assert!(!shop.path("joined").exists());
}

/// A busy machine may come to a run only after its end: once more, then.
fn in_the_midst<T>(mut stopped: impl FnMut() -> Option<T>) -> T {
    let mut tries = (0..20).filter_map(|_| stopped());
    tries.next().expect("a run that is stopped before its end")
}

#[test]
fn a_killed_run_goes_on_where_it_was() {
    let shop = Shop::with_two_checks();
    shop.review("whole", "", 0);
    let kept = in_the_midst(|| {
        let mut child = shop.start("out", "--threads 1");
        wait_for("two photos read", || shop.kept("out") >= 2);
        child.kill().unwrap();
        child.wait().unwrap();
        let kept = shop.kept("out");
        let midst = kept < 6;
        if !midst {
            fs::remove_dir_all(shop.path("out")).unwrap();
        }
        midst.then_some(kept)
    });
    // As a kill in the midst of writing leaves it.
    for file in ["readings.jsonl", "files.jsonl"] {
        let place = shop.path("out").join(file);
        let mut file = OpenOptions::new().append(true).open(place).unwrap();
        file.write_all(b"{\"sha256\":\"ab").unwrap();
    }
    assert_not_joined(&shop, "holds no result");
    assert_eq!(read_now(&shop.review("out", "", 0)), 6 - kept);
    assert_eq!(shop.result("out"), shop.result("whole"));
    let readings = fs::read_to_string(shop.path("out/readings.jsonl")).unwrap();
    assert_eq!(readings.lines().count(), 6);
    for line in readings.lines() {
        serde_json::from_str::<serde_json::Value>(line).unwrap();
    }
}

#[cfg(unix)]
#[test]
fn ctrl_c_finishes_what_is_under_way_and_leaves_a_result() {
    let shop = Shop::with_two_checks();
    shop.review("whole", "", 0);
    let output = in_the_midst(|| {
        let child = shop.start("out", "--threads 1");
        wait_for("a photo read", || shop.kept("out") >= 1);
        signal(&child, "-INT");
        let output = child.wait_with_output().unwrap();
        let midst = shop.kept("out") < 6;
        if !midst {
            fs::remove_dir_all(shop.path("out")).unwrap();
        }
        midst.then_some(output)
    });
    assert_eq!(output.status.code(), Some(130));
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        said.contains("Stopped with") && said.contains("again to continue"),
        "{said}"
    );
    let read = read_now(&said);
    assert!((1..6).contains(&read), "{said}");
    assert_eq!(shop.files("out").len(), read);
    assert_eq!(shop.kept("out"), read);
    assert_not_joined(&shop, "out is not finished");
    assert_eq!(read_now(&shop.review("out", "", 0)), 6 - read);
    assert_eq!(shop.result("out"), shop.result("whole"));
    let joined = shop.run("join", "out --into joined");
    assert_eq!(joined.status.code(), Some(0));
}

#[test]
fn two_runs_at_once_into_one_folder_are_refused() {
    let shop = Shop::with_two_checks();
    let first = || {
        let mut first = shop.start("out", "--threads 1");
        wait_for("the first at work", || shop.kept("out") >= 1);
        // It stays in the midst of its work until it is killed.
        signal(&first, "-STOP");
        first.try_wait().unwrap().is_none().then_some(first)
    };
    let mut first = in_the_midst(first);
    let second = shop.run("review", "checks --into out");
    assert_eq!(second.status.code(), Some(2));
    let errors = String::from_utf8(second.stderr).unwrap();
    assert!(errors.contains("another run is writing"), "{errors}");
    // A dead process holds nothing.
    first.kill().unwrap();
    first.wait().unwrap();
    shop.review("out", "", 0);
    assert_eq!(shop.files("out").len(), 6);
}

/// A share that goes away looks like an empty folder.
#[cfg(unix)]
#[test]
fn a_folder_that_goes_away_while_it_watches_loses_nothing() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    let errors = shop.path("errors.txt");
    let child = shop
        .command("review", "checks --tip up --into out --watch")
        .stderr(fs::File::create(&errors).unwrap())
        .spawn()
        .unwrap();
    let lines = || fs::read(shop.path("out/review.jsonl")).unwrap_or_default();
    wait_for("the first photo", || !lines().is_empty());
    let first = lines();
    fs::rename(shop.path("checks"), shop.path("away")).unwrap();
    let said = || fs::read_to_string(&errors).unwrap();
    wait_for("it is said", || said().contains("no longer there"));
    // Some more looks, if the machine comes to them: nothing is lost, and nothing is said again.
    std::thread::sleep(std::time::Duration::from_secs(3));
    assert_eq!(lines(), first);
    fs::rename(shop.path("away"), shop.path("checks")).unwrap();
    shop.put("heron-too-much-taper/jaw2.jpg", "heron/jaw2.jpg");
    wait_for("the second photo", || {
        String::from_utf8(lines()).unwrap().contains("jaw2.jpg")
    });
    signal(&child, "-INT");
    child.wait_with_output().unwrap();
    let said = said();
    assert_eq!(said.matches("no longer there").count(), 1, "{said}");
    assert_eq!(shop.lines("out", "photo").len(), 2);
}

#[cfg(unix)]
#[test]
fn what_arrives_is_read_while_it_watches() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    let child = shop.start("out", "--watch");
    let lines = || fs::read(shop.path("out/review.jsonl")).unwrap_or_default();
    // What comes slowly may be looked at before it is whole, and is then looked at again.
    let read = |file: &str| {
        let text = String::from_utf8(lines()).unwrap();
        let of = |line: &str| line.contains(file) && line.contains("\"error\":null");
        text.lines().any(of)
    };
    wait_for("the first photo", || read("heron/jaw1.jpg"));
    // In two steps, as a slow copy comes.
    let bytes = samples::bytes("heron-too-much-taper/jaw2.jpg");
    shop.write("heron/jaw2.jpg", &bytes[..bytes.len() / 2]);
    std::thread::sleep(std::time::Duration::from_millis(500));
    shop.write("heron/jaw2.jpg", &bytes);
    wait_for("the second photo", || read("heron/jaw2.jpg"));
    signal(&child, "-INT");
    assert_eq!(child.wait_with_output().unwrap().status.code(), Some(0));
    let photos = shop.lines("out", "photo");
    assert!(photos.iter().all(|p| p["error"].is_null()));
    assert_eq!(photos.len(), 2);
}
