//! Readings made by hand.

use seepline::{
    Advice, Band, Check, ContactProfile, Grip, Method, Pattern, PerSide, Reading, Reason, Refusal,
    Rules, STATIONS, Setup, advise,
};

/// A firm reading of `pattern` whose compound or clean metal says `contact` per station.
pub(crate) fn reading(pattern: Pattern, method: Method, contact: &[f64; STATIONS]) -> Reading {
    let clean = |c: f64| if method == Method::Seep { c } else { 1.0 - c };
    Reading {
        face: None,
        method,
        profile: Some(ContactProfile {
            along: contact.map(|c| Some(clean(c))),
            along_sd: [0.05; STATIONS],
            across: [Some(0.5); 48],
            thirds: [0.5; 3],
            judged: 1.0,
        }),
        bands: vec![Band { from: 0.0, to: 1.0 }],
        pattern,
        confidence: 0.95,
        refusal: None,
        warnings: Vec::new(),
        tip_contradicted: false,
        tip_unsaid: false,
        method_contradicted: false,
        evidence: Vec::new(),
    }
}

/// Touching from the tip over `touching` of the length, the rest open.
pub(crate) fn open_base(touching: f64) -> Reading {
    reading(Pattern::TipOnly, Method::Seep, &step(touching))
}

/// Touching from the base over `touching` of the length, the rest open.
pub(crate) fn open_tip(touching: f64) -> Reading {
    let mut contact = step(touching);
    contact.reverse();
    reading(Pattern::BaseOnly, Method::Seep, &contact)
}

/// Clean from end to end.
pub(crate) fn full() -> Reading {
    reading(Pattern::FullLength, Method::Seep, &[1.0; STATIONS])
}

/// Any other pattern; the profile does not matter.
pub(crate) fn other(pattern: Pattern) -> Reading {
    reading(pattern, Method::Seep, &[0.5; STATIONS])
}

/// A photo that could not be judged.
pub(crate) fn unreadable() -> Reading {
    Reading {
        profile: None,
        bands: Vec::new(),
        pattern: Pattern::Unreadable,
        confidence: 0.0,
        refusal: Some(Refusal {
            reason: Reason::Blurred,
            advice: String::new(),
        }),
        ..full()
    }
}

pub(crate) fn unsure(mut reading: Reading, confidence: f64) -> Reading {
    reading.confidence = confidence;
    reading
}

pub(crate) fn thou(text: &str) -> PerSide {
    PerSide::of(
        format!("{text}thou")
            .parse()
            .expect("a number of thousandths"),
    )
}

/// The advice with the built-in rules.
pub(crate) fn judged(readings: &[Reading], setup: &Setup) -> Advice {
    let check = Check {
        readings: readings.iter().collect(),
        setup: setup.clone(),
    };
    advise(&check, Rules::built_in())
}

/// The advice where the user said nothing.
pub(crate) fn plain(readings: &[Reading]) -> Advice {
    judged(readings, &Setup::default())
}

/// `taper` cut now, length 2 in, cut starting 0.1 in off the tip.
pub(crate) fn setup(taper: &str, grip: Grip) -> Setup {
    Setup {
        grip,
        taper: Some(thou(taper)),
        length: Some("2in".parse().expect("a length")),
        clearance: Some("0.1in".parse().expect("a length")),
    }
}

/// 1 up to `touching`, then 0; the station on the edge in part.
fn step(touching: f64) -> [f64; STATIONS] {
    std::array::from_fn(|i| (touching * STATIONS as f64 - i as f64).clamp(0.0, 1.0))
}
