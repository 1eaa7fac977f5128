//! What is kept back does not follow from anything else: other amounts of the rules change no byte, a history tells no
//! estimate that has it, and where nobody can tell whether it is to be kept back it is.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use seepline::prove::Plan;
use seepline::{Action, FiledAdvice, Pattern};

use super::secret::heron;
use super::support::lead;
use crate::support::bench::Bench;
use crate::support::program::contains;
use crate::support::records::{Shop, at, check, shop};
use crate::support::samples::sample;

/// As built in, but for the largest step, which decides the amount of heron's change.
fn rules(bench: &Bench, name: &str, largest_step: &str) -> String {
    let built_in = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/taper/rules/rules.toml");
    let text = fs::read_to_string(built_in).unwrap();
    let step = "largest_step = { value = \"0.002in\"";
    assert!(text.contains(step));
    let file = bench.place(name);
    let other = format!("largest_step = {{ value = \"{largest_step}\"");
    fs::write(&file, text.replace(step, &other)).unwrap();
    file
}

/// Every byte that a check of heron leaves behind, with these rules.
fn everything(bench: &Bench, rules: &str) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    let words = format!("--taper 68.7um --rules {rules}");
    for more in ["", " --json", " --call base-only --change=+9thou --by AB"] {
        let out = bench
            .read(&heron(), &format!("{words}{more}"))
            .success()
            .out();
        // When it was called.
        let timeless = out.lines().filter(|l| !l.contains("Called at"));
        let out = timeless.collect::<Vec<_>>().join("\n");
        all.insert(format!("read{more}"), plain(out.into_bytes()));
    }
    for folder in ["pictures", "reviewed"] {
        let _ = fs::remove_dir_all(bench.place(folder));
    }
    bench
        .read(&heron(), &format!("{words} --picture pictures"))
        .success();
    let photos = Path::new(&sample("heron-too-much-taper/jaw1.jpg"))
        .parent()
        .unwrap()
        .display()
        .to_string();
    bench
        .run(&format!(
            "review {photos} --tip up --into reviewed --rules {rules}"
        ))
        .success();
    for folder in ["pictures", "reviewed"] {
        files(Path::new(&bench.place(folder)), &mut all);
    }
    all
}

fn files(folder: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).unwrap() {
        let place = entry.unwrap().path();
        if place.is_dir() {
            files(&place, found);
        // When each file was looked at.
        } else if !place.ends_with("files.jsonl") {
            let mut bytes = plain(fs::read(&place).unwrap());
            if place.ends_with("readings.jsonl") {
                // In the order in which they came to an end.
                let mut lines: Vec<&[u8]> = bytes.split(|b| *b == b'\n').collect();
                lines.sort_unstable();
                bytes = lines.concat();
            }
            found.insert(place.display().to_string(), bytes);
        }
    }
}

/// Without what other rules change anyway, the digest in their version, and the minute in which a page was made.
fn plain(bytes: Vec<u8>) -> Vec<u8> {
    let Ok(mut text) = String::from_utf8(bytes.clone()) else {
        return bytes;
    };
    for (before, behind) in [(", reviewed ", 16), ("1 (", 9)] {
        let places: Vec<usize> = text.match_indices(before).map(|(at, _)| at).collect();
        for at in places.into_iter().rev() {
            let end = at + before.len() + behind;
            if text.is_char_boundary(end) && (behind == 16 || text[..end].ends_with(')')) {
                text.replace_range(at..end, "");
            }
        }
    }
    text.into_bytes()
}

fn differing(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    assert!(one.keys().eq(other.keys()));
    let differ = one.iter().filter(|(name, bytes)| other[*name] != **bytes);
    differ.map(|(name, _)| name.clone()).collect()
}

/// Numbers may be looked for in texts; of pictures and of whatever nobody thought of, this says that the amount has no
/// part in them.
#[test]
fn where_it_is_kept_back_no_byte_hangs_on_the_amount() {
    let bench = Bench::new();
    let (small, large) = (
        rules(&bench, "small.toml", "0.0005in"),
        rules(&bench, "large.toml", "0.002in"),
    );
    let said = differing(&everything(&bench, &small), &everything(&bench, &large));
    for part in [
        "read",
        "read --json",
        "pictures/",
        "review.jsonl",
        "reviewed/checks/",
    ] {
        let found = said.iter().any(|name| name.contains(part));
        assert!(found, "the amounts differ in {part}: {said:?}");
    }
    bench.run("people lead JK on").success();
    bench.run("prove-out begin --by JK --hold").success();
    let held = differing(&everything(&bench, &small), &everything(&bench, &large));
    assert_eq!(held, Vec::<String>::new());
}

