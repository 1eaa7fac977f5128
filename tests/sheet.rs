//! The printed sheet of a jaw set: complete, escaped, one page, and a code that other libraries agree on.

use jiff::civil::{DateTime, date};
use seepline::report::{id_of_uri, jaw_set_uri, sheet_to_html};
use seepline::{
    Action, Cut, CutTimeline, FiledAdvice, FiledCheck, Id, JawSet, Length, Method, Mounting,
    Pattern, PerSide, Pressure, Rules, Timeline,
};

fn length(text: &str) -> Length {
    text.parse().expect("a length")
}

fn pressure(text: &str) -> Pressure {
    text.parse().expect("a pressure")
}

fn day(number: i16) -> DateTime {
    date(2026, 1, 1).at(9, 30, 0, 0) + jiff::Span::new().days(number)
}

fn id() -> Id {
    "0123456789abcdef0123456789abcdef".parse().expect("an id")
}

fn bare() -> JawSet {
    JawSet::named(id(), "heron", day(0))
}

fn place() -> Mounting {
    Mounting {
        machine: Some("north lathe".into()),
        chuck: Some("8 in, three jaws".into()),
        master_jaws: Some("1-A 2-B 3-C".into()),
        serration: Some("third tooth from the outside, scribed line on jaw 1".into()),
    }
}

fn full() -> JawSet {
    JawSet {
        material: Some("6061 aluminium".into()),
        jaw_height: Some(length("4in")),
        face_length: Some(length("1.25in")),
        face_width: Some(length("1.5in")),
        workpiece: Some("flanged bush, first side".into()),
        workpiece_diameter: Some(length("2.3620in")),
        mounting: place(),
        boring_pressure: Some(pressure("50psi")),
        production_pressure: Some(pressure("400psi")),
        bolt_torque: Some("60 N·m, as written on the chuck".into()),
        bored_on: Some("plug, 1.9685 in, in the relief behind the face".into()),
        notes: Some(
            "Jaw 2 has a ding on its left flank, stoned. Keep the plug with the set.".into(),
        ),
        ..bare()
    }
}

fn cut(number: i16, taper: &str) -> Cut {
    Cut {
        id: Id::derived(&["cut", &number.to_string()]),
        jaw_set: id(),
        made: day(number),
        diameter: Some(length("2.3620in")),
        depth: Some(length("1.25in")),
        taper: Some(PerSide::of(length(taper))),
        boring_pressure: Some(pressure("50psi")),
        skimmed: None,
        stock_left: Some(length("0.110in")),
        mounting: place(),
        notes: None,
        changed: day(number),
    }
}

fn check(number: i16) -> FiledCheck {
    FiledCheck {
        id: Id::derived(&["check", &number.to_string()]),
        cut: id(),
        made: day(number),
        method: Method::Seep,
        compound: Some("blue".into()),
        pressure: Some(pressure("400psi")),
        mounting: place(),
        readings: Vec::new(),
        program: "0.1.0".into(),
        rules: "1 (3f2a9c0d)".into(),
        advice: FiledAdvice {
            pattern: Pattern::TipOnly,
            action: Action::Recut,
            change: Some(PerSide::of(length("-1thou"))),
            low: None,
            high: None,
            next_taper: Some(PerSide::of(length("2thou"))),
            what_to_do: "Take 0.0010 in per side of taper off and check again.".into(),
            why: "Open at the base.".into(),
        },
        done: None,
        changed: day(number),
    }
}

fn timeline(jaw_set: JawSet, cuts: i16, checks: i16) -> Timeline {
    let of = |n: i16| CutTimeline {
        cut: cut(n, if n % 2 == 0 { "3thou" } else { "2.5thou" }),
        checks: (0..checks).map(|c| check(n + c)).collect(),
    };
    Timeline {
        jaw_set,
        cuts: (0..cuts).map(of).collect(),
    }
}

fn page(timeline: &Timeline) -> String {
    sheet_to_html(timeline, Rules::built_in(), None, date(2026, 3, 4)).expect("a sheet")
}

/// For eyes and for readers of codes: the pages lie in Cargo's folder for tests.
fn keep(name: &str, page: &str) {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(path, page).expect("a file");
}

#[test]
fn everything_that_is_known_is_on_the_page() {
    let page = page(&timeline(full(), 3, 2));
    keep("sheet-full.html", &page);
    for text in [
        "heron",
        "outside grip",
        "6061 aluminium",
        "flanged bush",
        "2.3620 in (59.995 mm)",
        "1-A 2-B 3-C",
        "third tooth",
        "60 N·m, as written on the chuck",
        "1.9685 in, in the relief",
        "400 psi (27.6 bar)",
        "Jaw 2 has a ding",
        "01234567 89abcdef 01234567 89abcdef",
        "Take 0.0010 in per side",
        "0.1100 in",
        "printed 2026-03-04",
        "tip-only",
    ] {
        assert!(page.contains(text), "{text}");
    }
    for caution in Rules::built_in().cautions() {
        assert!(page.contains(caution.as_str()), "{caution}");
    }
}

