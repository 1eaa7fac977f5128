//! Reports over hand-made readings: what is printed, word by word and key by key.

use seepline::report::{TextOptions, to_jpeg, to_json, to_text};
use serde_json::{Value, json};

use crate::support::reports;

const PLAIN: TextOptions = TextOptions {
    colour: false,
    unicode: false,
    width: None,
};

fn parsed(report: &seepline::report::CheckReport) -> Value {
    let bytes = to_json(report).expect("JSON");
    serde_json::from_slice(&bytes).expect("one JSON object")
}

#[test]
fn the_text_report_of_a_check() {
    let (text, place) = (to_text(&reports::check(), PLAIN), "tests/report/check.txt");
    let place = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(place);
    // After a change that is meant; `pipeline/goldens.rs` says more.
    if std::env::var("SEEPLINE_GOLDENS").is_ok_and(|v| v == "write") {
        std::fs::write(&place, &text).expect("written");
    }
    assert_eq!(text, std::fs::read_to_string(place).expect("the text"));
}

#[test]
fn the_strip_is_told_apart_without_colour() {
    let text = to_text(
        &reports::check(),
        TextOptions {
            unicode: true,
            ..PLAIN
        },
    );
    let strip = text
        .lines()
        .find(|l| l.starts_with("TIP "))
        .expect("a strip");
    // 48 cells, the edge at 0.55 of the length: 26 clean cells, then the one that the edge cuts.
    assert_eq!(strip.matches('·').count(), 26);
    assert_eq!(strip.matches('█').count(), 21);
}

#[test]
fn no_escape_codes_without_colour_and_the_same_words_with_it() {
    let plain = to_text(&reports::check(), PLAIN);
    assert!(!plain.contains('\u{1b}'));
    let coloured = to_text(
        &reports::check(),
        TextOptions {
            colour: true,
            ..PLAIN
        },
    );
    assert!(coloured.contains('\u{1b}'));
    assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), plain);
}

fn fits(text: &str, width: usize) {
    let widths = text.lines().map(|l| l.chars().count());
    let widest = widths.max().expect("lines");
    assert!(widest <= width, "{widest} columns of {width}:\n{text}");
}

#[test]
fn no_line_is_wider_than_the_screen() {
    for width in [24, 40, 60, 80, 100] {
        let text = to_text(
            &reports::check(),
            TextOptions {
                width: Some(width),
                ..PLAIN
            },
        );
        fits(&text, width);
    }
}

#[test]
fn a_call_beside_the_reading_fits_every_screen_and_says_the_same() {
    use seepline::{Call, CalledChange, Pattern, Person, Rules, report::CallReport};
    let mut report = reports::check();
    let change: CalledChange = "+1thou".parse().expect("a change");
    let (by, at) = (
        Person::parse("AB").expect("a person"),
        jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0),
    );
    let call = Call::new(Pattern::EdgesOnly, change, by, at).expect("a call");
    report.call = Some(CallReport::of(call, &report, None, &Rules::default()));
    for width in [24, 40, 60, 80, 100] {
        for unicode in [true, false] {
            let options = TextOptions {
                width: Some(width),
                unicode,
                ..PLAIN
            };
            let text = to_text(&report, options);
            fits(&text, width);
            let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains("THE CALL GOES THE WRONG WAY"), "{text}");
            // -1 per side is -2 on the diameter (common practice).
            for part in ["edges-only", "+1.0 thou", "-1.0 thou", "-2.0 thou"] {
                assert!(words.contains(part), "{part}: {text}");
            }
            assert!(unicode || text.is_ascii(), "{text}");
        }
    }
}

#[test]
fn a_file_name_cannot_steer_the_terminal() {
    let mut report = reports::check();
    report.photos[0].file = "jaw\u{1b}[2J1.jpg".to_owned();
    assert!(!to_text(&report, PLAIN).contains('\u{1b}'));
}

#[test]
fn json_states_both_ways_of_the_change_in_both_units() {
    let check = &parsed(&reports::check())["check"];
    // A taper of t per side is 2t on the diameter; 1 in = 25.4 mm exactly (NIST SP 811, B.8).
    assert_eq!(
        check["taper_change"],
        json!({"per_side_thou": -1.0, "on_diameter_thou": -2.0, "per_side_um": -25.4,
               "on_diameter_um": -50.8, "low_per_side_thou": -1.5, "high_per_side_thou": -0.6})
    );
    assert_eq!(
        check["next_taper"],
        json!({"per_side_thou": 2.0, "on_diameter_thou": 4.0, "per_side_um": 50.8,
               "on_diameter_um": 101.6})
    );
    assert_eq!(
        (&check["pattern"], &check["action"]),
        (&json!("tip-only"), &json!("recut"))
    );
}