/// Files a check that takes taper off, as it is filed where `action` is all that is said.
fn filed(shop: &mut Shop, photo: &[u8], action: Action) {
    let said = check(&shop.cut, &[photo]);
    let kept = FiledAdvice {
        pattern: Pattern::TipOnly,
        action,
        change: None,
        low: None,
        high: None,
        next_taper: None,
        what_to_do: "Decide yourself.".into(),
        why: String::new(),
    };
    let mut check = check(&shop.cut, &[photo]);
    for reading in &mut check.readings {
        reading.confidence = 0.99;
    }
    check.made = at(i8::try_from(photo.len()).unwrap());
    check.advice = if action == Action::Recut {
        said.advice
    } else {
        kept
    };
    let heron = shop.heron.id;
    shop.archive.file_check(heron, &check, &[photo]).unwrap();
}

fn estimates(shop: &Shop) -> Vec<bool> {
    let bench = Bench::bare();
    let folder = shop.folder.path().display();
    let history = bench.json(&format!("history heron --archive {folder}"));
    let steps = history["estimates"].as_array().unwrap();
    steps.iter().map(|s| s["needed"].is_object()).collect()
}

/// What contradicts the history says nothing of a change and yet counts, so that the needed taper would have it.
#[test]
fn a_history_tells_no_estimate_from_which_it_follows() {
    let mut shop = shop();
    filed(&mut shop, b"1", Action::Recut);
    filed(&mut shop, b"22", Action::Held);
    filed(&mut shop, b"333", Action::FixFirst);
    assert_eq!(estimates(&shop), [true, true, true]);
    shop.archive
        .edit_person(&lead(), at(0), |p| p.lead = true)
        .unwrap();
    let plan = Plan::of_checks(5, true).unwrap();
    shop.archive.begin_prove_out(plan, &lead(), at(1)).unwrap();
    assert_eq!(estimates(&shop), [true, false, false]);
}

/// Reading is never stopped by an archive; but a lead may have had changes kept back in the one that cannot be asked.
#[test]
fn where_the_archive_cannot_be_asked_it_is_kept_back() {
    let kept_back = |bench: &Bench, more: &str| {
        bench
            .read(&heron()[1..2], &format!("--taper 68.7um {more}"))
            .success()
            .stderr(contains("is not known"))
            .stdout(contains("KEPT BACK").and(contains("The archive cannot be read")));
    };
    // A file in the archive's place; a database of another kind; a folder without its database.
    let bench = Bench::bare();
    fs::write(bench.archive(), "no folder").unwrap();
    kept_back(&bench, "");
    let bench = Bench::new();
    fs::write(bench.archive().join("archive.sqlite"), "damaged").unwrap();
    kept_back(&bench, "");
    fs::remove_file(bench.archive().join("archive.sqlite")).unwrap();
    kept_back(&bench, "");
    // A disk or share that is not there now.
    kept_back(&bench, &format!("--archive {}", bench.place("share/shop")));
    let study = "study make --photos sample --readers AB --tip up --into study";
    let photos = bench.place("sample");
    fs::create_dir(&photos).unwrap();
    for (n, file) in heron().iter().enumerate() {
        fs::copy(file, format!("{photos}/{n}.jpg")).unwrap();
    }
    bench.run(study).success().stderr(contains("is not known"));
    let key = fs::read_to_string(bench.place("study/key-not-for-readers/study.json")).unwrap();
    assert!(
        key.contains("\"change_um\": null") && key.contains("tip-only"),
        "{key}"
    );
    // Where nobody ever began one there is nothing to keep back.
    Bench::bare()
        .read(&heron()[1..2], "--taper 68.7um")
        .success()
        .stdout(contains("CUT AGAIN WITH LESS TAPER"));
}
