//! What is said before the first check, and when a set is mounted again: text and JSON.

use jiff::civil::date;
use seepline::report::{TextOptions, recut_to_json, recut_to_text, start_to_json, start_to_text};
use seepline::{
    FeelerReading, FeltAt, Grip, Id, JawSet, Length, Mounting, PerSide, Present, Pressures, Recut,
    RecutAdvice, Rules, StartingTaper, TaperPerStep, Timeline, from_compliance, from_feeler,
    from_geometry, recut,
};
use serde_json::{Value, json};

use crate::reference::mechanics::tall_jaw;

const PLAIN: TextOptions = TextOptions {
    colour: false,
    unicode: false,
    width: None,
};

fn parse<T: std::str::FromStr>(text: &str) -> T
where
    T::Err: std::fmt::Debug,
{
    text.parse().expect("a value with its unit")
}

fn felt() -> StartingTaper {
    let reading = FeelerReading {
        thickness: parse("2thou"),
        depth: Some(parse("1in")),
        face_length: parse("2in"),
        too_thick: None,
        open_end: FeltAt::Tip,
        present: PerSide::ZERO,
    };
    from_feeler(&reading, Rules::built_in()).expect("a taper")
}

fn pressures() -> Pressures {
    Pressures {
        boring: parse("50psi"),
        production: parse("400psi"),
    }
}

fn learned() -> StartingTaper {
    let thou = |text: &str| PerSide::of(parse::<Length>(text));
    let compliance = TaperPerStep {
        taper: thou("1.2thou"),
        low: thou("1thou"),
        high: thou("1.5thou"),
        step: parse("100psi"),
        sister: Some("wren\u{1b}[2J".into()),
    };
    from_compliance(&compliance, &pressures(), Rules::built_in()).expect("a taper")
}

fn rough() -> StartingTaper {
    let (jaw, rating) = tall_jaw();
    from_geometry(&jaw, &rating, &pressures(), None, Rules::built_in()).expect("a taper")
}

