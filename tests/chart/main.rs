//! The picture of a jaw set's history.

mod sets;

use sets::Set;

fn all() -> Vec<(&'static str, Set)> {
    let empty = sets::named("heron");
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
    let all = [
        ("empty", empty),
        ("cut-only", cut_only),
        ("no-taper", no_taper),
        ("left-out", left_out),
        ("long-name", long),
        ("one", sets::closing_in(1)),
        ("two", sets::closing_in(2)),
        ("three", sets::closing_in(3)),
        ("twelve", sets::closing_in(12)),
        ("eventful", sets::eventful()),
        ("sixty", sets::closing_in(60)),
        ("sixty-eventful", sets::many(60)),
        ("five-hundred", sets::closing_in(500)),
        ("five-hundred-eventful", sets::many(500)),
    ];
    all.map(|(name, timeline)| (name, Set::of(timeline))).into()
}

/// `SEEPLINE_CHARTS=DIR cargo test --test chart pictures -- --ignored` writes them all, to be looked at.
#[test]
#[ignore = "writes pictures for people"]
fn pictures() {
    let folder = std::env::var_os("SEEPLINE_CHARTS").expect("a folder in SEEPLINE_CHARTS");
    let folder = std::path::Path::new(&folder);
    for (name, set) in all() {
        let svg = seepline::report::history_to_svg(&set.report()).expect("SVG");
        std::fs::write(folder.join(format!("{name}.svg")), svg).expect("written");
        let png = seepline::report::history_to_png(&set.report()).expect("PNG");
        std::fs::write(folder.join(format!("{name}.png")), png).expect("written");
    }
}
