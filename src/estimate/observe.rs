//! One jaw's reading → evidence about the taper.

use crate::compound::Method;
use crate::pattern::Pattern;
use crate::profile::{ContactProfile, STATIONS};
use crate::reading::Reading;
use crate::units::PerSide;

/// Which end of the face stands open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpenEnd {
    /// The tip is open: too little taper.
    Tip,
    /// The base is open: too much taper.
    Base,
    /// Neither: the error is below what the compound shows.
    Neither,
}

/// One jaw's reading as evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    open_end: OpenEnd,
    open_fraction: f64,
    sd: f64,
    taper: Option<PerSide>,
}

/// Least part of the length that counts as touching: a contact narrower than a station can't be told
/// from none.
const LEAST_TOUCHING: f64 = 1.0 / STATIONS as f64;
/// The edge of a film wanders by a station or so, however sharp the photo.
const LEAST_SD: f64 = 0.02;
/// Where no clear edge is seen, only the mean tells how much is open.
const SD_WITHOUT_EDGE: f64 = 0.1;
/// Stations at either end that carry the painted hairline.
const OUTER_STATIONS: usize = 3;
/// Compound seeps in from the flanks, so just past the edge of contact only they are covered: the edge
/// is taken where two thirds of the width touch, not one half.
const EDGE_SEEP: f64 = 2.0 / 3.0;
/// A transferred film marks the whole width alike.
const EDGE_TRANSFER: f64 = 0.5;

impl Observation {
    /// `open_fraction` of the length without contact, 0 to 1, from the open end; `sd` one standard
    /// deviation of it; `taper` as cut at that check. `None` where a number is no number or out of range.
    pub fn new(
        open_end: OpenEnd,
        open_fraction: f64,
        sd: f64,
        taper: Option<PerSide>,
    ) -> Option<Self> {
        let valid = (0.0..=1.0).contains(&open_fraction) && sd.is_finite() && sd >= 0.0;
        valid.then(|| Self {
            open_end,
            open_fraction: open_fraction.min(1.0 - LEAST_TOUCHING),
            sd: sd.max(LEAST_SD),
            taper,
        })
    }

    /// What a reading says of the taper; `None` unless its pattern is full-length, tip-only or
    /// base-only and it has a profile.
    pub fn of(reading: &Reading, taper: Option<PerSide>) -> Option<Self> {
        let open_end = match reading.pattern {
            Pattern::FullLength => OpenEnd::Neither,
            Pattern::TipOnly => OpenEnd::Base,
            Pattern::BaseOnly => OpenEnd::Tip,
            _ => return None,
        };
        let profile = reading.profile.as_ref()?;
        let (open, sd) = open_fraction(profile, reading.method, open_end);
        Self::new(open_end, open, sd, taper)
    }

    /// Which end stands open.
    pub fn open_end(&self) -> OpenEnd {
        self.open_end
    }

    /// Share of the length without contact.
    pub fn open_fraction(&self) -> f64 {
        self.open_fraction
    }

    /// One standard deviation of the open fraction.
    pub fn sd(&self) -> f64 {
        self.sd
    }

    /// The taper cut at that check, where it is known.
    pub fn taper(&self) -> Option<PerSide> {
        self.taper
    }

    pub(super) fn taper_um(&self) -> f64 {
        self.taper.map_or(0.0, PerSide::micrometres)
    }
}

/// Open fraction and its standard deviation.
fn open_fraction(profile: &ContactProfile, method: Method, open_end: OpenEnd) -> (f64, f64) {
    let contact = contact(profile, method, open_end == OpenEnd::Tip);
    let mean_open = 1.0 - contact.iter().sum::<f64>() / STATIONS as f64;
    if open_end == OpenEnd::Neither {
        return (mean_open.clamp(0.0, 0.5), LEAST_SD);
    }
    let level = if method == Method::Seep {
        EDGE_SEEP
    } else {
        EDGE_TRANSFER
    };
    match edge(&contact, level) {
        Some(touching) => (1.0 - touching, edge_sd(profile, &contact, level)),
        None => (mean_open.clamp(0.0, 1.0), SD_WITHOUT_EDGE),
    }
}

/// Share of the width in contact, from the end that touches to the open end. Stations that were not
/// judged, and the hairline's, take the value of the nearest one further in.
fn contact(profile: &ContactProfile, method: Method, from_base: bool) -> [f64; STATIONS] {
    let mut seen = profile.along.map(|clean| {
        let clean = clean.filter(|c| c.is_finite())?.clamp(0.0, 1.0);
        Some(if method == Method::Seep {
            clean
        } else {
            1.0 - clean
        })
    });
    seen[..OUTER_STATIONS].fill(None);
    seen[STATIONS - OUTER_STATIONS..].fill(None);
    let mut last = seen.iter().flatten().next().copied().unwrap_or(0.5);
    let mut filled = seen.map(|value| {
        last = value.unwrap_or(last);
        last
    });
    if from_base {
        filled.reverse();
    }
    filled
}

/// Where contact ends, as a fraction of the length from the end that touches: the place that leaves the
/// least contact beyond it and the least gap before it, so that a streak or a drip does not move it.
/// `None` where there is no such place inside the face.
fn edge(contact: &[f64; STATIONS], level: f64) -> Option<f64> {
    let (mut sum, mut most, mut at) = (0.0, 0.0, 0);
    for (i, c) in contact.iter().enumerate() {
        sum += c - level;
        if sum > most {
            (most, at) = (sum, i + 1);
        }
    }
    if at == 0 || at == STATIONS {
        return None;
    }
    let (before, after) = (contact[at - 1], contact[at]);
    let part = ((before - level) / (before - after).max(1e-9)).clamp(0.0, 1.0);
    Some((at as f64 - 0.5 + part) / STATIONS as f64)
}

/// How far the edge moves when the profile is off by its own uncertainty either way.
fn edge_sd(profile: &ContactProfile, contact: &[f64; STATIONS], level: f64) -> f64 {
    let sds = profile.along_sd.iter().filter(|sd| sd.is_finite());
    let mean_sd = sds.sum::<f64>() / STATIONS as f64;
    let moved = |by: f64| edge(contact, (level + by).clamp(0.05, 0.95));
    match (moved(-mean_sd), moved(mean_sd)) {
        (Some(a), Some(b)) => ((a - b).abs() / 2.0).max(LEAST_SD),
        _ => SD_WITHOUT_EDGE,
    }
}