/// 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8); a taper of t per side is 2t on the diameter.
#[test]
fn the_taper_is_stated_both_ways_in_both_units() {
    let page = page(&timeline(full(), 1, 1));
    for text in [
        "0.0030 in (0.076 mm)",
        "3.0 thou per side",
        "0.0060 in (0.152 mm)",
        "6.0 thou on the diameter",
        "Next taper: 2.0 thou per side (4.0 thou on the diameter; 0.051 / 0.102 mm)",
        "Change: -1.0 thou per side (-2.0 thou on the diameter; -0.025 / -0.051 mm)",
    ] {
        assert!(page.contains(text), "{text}");
    }
}

#[test]
fn what_is_missing_is_said_to_be_missing() {
    let page = page(&timeline(bare(), 0, 0));
    keep("sheet-bare.html", &page);
    assert!(page.matches("not noted").count() >= 15);
    assert!(page.contains("No cut is filed: bore the jaws, then check."));
    let unchecked = self::page(&timeline(bare(), 1, 0));
    assert!(unchecked.contains("Not checked since the last cut"));
}

#[test]
fn names_and_notes_cannot_break_the_page() {
    let mut set = full();
    set.name = "<script>alert(1)</script> \"wren\" & 'plover' \u{1b}[2J".into();
    set.notes = Some("</style><img src=x onerror=alert(1)>".into());
    set.mounting.machine = Some("<b>north</b>".into());
    let page = page(&timeline(set, 1, 1));
    assert!(!page.contains("<script") && !page.contains("<img") && !page.contains("<b>"));
    assert!(!page.contains('\u{1b}'));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
}

/// No network: nothing to load, nothing to run. The only address is the SVG namespace's name.
#[test]
fn the_page_loads_and_runs_nothing() {
    let page = page(&timeline(full(), 3, 2));
    for word in [
        "<script", "<link", "<img", "url(", "@import", "src=", "href=",
    ] {
        assert!(!page.contains(word), "{word}");
    }
    let addresses = page.matches("http").count();
    assert_eq!(
        addresses,
        page.matches("http://www.w3.org/2000/svg").count()
    );
}

#[test]
fn a_long_history_and_long_texts_stay_on_one_page() {
    let mut set = full();
    set.name = "a very long name of a jaw set ".repeat(20);
    for text in [
        &mut set.material,
        &mut set.workpiece,
        &mut set.bolt_torque,
        &mut set.bored_on,
        &mut set.notes,
        &mut set.mounting.machine,
        &mut set.mounting.chuck,
        &mut set.mounting.master_jaws,
        &mut set.mounting.serration,
    ] {
        *text = Some("W".repeat(5000));
    }
    let mut long = timeline(set, 40, 30);
    for check in long.cuts.iter_mut().flat_map(|c| &mut c.checks) {
        check.advice.what_to_do = "Seat the jaws and check again. ".repeat(50);
        check.done = Some("done ".repeat(100));
    }
    let page = page(&long);
    keep("sheet-long.html", &page);
    assert_eq!(
        page.matches("<tr>").count(),
        1 + 4,
        "a heading and the four latest cuts"
    );
    assert!(page.contains("36 older left out"));
    assert!(page.contains(&day(39).date().to_string()));
    assert!(page.len() < 60_000, "{} bytes", page.len());
}

/// Modules as drawn: every dark one starts a sub-path `Mx yh1v1…`; four light ones lie around.
fn drawn(page: &str) -> Vec<String> {
    let path = page
        .split("d=\"")
        .nth(1)
        .expect("a path")
        .split('"')
        .next()
        .expect("its end");
    let mut rows = vec![vec!['.'; 29]; 29];
    for module in path.split('M').skip(1) {
        let numbers: Vec<usize> = module
            .split(|c: char| !c.is_ascii_digit())
            .take(3)
            .map(|n| n.parse().expect("a number"))
            .collect();
        for x in numbers[0]..numbers[0] + numbers[2] {
            rows[numbers[1] - 4][x - 4] = '#';
        }
    }
    rows.into_iter()
        .map(|row| row.into_iter().collect())
        .collect()
}

/// segno 1.6.6 encodes the same text alike, in one of the eight masks of ISO/IEC 18004
/// (`reference/make_code.py`).
#[test]
fn the_code_is_what_another_library_makes_of_the_id() {
    #[derive(serde::Deserialize)]
    struct Fixture {
        text: String,
        masks: Vec<Vec<String>>,
    }
    let fixture: Fixture = serde_json::from_str(include_str!("reference/fixtures/code.json"))
        .expect("what make_code.py writes");
    let id: Id = "a1b2c3d4e5f6a7b8c9d0e1f2a3b4c5d6".parse().expect("an id");
    assert_eq!(jaw_set_uri(id), fixture.text);
    assert_eq!(id_of_uri(&fixture.text), Some(id));
    let drawn = drawn(&page(&timeline(JawSet { id, ..full() }, 1, 1)));
    assert!(fixture.masks.contains(&drawn), "{}", drawn.join("\n"));
}
