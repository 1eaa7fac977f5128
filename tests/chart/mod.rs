//! The picture of a jaw set's history. The histories are invented: they test drawing, not truth.

mod sets;

use crate::support::program::{Run, seepline};
use seepline::Timeline;
use seepline::report::{history_to_png, history_to_svg};
use sets::Set;

/// Inks of the marks, as `src/report/chart.rs` names them.
const MARKS: [&str; 4] = ["#009E73", "#D55E00", "#0072B2", "#CC79A7"];
const INTERVAL: &str = "#56B4E9";

fn svg(timeline: Timeline) -> String {
    history_to_svg(&Set::of(timeline).report()).expect("an SVG")
}

/// Elements of that kind filled with that ink.
fn filled<'a>(svg: &'a str, kind: &'a str, ink: &'a str) -> impl Iterator<Item = &'a str> {
    let (kind, ink) = (format!("<{kind} "), format!("fill=\"{ink}\""));
    svg.lines()
        .filter(move |l| l.starts_with(&kind) && l.contains(&ink))
}

fn value(element: &str, name: &str) -> f64 {
    let start = element.find(&format!(" {name}=\"")).expect("the attribute") + name.len() + 3;
    let rest = &element[start..];
    let number = &rest[..rest.find('"').expect("its end")];
    number.parse().expect("a number")
}

/// Each text with its element.
fn texts(svg: &str) -> Vec<(&str, &str)> {
    let lines: Vec<&str> = svg.lines().collect();
    let pairs = lines.windows(2);
    pairs
        .filter(|w| w[0].starts_with("<text "))
        .map(|w| (w[0], w[1]))
        .collect()
}

/// Well-formed enough: every element is closed, in order, and every ampersand begins an entity (XML 1.0,
/// sections 2.1 and 4.1). Returns how many elements there are.
fn well_formed(svg: &str) -> usize {
    let mut open: Vec<&str> = Vec::new();
    let mut count = 0;
    for piece in svg.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').expect("each tag ends");
        assert!(!text.contains('>'), "{text}");
        let name = tag
            .split([' ', '/'])
            .find(|n| !n.is_empty())
            .expect("a name");
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
            continue;
        }
        count += 1;
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert_eq!(open, [""; 0]);
    for entity in svg.split('&').skip(1) {
        let known = ["lt;", "gt;", "amp;", "quot;", "apos;"];
        assert!(known.iter().any(|k| entity.starts_with(k)), "&{entity:.9}");
    }
    count
}

fn all() -> Vec<(&'static str, Timeline)> {
    let mut cut_only = sets::named("heron");
    sets::cut(&mut cut_only, Some(sets::thou(3.0)));
    let mut no_taper = sets::named("heron");
    sets::cut(&mut no_taper, None);
    sets::check(&mut no_taper, 0.0);
    let mut left_out = sets::named("heron");
    sets::cut(&mut left_out, Some(sets::thou(3.0)));
    sets::unreadable(&mut left_out);
    sets::cocked(&mut left_out);
    let mut long = sets::closing_in(3);
    long.jaw_set.name = "W".repeat(300);
    vec![
        ("empty", sets::named("heron")),
        ("cut-only", cut_only),
        ("no-taper", no_taper),
        ("left-out", left_out),
        ("long-name", long),
        ("one", sets::closing_in(1)),
        ("two", sets::closing_in(2)),
        ("three", sets::closing_in(3)),
        ("twelve", sets::closing_in(12)),
        ("eventful", sets::eventful()),
        ("sixty", sets::many(60)),
        ("five-hundred", sets::closing_in(500)),
        ("five-hundred-eventful", sets::many(500)),
    ]
}

/// `SEEPLINE_CHARTS=DIR cargo test --test all pictures -- --ignored` writes them all.
#[test]
#[ignore = "writes pictures for people to look at"]
fn pictures() {
    let folder = std::env::var_os("SEEPLINE_CHARTS").expect("a folder in SEEPLINE_CHARTS");
    let folder = std::path::Path::new(&folder);
    for (name, timeline) in all() {
        let set = Set::of(timeline);
        let svg = history_to_svg(&set.report()).expect("an SVG");
        std::fs::write(folder.join(format!("{name}.svg")), svg).expect("written");
        let png = history_to_png(&set.report()).expect("a PNG");
        std::fs::write(folder.join(format!("{name}.png")), png).expect("written");
    }
}

