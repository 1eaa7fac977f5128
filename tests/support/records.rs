//! Invented records: plumbing only, no value here is a claim about jaws.

use jiff::civil::{DateTime, date};
use seepline::archive::{Archive, Filed, Merged};
use seepline::{
    Action, Cut, FiledAdvice, FiledCheck, FiledReading, Grip, Id, JawSet, Length, Method, Mounting,
    OpenEnd, Pattern, PerSide, Seen,
};
use sha2::{Digest, Sha256};
use tempfile::TempDir;

pub(crate) fn at(minute: i8) -> DateTime {
    date(2026, 3, 4).at(10, minute, 0, 0)
}

pub(crate) fn length(text: &str) -> Length {
    text.parse().unwrap()
}

pub(crate) fn jaw_set(name: &str) -> JawSet {
    JawSet::named(Id::random().unwrap(), name, at(0))
}

pub(crate) fn mounting() -> Mounting {
    Mounting {
        machine: Some("north lathe".into()),
        chuck: Some("10 in, three jaws".into()),
        master_jaws: Some("1-A 2-B 3-C".into()),
        serration: Some("5 from the outside".into()),
    }
}

/// With a value in every field.
pub(crate) fn full_jaw_set(name: &str) -> JawSet {
    JawSet {
        grip: Grip::Inside,
        material: Some("Stahl, weich – Ölfest".into()),
        jaw_height: Some(length("2in")),
        face_length: Some(length("1.25in")),
        face_width: Some(length("40mm")),
        bored_diameter: Some(length("101.6001mm")),
        workpiece: Some("=flange \"blank\", rough\nsecond line".into()),
        workpiece_diameter: Some(length("101.6mm")),
        mounting: mounting(),
        boring_pressure: Some("100psi".parse().unwrap()),
        production_pressure: Some("300psi".parse().unwrap()),
        bolt_torque: Some("80 as stamped".into()),
        bored_on: Some("plug, 20 mm".into()),
        stock: Some(length("0um")),
        notes: Some("'quoted, -signed; \u{1F529}".into()),
        photos: vec![hash(b"front"), hash(b"back")],
        ..jaw_set(name)
    }
}

pub(crate) fn cut(of: &JawSet, minute: i8) -> Cut {
    Cut {
        id: Id::random().unwrap(),
        jaw_set: of.id,
        made: at(minute),
        diameter: Some(length("4in")),
        depth: Some(length("1.25in")),
        taper: Some(PerSide::of(length("2.5thou"))),
        boring_pressure: Some("20bar".parse().unwrap()),
        skimmed: Some("back face, 0.1 mm".into()),
        stock_left: Some(length("3mm")),
        mounting: mounting(),
        notes: Some("@noon".into()),
        changed: at(minute),
    }
}

pub(crate) fn hash(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

pub(crate) fn reading(photo: &[u8]) -> FiledReading {
    let sha256 = hash(photo);
    FiledReading {
        file: format!("{}.jpg", &sha256[..6]),
        detail: serde_json::json!({"sha256": sha256, "profile": [0.1, null, 1.0], "n": 3}),
        sha256,
        taken: Some(at(1)),
        phone: None,
        pattern: Pattern::TipOnly,
        confidence: 0.1 + 0.2,
        refusal: None,
        seen: Some(Seen {
            open_end: OpenEnd::Base,
            open_fraction: 1.0 / 3.0,
            sd: 0.02,
        }),
    }
}

pub(crate) fn check(of: &Cut, photos: &[&[u8]]) -> FiledCheck {
    FiledCheck {
        id: Id::derived(&["not looked at"]),
        cut: of.id,
        made: at(1),
        method: Method::Seep,
        compound: Some("blue".into()),
        pressure: Some("300psi".parse().unwrap()),
        mounting: mounting(),
        readings: photos.iter().map(|p| reading(p)).collect(),
        program: "0.2.0".into(),
        rules: "1".into(),
        advice: FiledAdvice {
            pattern: Pattern::TipOnly,
            action: Action::Recut,
            change: Some(PerSide::of(length("-1thou"))),
            low: Some(PerSide::of(length("-1.5thou"))),
            high: Some(PerSide::of(length("-0.6thou"))),
            next_taper: Some(PerSide::of(length("1.5thou"))),
            what_to_do: "Take off taper.".into(),
            why: "The base is open.".into(),
        },
        done: None,
        changed: at(2),
    }
}

/// An archive with the set heron and one cut of it.
pub(crate) struct Shop {
    // Removed when dropped.
    pub(crate) folder: TempDir,
    pub(crate) archive: Archive,
    pub(crate) heron: JawSet,
    pub(crate) cut: Cut,
}

impl Shop {
    /// Another machine's archive with the same heron and cut.
    pub(crate) fn sister(&self) -> Self {
        Self::holding(self.heron.clone(), self.cut.clone())
    }

    fn holding(heron: JawSet, cut: Cut) -> Self {
        let folder = TempDir::new().unwrap();
        let mut archive = Archive::create_or_open(folder.path()).unwrap();
        archive.put_jaw_set(&heron).unwrap();
        archive.put_cut(&cut).unwrap();
        Self {
            folder,
            archive,
            heron,
            cut,
        }
    }

    /// Files a check with these photos under the cut.
    pub(crate) fn file(&mut self, photos: &[&[u8]]) -> Filed {
        let given = check(&self.cut, photos);
        let filed = self.archive.file_check(self.heron.id, &given, photos);
        filed.unwrap()
    }
}

pub(crate) fn shop() -> Shop {
    let heron = jaw_set("heron");
    let cut = cut(&heron, 0);
    Shop::holding(heron, cut)
}

/// Merges both ways; then both hold the same and merging again changes nothing.
pub(crate) fn join(a: &mut Shop, b: &mut Shop) -> Merged {
    let merged = a.archive.merge(&b.archive).unwrap();
    b.archive.merge(&a.archive).unwrap();
    assert_eq!(
        a.archive.export_json().unwrap(),
        b.archive.export_json().unwrap()
    );
    assert_eq!(a.archive.merge(&b.archive).unwrap(), Merged::default());
    assert_eq!(b.archive.merge(&a.archive).unwrap(), Merged::default());
    for archive in [&a.archive, &b.archive] {
        assert_eq!(archive.verify().unwrap(), []);
    }
    merged
}
