//! What is corrected of photos is kept as labels, and the pack that is made of them to give away.

mod pack;

use seepline::archive::Details;
use seepline::{Id, Label, Labelled, Pattern, Person, TipDirection};

use crate::support::bench::Bench;
use crate::support::program::{Run, contains, in_shop};
use crate::support::records::{at, hash, join, shop};
use crate::support::samples;

const GIVEN: &str = "386.4,561.9 823.9,513.9 868.8,1321.6 408.3,1331.1";

fn jaw() -> String {
    samples::sample("heron-too-much-taper/jaw1.jpg")
}

/// Reads a photo with corners that somebody gave.
fn with_corners(bench: &Bench, photo: &str, corners: &str) {
    let line = format!("read {photo} --jaws heron --taper 3thou --corners");
    let mut command = in_shop(bench.folder.path(), &line);
    command.arg(corners).ran().stdout(contains("Soft jaws"));
}

/// Without the breaks between lines, which stand elsewhere for other names.
fn flat(text: &str) -> String {
    text.split_whitespace().collect()
}

/// The labels that an export of the archive has.
fn labels(bench: &Bench) -> Vec<Label> {
    let archive = seepline::archive::Archive::open(&bench.archive()).unwrap();
    let exported = archive.export_json().unwrap()["labels"].clone();
    let all = archive.labels().unwrap();
    assert_eq!(exported, serde_json::to_value(&all).unwrap());
    all
}

fn label(photo: &[u8], what: Labelled, by: &str, minute: i8) -> Label {
    Label {
        id: Id::random().unwrap(),
        photo: hash(photo),
        what,
        by: Some(Person::parse(by).unwrap()),
        at: at(minute),
        changed: at(minute),
    }
}

#[test]
fn corners_that_were_given_and_a_tip_elsewhere_are_kept_as_labels() {
    let bench = Bench::new();
    with_corners(&bench, &jaw(), GIVEN);
    let given = [
        [386.4, 561.9],
        [823.9, 513.9],
        [868.8, 1321.6],
        [408.3, 1331.1],
    ];
    let kept = labels(&bench);
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].what, Labelled::Corners(given));
    assert_eq!(
        kept[0].photo,
        hash(&samples::bytes("heron-too-much-taper/jaw1.jpg"))
    );
    // Read again without them, and once more with the same: what was said once stands.
    bench
        .read(&[jaw()], "--jaws heron")
        .stdout(contains("heron"));
    with_corners_again(&bench);
    assert_eq!(labels(&bench), kept);
    // Up is where the program takes a tip to be; elsewhere is a correction.
    let down = samples::sample("singles/base-only-orange-upside-down-phone.jpg");
    let line = format!(
        "read {down} --tip down --jaws heron --taper 2thou --call base-only --change +1thou --by AB"
    );
    in_shop(bench.folder.path(), &line)
        .ran()
        .stdout(contains("heron"));
    let kept = labels(&bench);
    assert_eq!(kept.len(), 2);
    // Of one second, either may come first.
    let tip = kept
        .iter()
        .find(|l| l.what == Labelled::Tip(TipDirection::Down));
    let tip = tip.expect("a label for the tip");
    assert_eq!(tip.by, Some(Person::parse("AB").unwrap()));
    let show = |check: &serde_json::Value| {
        let id = check["id"].as_str().unwrap();
        bench.run(&format!("check show {id}")).success().out()
    };
    let shown: String = bench.checks("heron").iter().map(show).collect();
    assert!(
        flat(&shown).contains(&flat("jaw1.jpg: the corners were given")),
        "{shown}"
    );
    assert!(
        flat(&shown).contains(&flat("the tip points down, says AB")),
        "{shown}"
    );
}

fn with_corners_again(bench: &Bench) {
    let line = format!("read {} --jaws heron --corners", jaw());
    let mut command = in_shop(bench.folder.path(), &line);
    command.arg(GIVEN).ran().stdout(contains("heron"));
}