/// L = 2.000 in, c = 0.100 in, t = 0.0030 in per side: 2t(L + c)/L = 0.0063 in on the diameter, the
/// tip off by 2tc/L = 0.0003 in (common practice: similar triangles over a longer cut).
fn with_a_program(sign: f64) -> seepline::report::CheckReport {
    let mut report = reports::check();
    let advice = &mut report.advice;
    advice.next_taper = Some(reports::thou(3.0));
    advice.program = Some(seepline::ProgramChange {
        programmed: reports::thou(3.15),
        diameter_change: reports::thou(sign * 3.15).on_diameter(),
        start_offset: reports::thou(sign * 0.15).on_diameter(),
    });
    report
}

#[test]
fn the_program_says_which_way_the_diameter_goes() {
    let words = |report| {
        to_text(&report, PLAIN)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    let outside = words(with_a_program(1.0));
    assert!(
        outside.contains("the diameter grows by 6.3 thou (+0.0063 in, +0.160 mm)"),
        "{outside}"
    );
    assert!(outside.contains("off by +0.3 thou"), "{outside}");
    let inside = words(with_a_program(-1.0));
    assert!(
        inside.contains("the diameter shrinks by 6.3 thou (-0.0063 in, -0.160 mm)"),
        "{inside}"
    );
    let program = &parsed(&with_a_program(-1.0))["check"]["program"];
    assert_eq!(program["programmed"]["per_side_thou"], json!(3.15));
    assert_eq!(program["diameter_change_thou"], json!(-6.3));
    assert_eq!(program["start_offset_on_diameter_thou"], json!(-0.3));
}

#[test]
fn the_odd_jaw_is_counted_over_all_photos_given() {
    let mut report = reports::check();
    let mut twice = reports::entry("again.jpg", Ok(reports::open_at_the_base(0.55)));
    twice.same_as = Some(0);
    report.photos.insert(1, twice);
    report.advice.odd_jaw = Some(1);
    // The second photo that counts is the third one given.
    assert_eq!(parsed(&report)["check"]["odd_jaw"], json!(2));
    let text = to_text(&report, PLAIN);
    assert!(
        text.contains("3. jaw2.jpg  (disagrees with the others)"),
        "{text}"
    );
    assert!(text.contains("4 photos, 2 counted"), "{text}");
}

#[test]
fn json_of_a_judged_photo_has_every_key_of_the_contract() {
    let photo = &parsed(&reports::check())["photos"][0];
    let keys = [
        "file",
        "sha256",
        "taken",
        "size_px",
        "face",
        "method",
        "grip",
        "profile",
        "bands",
        "contact",
        "pattern",
        "confidence",
        "refusal",
        "warnings",
    ];
    let found: Vec<&str> = photo
        .as_object()
        .expect("object")
        .keys()
        .map(String::as_str)
        .collect();
    assert!(keys.iter().all(|key| found.contains(key)), "{found:?}");
    assert_eq!(photo["profile"].as_array().map(Vec::len), Some(64));
    assert_eq!(photo["contact"]["tip"], json!(1.0));
    assert_eq!(photo["contact"]["base"], json!(0.0));
    assert_eq!(photo["face"]["corners_px"][2], json!([900.0, 1400.0]));
    assert_eq!(photo["face"]["found_by"], "search");
    assert_eq!(photo["refusal"], Value::Null);
}

#[test]
fn json_of_a_refused_photo_and_of_a_broken_file_keep_the_shape() {
    let report = parsed(&reports::check());
    let [judged, refused, broken] = [0, 1, 2].map(|i| &report["photos"][i]);
    assert_eq!(refused["refusal"]["reason"], "no-face");
    assert_eq!(broken["pattern"], "unreadable");
    assert_eq!(broken["error"], "the file is empty; copy the photo again");
    for key in judged.as_object().expect("object").keys() {
        assert!(
            refused.get(key).is_some() && broken.get(key).is_some(),
            "{key}"
        );
    }
}

#[test]
fn in_a_transfer_check_compound_is_contact() {
    let mut report = reports::check();
    let mut inspection = reports::open_at_the_base(0.55);
    inspection.reading.method = seepline::Method::Transfer;
    report.photos[0] = reports::entry("jaw1.jpg", Ok(inspection));
    let contact = &parsed(&report)["photos"][0]["contact"];
    assert_eq!(
        (&contact["tip"], &contact["base"]),
        (&json!(0.0), &json!(1.0))
    );
}

#[test]
fn no_report_holds_a_location() {
    let text = parsed(&reports::check()).to_string().to_lowercase();
    for word in ["gps", "latitude", "longitude", "location"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn a_picture_marks_compound_by_brightness_too() {
    let bytes = to_jpeg(&reports::check(), 0).expect("a picture");
    let picture = image::load_from_memory(&bytes).expect("a JPEG").to_luma8();
    // The photo's lower left quarter starts below the lettering; rows there hold the face's compound.
    let row = picture.height() - picture.height() / 4;
    let stripes: Vec<u8> = (200..400).map(|x| picture.get_pixel(x, row).0[0]).collect();
    let (low, high) = (stripes.iter().min(), stripes.iter().max());
    // The bare grey is 150; the stripes blend 0.8 of yellow, luminance about 210, into it.
    assert!(
        low.is_some_and(|&l| l < 175) && high.is_some_and(|&h| h > 190),
        "{low:?} {high:?}"
    );
}

#[test]
fn a_picture_is_drawn_for_every_kind_of_entry() {
    for index in 0..3 {
        let bytes = to_jpeg(&reports::check(), index).expect("a picture");
        assert!(image::load_from_memory(&bytes).is_ok());
        assert!(!bytes.windows(6).any(|w| w == b"Exif\0\0"));
    }
}

/// An enumeration's words, variant by variant. The match has no wildcard: a variant that is new does not
/// compile until its word stands here.
macro_rules! words {
    ($of:ident: $($variant:ident $word:literal),+) => {{
        let word = |value| match value { $(seepline::$of::$variant => $word),+ };
        for value in [$(seepline::$of::$variant),+] {
            assert_eq!(json!(value), json!(word(value)), "{value:?}");
        }
    }};
}

/// As above, of one that is read again.
macro_rules! words_both_ways {
    ($of:ident: $($variant:ident $word:literal),+) => {{
        words!($of: $($variant $word),+);
        $(
            let read: seepline::$of = serde_json::from_value(json!($word)).expect($word);
            assert_eq!(read, seepline::$of::$variant);
        )+
    }};
}

/// Archives, results of reviews and saved readings hold these words: renaming a variant must not rename them.
#[test]
fn words_that_are_kept_in_files_stay() {
    words_both_ways!(Pattern: FullLength "full-length", TipOnly "tip-only", BaseOnly "base-only",
        EndsOnly "ends-only", MiddleOnly "middle-only", CentreOnly "centre-only", EdgesOnly "edges-only",
        OneSide "one-side", HeldOff "held-off", Mixed "mixed", Unreadable "unreadable");
    words_both_ways!(Reason: Blurred "blurred", Dark "dark", BurntOut "burnt-out", Glare "glare",
        NoFace "no-face", Hidden "hidden", OutOfPicture "out-of-picture", TooSmall "too-small",
        NoSeam "no-seam", Smeared "smeared", TooAlike "too-alike", Unclear "unclear");
    words_both_ways!(Action: Leave "leave", Recut "recut", FixFirst "fix-first", Settle "settle",
        Retake "retake", Held "held");
    words_both_ways!(Method: Seep "seep", Transfer "transfer");
    words_both_ways!(TipDirection: Up "up", Down "down", Left "left", Right "right");
    words_both_ways!(Grip: Outside "outside", Inside "inside");
    words_both_ways!(OpenEnd: Tip "tip", Base "base", Neither "neither");
    words_both_ways!(CallKind: Check "check", Practice "practice", Study "study", Ruling "ruling", Measured "measured");
    words_both_ways!(Sight: Everyone "everyone", Leads "leads", Nobody "nobody");
    words_both_ways!(Basis: Outcome "outcome", Ruling "ruling", Measured "measured", Program "program", Table "table");
}

/// What programs read in the JSON of answers, and people in files made of it.
#[test]
fn words_of_the_answers_stay() {
    words!(FoundBy: Given "given", Search "search");
    words!(StartFrom: Feeler "feeler", Compliance "compliance", Geometry "geometry");
    words!(RecutAction: CheckInstead "check-instead", BoreAgain "bore-again", FindOut "find-out");
    words!(ComplianceSource: Own "own", Sisters "sisters");
    words!(LeftOut: NoTaper "no-taper", Retake "retake", FixFirst "fix-first",
        JawsDisagree "jaws-disagree");
    words!(Outcome: Agrees "agrees", OtherAmount "other-amount",
        NoChangeOtherwise "no-change-otherwise", ChangeMissed "change-missed",
        ChangeForNothing "change-for-nothing", WrongWay "wrong-way");
    words!(MixedUp: Twice "twice", Half "half");
    words!(Direction: Less "less", None "none", More "more");
    words_both_ways!(Material: Aluminium "aluminium", Steel "steel", CastIron "cast-iron", Brass "brass");
    words_both_ways!(FeltAt: Tip "tip", Base "base");
}
