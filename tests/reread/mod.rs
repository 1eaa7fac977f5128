//! All filed photos read again: against an archive whose readings differ in known ways, killed and resumed.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use seepline::archive::Archive;
use seepline::{
    Call, CallKind, CalledChange, Cut, FiledCall, FiledReading, Id, Item, Method, OpenEnd, Pattern,
    PerSide, Person, Reason, Request, Rules, Seen, TipDirection, inspect, read_photo,
};
use serde_json::json;
use tempfile::TempDir;

use crate::support::program::{Run, contains, in_shop, lacks, wait_for};
use crate::support::records::{at, check, hash, jaw_set, length};
use crate::support::samples;

/// A photo as this version reads it.
struct Photo {
    bytes: Vec<u8>,
    method: Method,
    read: FiledReading,
}

const PHOTOS: [(&str, Method); 8] = [
    ("heron-too-much-taper/jaw3.jpg", Method::Seep),
    ("heron-too-much-taper/jaw2.jpg", Method::Seep),
    ("wren-full-length/jaw1.jpg", Method::Seep),
    ("singles/base-only-steel-on-the-chuck.jpg", Method::Seep),
    ("singles/centre-only-green.jpg", Method::Seep),
    ("singles/transfer-tip-only-violet.jpg", Method::Transfer),
    ("singles/one-side-on-the-chuck.jpg", Method::Seep),
    ("singles/refused-smeared.jpg", Method::Seep),
];

/// As it is filed: with the tip that was said.
fn photo((file, method): (&str, Method)) -> Photo {
    let bytes = samples::bytes(file);
    let tip = Some(TipDirection::Up);
    let request = Request {
        method,
        tip,
        corners: None,
    };
    let reading = inspect(read_photo(&bytes).unwrap(), &request).reading;
    let read = FiledReading {
        sha256: String::new(),
        file: String::new(),
        taken: None,
        phone: None,
        pattern: reading.pattern,
        confidence: reading.confidence,
        refusal: reading.refusal.as_ref().map(|r| r.reason),
        seen: Seen::of_reading(&reading),
        detail: json!({"said": {"tip": tip, "corners_px": null}}),
    };
    Photo {
        bytes,
        method,
        read,
    }
}

/// In what other weights read the three photos of a check otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Other {
    Nothing,
    /// The first photo, as the opposite.
    Direction,
    /// The second photo.
    Pattern,
    /// All of them refused, or not refused where this version refuses them.
    Refused,
    /// All of them too little certain.
    Unsure,
    /// All of them, open over another share of the length.
    Amount,
}

const OTHERS: [Other; 6] = [
    Other::Nothing,
    Other::Direction,
    Other::Pattern,
    Other::Refused,
    Other::Unsure,
    Other::Amount,
];

/// A line of the table: how it is otherwise, whose it is (a photo's SHA-256 or a check's id), whether it had proven
/// right.
type Line = (String, String, bool);

/// An archive of checks of three photos each, and the table that reading them again must give.
struct Shop {
    folder: TempDir,
    checks: usize,
    expected: BTreeSet<Line>,
}