#[test]
fn a_lead_says_what_can_be_read_in_a_photo_and_reread_holds_readings_against_it() {
    let bench = Bench::new();
    let heron = samples::jaws("heron-too-much-taper");
    bench.read(&heron, "--jaws heron --taper 3thou").success();
    let filed = bench.checks("heron");
    let check = filed[0]["id"].as_str().unwrap();
    let say = |more: &str| bench.run(&format!("check label {check} {more} --by JK"));
    say("full-length --photo jaw2.jpg")
        .code(2)
        .stderr(contains("JK is no lead"));
    bench.run("people lead JK on").success();
    say("full-length").code(2).stderr(contains("--photo"));
    say("full-length --photo jaw9.jpg")
        .code(2)
        .stderr(contains("no photo of that name"));
    say("tip-only --photo jaw2.jpg").success();
    let shown = say("full-length --photo jaw2.jpg").success();
    assert!(
        flat(&shown.out()).contains(&flat("jaw2.jpg: can be read as full-length, says JK")),
        "{shown}"
    );
    // The earlier word is kept, and no longer stands.
    assert_eq!(labels(&bench).len(), 2);
    // Nothing of the check itself changed.
    assert_eq!(bench.checks("heron"), filed);
    let reread = bench.run("reread --into out").success();
    let counted = "Of 1 jaws it is proven what was right: 0 were filed so, 0 are read so now.";
    assert!(
        reread.out().replace('\n', " ").contains(counted),
        "{reread}"
    );
    let record = bench.json("people export JK --by JK");
    assert_eq!(record["labels"].as_array().unwrap().len(), 2);
}

#[test]
fn labels_of_two_archives_become_those_of_both() {
    let mut a = shop();
    let mut b = a.sister();
    for shop in [&mut a, &mut b] {
        shop.file(&[b"jaw1"]);
        let lead = Person::parse("JK").unwrap();
        shop.archive
            .edit_person(&lead, at(0), |p| p.lead = true)
            .unwrap();
    }
    let tip = label(b"jaw1", Labelled::Tip(TipDirection::Left), "AB", 4);
    a.archive.keep_labels(&[tip]).unwrap();
    let said = |pattern, minute| label(b"jaw1", Labelled::Pattern(pattern), "JK", minute);
    a.archive.keep_labels(&[said(Pattern::TipOnly, 5)]).unwrap();
    b.archive.keep_labels(&[said(Pattern::OneSide, 6)]).unwrap();
    let merged = join(&mut a, &mut b);
    assert_eq!(merged.labels, 1);
    let standing = a.archive.labels_of(&[&hash(b"jaw1")]).unwrap();
    let what: Vec<Labelled> = standing.iter().map(|l| l.what).collect();
    assert_eq!(
        what,
        [
            Labelled::Tip(TipDirection::Left),
            Labelled::Pattern(Pattern::OneSide)
        ]
    );
    let tables = a.archive.export_csv().unwrap();
    let table = tables.iter().find(|t| t.name == "labels.csv").unwrap();
    let text = String::from_utf8(table.bytes.clone()).unwrap();
    assert_eq!(text.lines().count(), 4, "{text}");
}

#[test]
fn labels_of_an_erased_person_stay_without_them() {
    let mut shop = shop();
    shop.file(&[b"jaw1"]);
    let who = Person::parse("QXJZK7").unwrap();
    let tip = label(b"jaw1", Labelled::Tip(TipDirection::Left), "QXJZK7", 4);
    shop.archive.keep_labels(&[tip]).unwrap();
    let mut sister = shop.sister();
    sister.archive.merge(&shop.archive).unwrap();
    let erased = shop.archive.erase(&who, at(9)).unwrap();
    let left = shop.archive.labels().unwrap();
    assert_eq!(left[0].by.as_ref(), Some(&erased.number));
    let bytes = std::fs::read(shop.folder.path().join("archive.sqlite")).unwrap();
    assert!(!bytes.windows(6).any(|w| w == b"QXJZK7"));
    // The later version stands in the other archive, too.
    join(&mut shop, &mut sister);
    assert_eq!(sister.archive.labels().unwrap(), left);
    assert_eq!(
        shop.archive.every_timeline(Details::LeftOut).unwrap().len(),
        1
    );
}

#[test]
fn a_label_is_never_changed() {
    let mut shop = shop();
    shop.file(&[b"jaw1"]);
    let tip = label(b"jaw1", Labelled::Tip(TipDirection::Left), "AB", 4);
    shop.archive.keep_labels(&[tip]).unwrap();
    let db = rusqlite::Connection::open(shop.folder.path().join("archive.sqlite")).unwrap();
    let changed = db.execute("UPDATE labels SET value = '\"up\"'", []);
    assert!(changed.unwrap_err().to_string().contains("not changed"));
}