fn comes_back(grip: Grip) -> RecutAdvice {
    let mounting = Mounting {
        machine: Some("north lathe".into()),
        ..Mounting::default()
    };
    let jaw_set = JawSet {
        id: Id::derived(&["heron"]),
        name: "heron".into(),
        grip,
        material: None,
        jaw_height: None,
        face_length: None,
        face_width: None,
        bored_diameter: Some(parse("2in")),
        workpiece: None,
        workpiece_diameter: Some(parse("2in")),
        mounting,
        boring_pressure: Some(parse("100psi")),
        production_pressure: Some(parse("300psi")),
        bolt_torque: Some("60 N·m".into()),
        bored_on: None,
        stock: Some(parse("10thou")),
        notes: None,
        photos: Vec::new(),
        changed: date(2026, 3, 4).at(8, 0, 0, 0),
    };
    let timeline = Timeline {
        jaw_set,
        cuts: Vec::new(),
    };
    let present = Present {
        worn: true,
        next_taper: Some(PerSide::of(parse("3thou"))),
        stroke_left: Some(parse("0.03in")),
        ..Present::default()
    };
    recut(&Recut::of(&timeline, &present), Rules::built_in())
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Similar triangles: 0.002 in half-way along is 0.004 in at the open end; twice that on the diameter.
#[test]
fn the_first_taper_shows_its_sum_both_ways_and_what_to_do() {
    let text = words(&start_to_text(&felt(), PLAIN));
    for piece in [
        "FIRST TAPER, from the feeler gauge",
        "Cut per side: 4.0 thou (0.0040 in, 0.102 mm)",
        "Cut on diameter: 8.0 thou (0.0080 in, 0.203 mm)",
        "thickness x length / (length - depth) = 0.0040 in (0.102 mm)",
        "Clamp a round, parallel test piece at production pressure.",
        "Make a contact check",
    ] {
        assert!(text.contains(piece), "{piece}: {text}");
    }
    for caution in Rules::built_in().cautions() {
        assert!(text.contains(caution.as_str()), "{caution}");
    }
}

#[test]
fn a_rough_estimate_is_marked_as_one() {
    let text = words(&start_to_text(&rough(), PLAIN));
    for piece in [
        "A ROUGH ESTIMATE",
        "from shear",
        "nothing published states it",
        "Within",
    ] {
        assert!(text.contains(piece), "{piece}: {text}");
    }
}

#[test]
fn no_line_is_wider_than_the_screen_and_nothing_steers_it() {
    for width in [24, 40, 80] {
        let options = TextOptions {
            width: Some(width),
            ..PLAIN
        };
        let texts = [
            start_to_text(&felt(), options),
            start_to_text(&learned(), options),
            start_to_text(&rough(), options),
            recut_to_text(&comes_back(Grip::Outside), options),
        ];
        for text in texts {
            let widest = text.lines().map(|l| l.chars().count()).max();
            assert!(widest.expect("lines") <= width, "{width}:\n{text}");
            assert!(!text.contains('\u{1b}'));
        }
    }
}

/// 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8).
#[test]
fn the_first_taper_as_json() {
    let bytes = start_to_json(&felt()).expect("JSON");
    let root: Value = serde_json::from_slice(&bytes).expect("one object");
    assert_eq!(
        root["taper"],
        json!({"per_side_thou": 4.0, "on_diameter_thou": 8.0, "per_side_um": 101.6, "on_diameter_um": 203.2})
    );
    assert_eq!(
        (&root["from"], &root["rough"]),
        (&json!("feeler"), &json!(false))
    );
    let bytes = start_to_json(&rough()).expect("JSON");
    let root: Value = serde_json::from_slice(&bytes).expect("one object");
    assert_eq!(
        (&root["from"], &root["rough"]),
        (&json!("geometry"), &json!(true))
    );
    assert!(root["assumed"].as_array().is_some_and(|a| a.len() >= 4));
}

/// The built-in allowances: off centre 0.005 in and a least cut of 0.002 in are 0.007 in per side, 0.014 in
/// on a diameter of 2 in.
#[test]
fn a_set_that_comes_back_shows_its_sum() {
    let text = words(&recut_to_text(&comes_back(Grip::Outside), PLAIN));
    for piece in [
        "BORE AGAIN",
        "Clamp at diameter: 1.9860 in (50.444 mm)",
        "Bore to diameter: 2.0000 in (50.800 mm) at the base",
        "2.0000 in (50.800 mm) - 2 x 0.0070 in (0.178 mm) = 1.9860 in (50.444 mm)",
        "Taper: 3.0 thou per side (6.0 thou on the diameter; 0.076 / 0.152 mm)",
        "WARNING The jaws will not clean up: 0.0100 in (0.254 mm) is left and 0.0120 in",
        "The stroke is nearly used",
        "Left for next time: none: 0.0020 in (0.051 mm) short",
        "Do not cut yet",
        "to 60 N·m, as the shop states it",
        "The master jaws: said neither for now nor for the last cut.",
    ] {
        assert!(text.contains(piece), "{piece}: {text}");
    }
    let inside = words(&recut_to_text(&comes_back(Grip::Inside), PLAIN));
    assert!(
        inside.contains("Clamp at diameter: 2.0140 in (51.156 mm)"),
        "{inside}"
    );
    assert!(inside.contains("Turn to 2.0000 in"), "{inside}");
}

#[test]
fn a_set_that_comes_back_as_json() {
    let bytes = recut_to_json(&comes_back(Grip::Outside)).expect("JSON");
    let root: Value = serde_json::from_slice(&bytes).expect("one object");
    assert_eq!(root["action"], json!("bore-again"));
    assert_eq!(
        root["plan"]["clamp_diameter"],
        json!({"thou": 1986.0, "um": 50444.4})
    );
    assert_eq!(root["plan"]["times_left"], json!(0));
    assert_eq!(root["unknown"][0]["what"], json!("machine"));
}