impl Shop {
    fn of(checks: usize) -> Self {
        let photos: Vec<Photo> = PHOTOS.into_iter().map(photo).collect();
        let folder = TempDir::new().unwrap();
        let mut archive = Archive::create_or_open(&folder.path().join("archive")).unwrap();
        let lead = Person::parse("JK").unwrap();
        archive
            .edit_person(&lead, at(0), |p| p.lead = true)
            .unwrap();
        let heron = jaw_set("heron");
        archive.put_jaw_set(&heron).unwrap();
        let cut = Cut {
            taper: Some(PerSide::of(length("3thou"))),
            ..Cut::of(&heron, Id::random().unwrap(), at(0))
        };
        archive.put_cut(&cut).unwrap();
        let mut expected = BTreeSet::new();
        for number in 0..checks {
            let photo = &photos[number % photos.len()];
            let other = OTHERS[number / photos.len() % OTHERS.len()];
            // What follows the end of a JPEG is no part of the picture, but of the file's content.
            let bytes: Vec<Vec<u8>> = (0..3)
                .map(|jaw| [&photo.bytes[..], format!("{number} {jaw}").as_bytes()].concat())
                .collect();
            let slices: Vec<&[u8]> = bytes.iter().map(Vec::as_slice).collect();
            let mut given = check(&cut, &slices);
            given.program = "0.1.9+0ther".into();
            given.method = photo.method;
            for (reading, bytes) in given.readings.iter_mut().zip(&bytes) {
                *reading = FiledReading {
                    sha256: hash(bytes),
                    file: format!("{number}.jpg"),
                    ..photo.read.clone()
                };
            }
            let otherwise = read_by_others(&mut given.readings, other);
            let filed = archive.file_check(heron.id, &given, &slices).unwrap().check;
            // Every other one proves right as it was filed.
            let proven = otherwise.is_some() && number % 2 == 0;
            if proven {
                let pattern = given.readings[usize::from(other == Other::Pattern)].pattern;
                archive.file_call(&ruling(filed, pattern, &lead)).unwrap();
            }
            let whose: Vec<String> = match other {
                Other::Nothing => Vec::new(),
                Other::Direction => vec![given.readings[0].sha256.clone()],
                Other::Pattern => vec![given.readings[1].sha256.clone()],
                Other::Amount => vec![filed.to_string()],
                Other::Refused | Other::Unsure => {
                    given.readings.iter().map(|r| r.sha256.clone()).collect()
                }
            };
            let goes_otherwise = match other {
                Other::Direction => true,
                // Edges-only asks for no change, nor does any other but these two.
                Other::Pattern => {
                    [Pattern::TipOnly, Pattern::BaseOnly].contains(&photo.read.pattern)
                }
                _ => false,
            };
            expected.extend(otherwise.into_iter().flat_map(|word| {
                let line = move |whose: &String| {
                    (word.to_owned(), whose.clone(), proven && goes_otherwise)
                };
                whose.iter().map(line).collect::<Vec<_>>()
            }));
        }
        Self {
            folder,
            checks,
            expected,
        }
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    fn reread(&self, into: &str) -> std::process::Command {
        in_shop(self.folder.path(), &format!("reread --into {into}"))
    }

    /// Whole lines of checks kept so far.
    fn kept(&self, into: &str) -> usize {
        let kept = fs::read(self.path(into).join("reread.jsonl")).unwrap_or_default();
        kept.split(|b| *b == b'\n').count() - 1
    }

    fn archived(&self) -> serde_json::Value {
        let archive = Archive::open(&self.path("archive")).unwrap();
        archive.export_json().unwrap()
    }

    /// Kills it so often in its midst, then lets it come to its end.
    fn killed(&self, times: usize, into: &str) {
        for time in 1..=times {
            let mut child = self.reread(into).spawn().unwrap();
            let aim = self.checks * time / (times + 1);
            wait_for("checks read", || self.kept(into) >= aim.max(1));
            child.kill().unwrap();
            child.wait().unwrap();
        }
        // As a kill in the midst of writing leaves it.
        let place = self.path(into).join("reread.jsonl");
        let mut lines = fs::read(&place).unwrap();
        lines.extend(b"{\"check\":\"ab");
        fs::write(&place, lines).unwrap();
    }
}

/// Changes what is filed; in what it is otherwise, where this photo can be otherwise so.
fn read_by_others(readings: &mut [FiledReading], other: Other) -> Option<&'static str> {
    let read = readings[0].clone();
    let asks = matches!(read.pattern, Pattern::TipOnly | Pattern::BaseOnly);
    let estimate = Rules::built_in().estimate();
    let certain = read.confidence >= estimate.least_confidence;
    let asks = asks && certain && read.seen.is_some();
    match other {
        Other::Direction if asks => {
            let [pattern, open_end] = match read.pattern {
                Pattern::TipOnly => [json!("base-only"), json!("tip")],
                _ => [json!("tip-only"), json!("base")],
            };
            readings[0].pattern = serde_json::from_value(pattern).unwrap();
            let open_end: OpenEnd = serde_json::from_value(open_end).unwrap();
            readings[0].seen = read.seen.map(|s| Seen { open_end, ..s });
            Some("direction")
        }
        Other::Pattern if certain => {
            readings[1].pattern = Pattern::EdgesOnly;
            readings[1].seen = None;
            Some("pattern")
        }
        Other::Refused if read.refusal.is_some() => {
            for reading in readings {
                (reading.pattern, reading.confidence) = (Pattern::OneSide, 0.95);
                reading.refusal = None;
            }
            Some("refusal")
        }
        Other::Refused if certain => {
            for reading in readings {
                (reading.pattern, reading.confidence) = (Pattern::Unreadable, 0.0);
                (reading.refusal, reading.seen) = (Some(Reason::Blurred), None);
            }
            Some("refusal")
        }
        Other::Unsure if certain => {
            for reading in readings {
                reading.confidence = 0.3;
            }
            Some("refusal")
        }
        Other::Amount if asks => {
            for seen in readings.iter_mut().filter_map(|r| r.seen.as_mut()) {
                // Twice the error, by the wedge: it is the threshold over the share that touches.
                seen.open_fraction = 1.0 - (1.0 - seen.open_fraction) / 2.0;
            }
            Some("amount")
        }
        _ => None,
    }
}

