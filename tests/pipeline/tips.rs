//! Which end the picture shows to be the tip where nobody says it, against the renderer's corners, by how likely it is said to be.
//! Over folders: `SEEPLINE_PHOTOS=sample-images:DIR cargo test --test all table_of_tips -- --ignored --nocapture`.

use std::collections::BTreeMap;

use seepline::{Face, Pattern, Quad, Request, inspect};

use super::changes_table::{given, load};

/// By how many quarter turns of its corners the outline that was found fits the true one best: 0 where the tip is right, 2 where
/// it is the other end.
fn quarters_off(found: &Quad, right: &Quad) -> usize {
    let apart = |turn: usize| -> f64 {
        let corner = |i: usize| (found.0[i], right.0[(i + turn) % 4]);
        let pairs = (0..4).map(corner);
        pairs.map(|(a, b)| (a.x - b.x).hypot(a.y - b.y)).sum()
    };
    let mut turns: Vec<usize> = (0..4).collect();
    turns.sort_by(|a, b| apart(*a).total_cmp(&apart(*b)));
    turns[0]
}

/// Of what hangs on the tip, and of all, how many there are and how many have it at another end.
#[derive(Debug, Default)]
struct Row {
    all: [usize; 2],
    hang_on_it: [usize; 2],
}

#[test]
#[ignore = "needs a folder of photos, and minutes"]
fn table_of_tips() {
    let mut rows: BTreeMap<&str, Row> = BTreeMap::new();
    for (photo, truth) in given() {
        let case = load(&photo, &truth);
        let request = Request {
            tip: None,
            corners: None,
            ..case.request.clone()
        };
        let inspection = inspect(case.photo.clone(), &request);
        let reading = &inspection.reading;
        let (Some(face), Some(right)) = (&reading.face, case.corners) else {
            continue;
        };
        let off = quarters_off(&face.corners, &right);
        let hangs = matches!(reading.pattern, Pattern::TipOnly | Pattern::BaseOnly);
        println!(
            "{},{:?},{off},{:.4},{:.4},{:?}",
            case.name, case.request.method, face.tip_support, reading.confidence, reading.pattern
        );
        let row = rows.entry(bin(face)).or_default();
        note(&mut row.all, off != 0);
        if hangs {
            note(&mut row.hang_on_it, off != 0);
        }
    }
    for (support, row) in &rows {
        println!("{support}: {row:?}");
    }
    assert!(!rows.is_empty(), "no photo with its truth is there");
    assert!(rows.values().all(|r| r.hang_on_it[1] == 0), "{rows:?}");
}

fn bin(face: &Face) -> &'static str {
    match face.tip_support {
        p if p < 0.5 => "below 0.5",
        p if p < 0.8 => "0.5 to 0.8",
        p if p < 0.9 => "0.8 to 0.9",
        p if p < 0.97 => "0.9 to 0.97",
        p if p < 0.99 => "0.97 to 0.99",
        _ => "0.99 and more",
    }
}

fn note(counts: &mut [usize; 2], wrong: bool) {
    counts[0] += 1;
    counts[1] += usize::from(wrong);
}