#[test]
fn every_check_has_its_mark_and_every_estimate_its_interval() {
    for checks in [1, 2, 3, 12, 60] {
        let set = Set::of(sets::many(checks));
        let svg = history_to_svg(&set.report()).expect("an SVG");
        well_formed(&svg);
        let marks: usize = MARKS
            .iter()
            .map(|ink| filled(&svg, "circle", ink).count() + filled(&svg, "polygon", ink).count())
            .sum();
        // In the legend each shape that occurs stands once more, and the hollow one.
        let patterns = set.steps.iter().map(|s| match s.pattern {
            seepline::Pattern::FullLength => 0,
            seepline::Pattern::TipOnly => 1,
            seepline::Pattern::BaseOnly => 2,
            _ => 3,
        });
        let left_out = |s: &&seepline::Step| matches!(s.standing, seepline::Standing::LeftOut(_));
        let hollow = set.steps.iter().filter(left_out).count();
        let shapes: std::collections::BTreeSet<_> = patterns.collect();
        assert_eq!(marks, checks + shapes.len() + usize::from(hollow > 0));
        assert_eq!(filled(&svg, "rect", INTERVAL).count(), checks - hollow + 1);
    }
}

/// An exact definition: the taper on the diameter is twice the one per side, an inch 25.4 mm.
#[test]
fn at_each_height_the_right_axis_says_twice_what_the_left_one_says() {
    for checks in [1, 3, 12] {
        let svg = svg(sets::closing_in(checks));
        let number = |text: &str| {
            text.split_once(" (")
                .and_then(|(n, _)| n.parse::<f64>().ok())
        };
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for (element, text) in texts(&svg) {
            let Some(thou) = number(text) else { continue };
            let mm: f64 = text[text.find('(').expect("mm") + 1..text.len() - 1]
                .parse()
                .expect("mm");
            assert!((thou * 0.0254 - mm).abs() <= 0.000_501, "{text}");
            let side = if value(element, "x") < 500.0 {
                &mut left
            } else {
                &mut right
            };
            side.push((value(element, "y"), thou));
        }
        assert!(left.len() >= 4, "{left:?}");
        assert_eq!(left.len(), right.len());
        for ((y, per_side), (other_y, on_diameter)) in left.into_iter().zip(right) {
            assert!((y - other_y).abs() <= 1.0, "{y} {other_y}");
            assert!((per_side * 2.0 - on_diameter).abs() < 1e-9);
        }
    }
}

#[test]
fn marks_stand_at_the_taper_that_was_cut_and_dots_at_the_median() {
    let set = Set::of(sets::closing_in(3));
    let svg = history_to_svg(&set.report()).expect("an SVG");
    let ticks: Vec<(f64, f64)> = texts(&svg)
        .into_iter()
        .filter(|(element, _)| value(element, "x") < 500.0)
        .filter_map(|(element, text)| {
            let thou = text.split_once(" (")?.0.parse().ok()?;
            Some((value(element, "y"), thou))
        })
        .collect();
    let ((y0, t0), (y1, t1)) = (ticks[0], ticks[ticks.len() - 1]);
    let height = |taper: seepline::PerSide| y0 + (taper.thou() - t0) * (y1 - y0) / (t1 - t0);
    let dots = filled(&svg, "circle", "#000000").map(|e| value(e, "cy"));
    for (step, dot) in set.steps.iter().zip(dots) {
        let needed = step.estimate.as_ref().expect("an estimate").needed;
        assert!((height(needed.median) - dot).abs() <= 2.0);
    }
    let bars: Vec<_> = filled(&svg, "rect", INTERVAL).collect();
    for (step, bar) in set.steps.iter().zip(&bars) {
        let needed = step.estimate.as_ref().expect("an estimate").needed;
        assert!((height(needed.high) - value(bar, "y")).abs() <= 2.0);
        let bottom = value(bar, "y") + value(bar, "height");
        assert!((height(needed.low) - bottom).abs() <= 2.0);
    }
    assert!(value(bars[2], "height") < value(bars[0], "height") / 2.0);
    let step_line = svg
        .lines()
        .find(|l| l.starts_with("<polyline") && l.contains("stroke-width=\"2\""));
    let first = height(sets::thou(6.0)).round();
    assert!(
        step_line.is_some_and(|l| l.contains(&format!(",{first} "))),
        "{step_line:?} {first}"
    );
}

#[test]
fn a_name_can_neither_break_the_document_nor_run_out_of_it() {
    let elements = well_formed(&svg(sets::closing_in(2)));
    let mut timeline = sets::closing_in(2);
    timeline.jaw_set.name = "</text><script a='\"&\u{1}\u{1b}\u{ffff}".to_owned();
    let odd = svg(timeline);
    assert_eq!(well_formed(&odd), elements);
    assert!(odd.contains("&lt;/text&gt;&lt;script a=&apos;&quot;&amp;"));
    assert!(!odd.contains(['\u{1}', '\u{1b}', '\u{ffff}']));
    let mut timeline = sets::closing_in(2);
    timeline.jaw_set.name = "W".repeat(300);
    let long = svg(timeline);
    assert!(long.contains("WWW..."));
    // A monospaced letter is about 0.6 of its size wide.
    for (element, text) in texts(&long) {
        let width = text.chars().count() as f64 * 0.6 * value(element, "font-size");
        assert!(width <= 1000.0, "{text}");
    }
}