fn ruling(check: Id, pattern: Pattern, by: &Person) -> FiledCall {
    let change = match pattern {
        Pattern::TipOnly => CalledChange::Change(-PerSide::of(length("1thou"))),
        Pattern::BaseOnly => CalledChange::Change(PerSide::of(length("1thou"))),
        _ => CalledChange::NoChange,
    };
    FiledCall {
        id: Id::random().unwrap(),
        kind: CallKind::Ruling,
        item: Item::Check(check),
        session: None,
        call: Call::new(pattern, change, by.clone(), at(3)).unwrap(),
        revealed: None,
        told: None,
        changed: at(3),
    }
}

/// The table as it lies in the folder, and in which order its kinds come.
fn table(into: &Path) -> (BTreeSet<Line>, Vec<String>) {
    let mut reader = csv::Reader::from_path(into.join("reread.csv")).unwrap();
    let names = reader.headers().unwrap().clone();
    let mut kinds = Vec::new();
    let line = |row: csv::StringRecord| {
        let of = |name: &str| row[names.iter().position(|n| n == name).unwrap()].to_owned();
        kinds.push(of("otherwise"));
        let whose = Some(of("sha256")).filter(|s| !s.is_empty());
        (
            of("otherwise"),
            whose.unwrap_or_else(|| of("check")),
            of("was_right") == "true",
        )
    };
    let lines: Vec<Line> = reader.records().map(Result::unwrap).map(line).collect();
    let set: BTreeSet<Line> = lines.iter().cloned().collect();
    assert_eq!(set.len(), lines.len(), "a line stands there twice");
    kinds.dedup();
    (set, kinds)
}

