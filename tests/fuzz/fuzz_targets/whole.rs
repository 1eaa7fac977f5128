//! Any bytes go through the whole of a reading: photo, face, compound, profile, pattern, advice, and every
//! report. The first four bytes are what a user says about the photo, the rest is the file. Only a panic that
//! escapes ends the run; a decoder's that the photo boundary catches is no fault.

#![no_main]

use libfuzzer_sys::fuzz_target;
use seepline::report::{CheckReport, PhotoReport, TextOptions, to_jpeg, to_json, to_text};
use seepline::{
    Check, Grip, Length, Method, Pattern, PerSide, Point, Quad, Reading, Request, Rules, Setup,
    TipDirection, advise, inspect, read_photo,
};

fuzz_target!(
    init: seepline::fuzzing::only_others_may_panic(),
    |bytes: &[u8]| {
        if let Some((said, file)) = bytes.split_at_checked(4) {
            whole(said, file);
        }
    }
);

fn whole(said: &[u8], file: &[u8]) {
    let Ok(photo) = read_photo(file) else { return };
    let request = Request {
        method: if said[0] & 1 == 0 {
            Method::Seep
        } else {
            Method::Transfer
        },
        tip: (said[0] & 16 == 0).then_some(
            [
                TipDirection::Up,
                TipDirection::Right,
                TipDirection::Down,
                TipDirection::Left,
            ][usize::from(said[0] >> 1 & 3)],
        ),
        corners: (said[0] & 8 != 0).then(|| corners(said, photo.size_px)),
    };
    let mut inspection = inspect(photo, &request);
    let rules = Rules::built_in();
    rules.fill_refusal(&mut inspection.reading);
    check_reading(&inspection.reading);
    let advice = advise(
        &Check {
            readings: vec![&inspection.reading],
            setup: setup(said),
        },
        rules,
    );
    let photos = ["a.jpg", "b\u{1b}[31m.jpg"].map(|name| PhotoReport {
        file: name.to_owned(),
        outcome: Ok(Box::new(inspection.clone())),
        jaw: None,
        same_as: None,
        picture: None,
    });
    report(&CheckReport {
        photos: photos.into(),
        joined: Vec::new(),
        method: request.method,
        setup: setup(said),
        rules: rules.version().to_owned(),
        advice,
        filed: None,
        call: None,
        proof: None,
    });
}

fn setup(said: &[u8]) -> Setup {
    let micrometres = |v: u8| Length::from_micrometres(i32::from(v));
    Setup {
        grip: if said[1] & 1 == 0 {
            Grip::Outside
        } else {
            Grip::Inside
        },
        taper: (said[1] & 2 != 0).then(|| PerSide::of(micrometres(said[2]))),
        length: (said[1] & 4 != 0).then(|| Length::from_micrometres(30_000)),
        clearance: (said[1] & 8 != 0).then(|| micrometres(said[3])),
    }
}

/// Corners of any kind: crossed, of no area, outside of the picture, far larger than it.
fn corners(said: &[u8], [width, height]: [u32; 2]) -> Quad {
    let at = |x: u8, y: u8| {
        let share = |v: u8| f64::from(v) / 128.0 - 0.5;
        Point::new(share(x) * f64::from(width), share(y) * f64::from(height))
    };
    let [a, b, c] = [said[1], said[2], said[3]];
    Quad([at(a, b), at(c, b), at(c, 255 - a), at(b, c)])
}

fn check_reading(reading: &Reading) {
    assert_eq!(
        reading.refusal.is_some(),
        reading.pattern == Pattern::Unreadable
    );
    assert!((0.0..=1.0).contains(&reading.confidence));
    if let Some(profile) = &reading.profile {
        assert!(
            profile
                .along
                .iter()
                .flatten()
                .all(|share| (0.0..=1.0).contains(share))
        );
    }
    assert!(
        reading
            .bands
            .iter()
            .all(|b| 0.0 <= b.from && b.from < b.to && b.to <= 1.0)
    );
}

fn report(report: &CheckReport) {
    serde_json::from_slice::<serde_json::Value>(&to_json(report).expect("JSON")).expect("JSON");
    for unicode in [false, true] {
        let options = TextOptions {
            colour: false,
            unicode,
            width: Some(60),
        };
        assert!(!to_text(report, options).contains('\u{1b}'));
    }
    assert!(
        to_jpeg(report, 0)
            .expect("a picture")
            .starts_with(&[0xff, 0xd8])
    );
}