#[test]
fn what_is_written_below_the_axis_does_not_overlap() {
    for checks in [2, 12, 60, 500] {
        let svg = svg(sets::closing_in(checks));
        let dates: Vec<f64> = texts(&svg)
            .into_iter()
            .filter(|(_, text)| text.len() == 10 && text.starts_with("202"))
            .map(|(element, _)| value(element, "x"))
            .collect();
        assert!(dates.len() >= 2);
        // Ten letters of 16 px.
        assert!(dates.windows(2).all(|w| w[1] - w[0] >= 96.0), "{dates:?}");
        assert!(value(&svg, "width") <= 4800.0);
    }
}

/// A length goes up to 100 m; a slip of the keyboard must not take the program down.
#[test]
fn a_taper_beyond_all_sense_is_drawn_too() {
    for taper in ["99999mm", "0thou", "0.01um"] {
        let mut timeline = sets::closing_in(2);
        let taper = seepline::PerSide::parse_taper(taper);
        sets::cut(&mut timeline, Some(taper.expect("a taper")));
        let svg = svg(timeline);
        well_formed(&svg);
        let ticks = texts(&svg).into_iter().filter(|(_, t)| t.contains(" ("));
        assert!((4..=26).contains(&ticks.count()));
    }
}

#[test]
fn turns_of_the_estimate_and_what_does_not_count_are_explained() {
    let svg = svg(sets::eventful());
    well_formed(&svg);
    for words in [
        "contradicts the checks before",
        "estimate starts anew",
        "left out of the estimate",
        "taper not noted",
        "new cut",
        "tip open: too little taper",
        "base open: too much taper",
    ] {
        assert!(svg.contains(words), "{words}");
    }
}

#[test]
fn without_an_estimate_the_picture_says_what_to_do() {
    for (name, timeline) in all().into_iter().take(4) {
        let svg = svg(timeline);
        well_formed(&svg);
        assert!(svg.contains("seepline cut add"), "{name}");
        let axes = svg.contains("taper per side, thou (mm)");
        assert_eq!(axes, name == "cut-only" || name == "left-out", "{name}");
    }
}

#[test]
fn the_png_is_of_the_same_size_and_shows_the_same_inks() {
    for (name, timeline) in [
        ("eventful", sets::eventful()),
        ("empty", sets::named("heron")),
    ] {
        let set = Set::of(timeline);
        let svg = history_to_svg(&set.report()).expect("an SVG");
        let png = history_to_png(&set.report()).expect("a PNG");
        let picture = image::load_from_memory(&png).expect("a picture").to_rgb8();
        let size = format!(
            "width=\"{}\" height=\"{}\"",
            picture.width(),
            picture.height()
        );
        assert!(svg.contains(&size), "{size}");
        let count = |ink: [u8; 3]| picture.pixels().filter(|p| p.0 == ink).count();
        // The title alone has more than a thousand black pixels; a frame without letters has none there.
        let title = picture
            .enumerate_pixels()
            .filter(|(_, y, p)| *y < 60 && p.0[0] < 100);
        assert!(title.count() > 1000, "{name}");
        assert!(count([255, 255, 255]) > picture.pixels().len() / 2);
        for ink in MARKS
            .iter()
            .chain([&INTERVAL])
            .filter(|_| name == "eventful")
        {
            let part = |at: usize| u8::from_str_radix(&ink[at..at + 2], 16).expect("hexadecimal");
            assert!(count([part(1), part(3), part(5)]) > 50, "{ink}");
        }
    }
}

#[test]
fn the_same_history_gives_the_same_bytes() {
    let [a, b] = [(); 2].map(|()| Set::of(sets::eventful()));
    let png = |set: &Set| history_to_png(&set.report()).expect("a PNG");
    let svg = |set: &Set| history_to_svg(&set.report()).expect("an SVG");
    assert!(png(&a) == png(&b) && svg(&a) == svg(&b));
}

#[test]
fn the_command_draws_by_the_files_ending_and_says_what_to_do_where_it_cannot() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| {
        let mut command = seepline(folder.path());
        command.args(arguments);
        command.args(["--archive", "filed"]).ran()
    };
    run(&["jaws", "add", "heron"]).success();
    run(&["cut", "add", "heron", "--taper", "3thou"]).success();
    run(&["history", "heron", "--picture", "heron.SVG"]).success();
    run(&["history", "heron", "--picture", "heron.png"]).success();
    let read = |name: &str| std::fs::read(folder.path().join(name)).expect("the picture");
    well_formed(&String::from_utf8(read("heron.SVG")).expect("text"));
    image::load_from_memory(&read("heron.png")).expect("a picture");
    for (file, remedy) in [
        ("heron.jpg", ".svg or .png"),
        ("heron", ".svg or .png"),
        ("nowhere/heron.png", "check that its folder is there"),
    ] {
        let failed = run(&["history", "heron", "--picture", file]).code(2);
        let stderr = failed.err();
        assert!(stderr.contains(file) && stderr.contains(remedy), "{stderr}");
    }
}