/// Against an archive of so many checks: the table, whatever cut the run off, and nothing lost or doubled.
fn holds(checks: usize, kills: usize) {
    let shop = Shop::of(checks);
    let before = shop.archived();
    shop.killed(kills, "out");
    let ran = shop.reread("out").ran().code(1);
    let (found, kinds) = table(&shop.path("out"));
    assert_eq!(found, shop.expected);
    assert_eq!(kinds, ["direction", "pattern", "refusal", "amount"]);
    let lines = fs::read_to_string(shop.path("out/reread.jsonl")).unwrap();
    let ids: BTreeSet<String> = lines
        .lines()
        .map(|l| serde_json::from_str::<serde_json::Value>(l).unwrap()["check"].to_string())
        .collect();
    assert_eq!(ids.len(), checks);
    // A run that is killed between a line and the next start reads nothing twice.
    assert_eq!(lines.lines().count(), checks);
    assert_eq!(shop.archived(), before);
    let table = fs::read(shop.path("out/reread.csv")).unwrap();
    // Nothing is read again: it is said at once.
    let again = shop.reread("out").ran().code(1).out();
    assert_eq!(again, ran.out());
    assert_eq!(fs::read(shop.path("out/reread.csv")).unwrap(), table);
}

#[test]
fn the_table_is_right_also_of_a_run_that_was_killed() {
    holds(48, 3);
}

#[test]
#[ignore = "minutes"]
fn a_thousand_photos_killed_twenty_times() {
    holds(334, 20);
}

/// As a user files them: with corners, another tip, several photos of a jaw. The same version reads the same.
#[test]
fn the_same_version_reads_everything_as_it_was_filed() {
    let folder = TempDir::new().unwrap();
    let run = |line: &str| in_shop(folder.path(), line).ran();
    run("jaws add heron").success();
    let heron = samples::jaws("heron-too-much-taper").join(" ");
    run(&format!(
        "read {heron} --tip up --jaws heron --taper 2.7thou"
    ))
    .success();
    let one = samples::sample("singles/base-only-orange-upside-down-phone.jpg");
    run(&format!("read {one} --tip down --jaws heron --taper 1thou")).stdout(contains("heron"));
    let [a, b, c] = <[String; 3]>::try_from(samples::jaws("wren-full-length")).unwrap();
    in_shop(
        folder.path(),
        &format!("read {c} --jaws heron --taper 2thou --corners"),
    )
    .arg("400.25,560 820,520 860,1300 410,1310.125")
    .ran()
    .stdout(contains("heron"));
    run(&format!(
        "read {a} {b} --jaw 1 --jaw 1 --tip up --jaws heron --taper 3thou"
    ))
    .stdout(contains("heron"));
    let said = run("reread --into out").success();
    assert!(
        said.out().contains("Nothing that is filed was changed"),
        "{said}"
    );
    assert_eq!(table(&folder.path().join("out")).0, BTreeSet::new());
    run("doctor").stdout(lacks("filed readings"));
}

#[test]
fn the_doctor_says_when_it_is_due() {
    let shop = Shop::of(1);
    let doctor = || in_shop(shop.folder.path(), "doctor").ran();
    doctor().code(1).stdout(contains(
        "LACKS  filed readings: 1 checks were read by version 0.1.9+0ther",
    ));
    shop.reread("out").ran().success();
    doctor().stdout(lacks("filed readings"));
}

#[test]
fn a_photo_that_is_gone_or_damaged_is_named_and_the_others_are_read() {
    let shop = Shop::of(1);
    let archive = Archive::open(&shop.path("archive")).unwrap();
    let timelines = archive
        .every_timeline(seepline::archive::Details::LeftOut)
        .unwrap();
    let readings = &timelines[0].cuts[0].checks[0].readings;
    let place = |jaw: usize| archive.photo_path(&readings[jaw].sha256).unwrap();
    fs::remove_file(place(0)).unwrap();
    fs::copy(samples::place("wren-full-length/jaw3.jpg"), place(1)).unwrap();
    shop.reread("out")
        .ran()
        .code(2)
        .stdout(contains("1 photos of 1 checks"))
        .stderr(contains("does not exist").and(contains("damaged")));
}

#[test]
fn without_a_check_there_is_nothing_to_read() {
    let folder = TempDir::new().unwrap();
    let run = |line: &str| in_shop(folder.path(), line).ran();
    run("jaws add heron").success();
    run("reread --into out")
        .code(2)
        .stderr(contains("no check is filed"));
}
