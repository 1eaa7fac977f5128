//! Hand-made readings and advice, so that reports are tested apart from the pipeline.

use image::{Rgb, RgbImage};
use ndarray::Array2;
use seepline::report::{CheckReport, PhotoReport};
use seepline::{
    Action, Advice, Band, CompoundMap, ContactProfile, Face, FoundBy, Inspection, Length, Method,
    Pattern, PerSide, Point, Quad, Reading, Reason, Refusal, STATIONS, Setup, TaperChange,
    UprightPhoto,
};

/// Rows and columns of the hand-made compound map.
const GRID: (usize, usize) = (128, 96);

/// A grey picture with a face in it.
pub(crate) fn photo(sha256: &str) -> UprightPhoto {
    UprightPhoto {
        pixels: RgbImage::from_pixel(600, 800, Rgb([150, 150, 150])),
        size_px: [1200, 1600],
        taken: Some("2026-03-04T10:11:12".to_owned()),
        focal_35mm: Some(26.0),
        phone: None,
        sha256: sha256.to_owned(),
    }
}

/// A face that fills the middle of [`photo`], its tip up.
pub(crate) fn face() -> Face {
    let at = |x, y| Point { x, y };
    Face {
        corners: Quad([
            at(300.0, 200.0),
            at(900.0, 200.0),
            at(900.0, 1400.0),
            at(300.0, 1400.0),
        ]),
        tip_middle: at(600.0, 180.0),
        base_middle: at(600.0, 1380.0),
        found_by: FoundBy::Search,
        confidence: 0.93,
        tip_support: 0.9,
    }
}

/// Clean from the tip to `edge`, compound from there to the base.
pub(crate) fn open_at_the_base(edge: f64) -> Inspection {
    let along = std::array::from_fn(|station| {
        let at = (station as f64 + 0.5) / STATIONS as f64;
        Some(if at < edge { 1.0 } else { 0.0 })
    });
    let reading = Reading {
        face: Some(face()),
        method: Method::Seep,
        profile: Some(profile(&along)),
        bands: vec![Band {
            from: edge,
            to: 1.0,
        }],
        pattern: Pattern::TipOnly,
        confidence: 0.97,
        refusal: None,
        warnings: Vec::new(),
        tip_contradicted: false,
        tip_unsaid: false,
        method_contradicted: false,
        evidence: vec!["clean from the tip".to_owned()],
    };
    Inspection {
        photo: photo("aa11bb22cc33"),
        rectified: None,
        compound: Some(compound(edge)),
        reading,
        cues: None,
        request: seepline::Request::default(),
    }
}

/// No face found.
pub(crate) fn refused() -> Inspection {
    let advice = "fill half of the picture with the face".to_owned();
    Inspection {
        photo: photo("dd44ee55ff66"),
        rectified: None,
        compound: None,
        cues: None,
        request: seepline::Request::default(),
        reading: Reading {
            face: None,
            method: Method::Seep,
            profile: None,
            bands: Vec::new(),
            pattern: Pattern::Unreadable,
            confidence: 0.0,
            refusal: Some(Refusal {
                reason: Reason::NoFace,
                advice,
            }),
            warnings: Vec::new(),
            tip_contradicted: false,
            tip_unsaid: false,
            method_contradicted: false,
            evidence: Vec::new(),
        },
    }
}

fn profile(along: &[Option<f64>; STATIONS]) -> ContactProfile {
    let third = |from: usize| {
        let stations = &along[from * STATIONS / 3..(from + 1) * STATIONS / 3];
        stations.iter().flatten().sum::<f64>() / stations.len() as f64
    };
    ContactProfile {
        along: *along,
        along_sd: [0.02; STATIONS],
        across: [Some(0.5); 48],
        thirds: [third(0), third(1), third(2)],
        judged: 0.98,
    }
}

fn compound(edge: f64) -> CompoundMap {
    let covered = |row: usize| (row as f64 + 0.5) / GRID.0 as f64 >= edge;
    let cover = Array2::from_shape_fn(GRID, |(row, _)| if covered(row) { 1.0 } else { 0.0 });
    CompoundMap {
        second: cover.clone(),
        cover,
        density: Array2::from_shape_fn(GRID, |(row, _)| if covered(row) { 0.4 } else { 0.0 }),
        separation: Some(3.0),
        hue_shift: None,
        undecided: 0.0,
        burnt: 0.0,
        black: 0.0,
        hidden: 0.0,
        judged: Array2::from_shape_fn(GRID, |(row, column)| row > 12 || column > 20),
    }
}

pub(crate) fn thou(thou: f64) -> PerSide {
    PerSide::of(Length::from_computed_micrometres(thou * 25.4).expect("a length"))
}

/// Take one thousandth per side off a taper of three.
pub(crate) fn less_taper() -> Advice {
    Advice {
        pattern: Pattern::TipOnly,
        action: Action::Recut,
        taper_change: Some(TaperChange {
            change: thou(-1.0),
            low: thou(-1.5),
            high: thou(-0.6),
            interval: 0.9,
        }),
        next_taper: Some(thou(2.0)),
        program: None,
        what_to_do: "Cut again with less taper.".to_owned(),
        why: "All jaws are open at the base.".to_owned(),
        look_at_first: vec!["Chips under the jaws.".to_owned()],
        cautions: vec!["Stop the spindle and lock it out.".to_owned()],
        odd_jaw: None,
        posterior: None,
    }
}

/// One photo of a report.
pub(crate) fn entry(file: &str, outcome: Result<Inspection, &str>) -> PhotoReport {
    PhotoReport {
        file: file.to_owned(),
        outcome: outcome.map(Box::new).map_err(str::to_owned),
        jaw: None,
        same_as: None,
        picture: None,
    }
}

/// A good jaw, one without a face, and a broken file.
pub(crate) fn check() -> CheckReport {
    CheckReport {
        photos: vec![
            entry("jaw1.jpg", Ok(open_at_the_base(0.55))),
            entry("jaw2.jpg", Ok(refused())),
            entry("jaw3.jpg", Err("the file is empty; copy the photo again")),
        ],
        joined: Vec::new(),
        method: Method::Seep,
        setup: Setup {
            taper: Some(thou(3.0)),
            ..Setup::default()
        },
        rules: "1 (0a1b2c3d)".to_owned(),
        advice: less_taper(),
        filed: None,
        call: None,
        proof: None,
    }
}
