//! One jaw's reading → evidence about the taper.

use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::profile::{ContactProfile, STATIONS};
use crate::units::PerSide;

/// Which end of the face stands open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
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
/// Least difference of contact between the half of the length that touches and the half that is open. An
/// edge of contact at an open fraction `f` makes it `2f`: this is a third of a station, which is none.
const LEAST_LEAN: f64 = 0.01;
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
            // The size of the error is `h/(1 − f)`, which must stay finite.
            open_fraction: open_fraction.min(1.0 - LEAST_TOUCHING),
            sd: sd.max(LEAST_SD),
            taper,
        })
    }

    /// What a reading says of the taper; `None` unless its pattern is full-length, tip-only or
    /// base-only and its profile, judged over at least half of the length, bears that pattern out.
    pub fn of(reading: &Reading, taper: Option<PerSide>) -> Option<Self> {
        let open_end = match reading.pattern {
            Pattern::FullLength => OpenEnd::Neither,
            Pattern::TipOnly => OpenEnd::Base,
            Pattern::BaseOnly => OpenEnd::Tip,
            _ => return None,
        };
        let profile = reading.profile.as_ref()?;
        let contact = contact(profile, reading.method, open_end == OpenEnd::Tip)?;
        if !bears_out(&contact, open_end) {
            return None;
        }
        let (open, sd) = open_fraction(profile, &contact, reading.method, open_end);
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

/// Whether the profile shows what the pattern says, so that no change is ever built on a pattern that its
/// own profile contradicts: most of the length in contact, or plainly more contact in the half that is
/// said to touch.
fn bears_out(contact: &[f64; STATIONS], open_end: OpenEnd) -> bool {
    let (touching, open) = contact.split_at(STATIONS / 2);
    let mean = |half: &[f64]| half.iter().sum::<f64>() / half.len() as f64;
    match open_end {
        OpenEnd::Neither => f64::midpoint(mean(touching), mean(open)) > 0.5,
        OpenEnd::Tip | OpenEnd::Base => mean(touching) - mean(open) > LEAST_LEAN,
    }
}

/// Open fraction and its standard deviation; `contact` as [`contact`] gives it.
fn open_fraction(
    profile: &ContactProfile,
    contact: &[f64; STATIONS],
    method: Method,
    open_end: OpenEnd,
) -> (f64, f64) {
    let mean_open = 1.0 - contact.iter().sum::<f64>() / STATIONS as f64;
    if open_end == OpenEnd::Neither {
        return (mean_open.clamp(0.0, 0.5), LEAST_SD);
    }
    let level = if method == Method::Seep {
        EDGE_SEEP
    } else {
        EDGE_TRANSFER
    };
    match edge(contact, level) {
        Some(touching) => (1.0 - touching, edge_sd(profile, contact, level)),
        None => (mean_open.clamp(0.0, 1.0), SD_WITHOUT_EDGE),
    }
}

/// Share of the width in contact, from the end that touches to the open end. Stations that were not
/// judged, and the hairline's, take the value of the nearest one further in. `None` where fewer than half
/// were judged.
fn contact(profile: &ContactProfile, method: Method, from_base: bool) -> Option<[f64; STATIONS]> {
    let mut seen = profile.along.map(|clean| {
        let clean = clean.filter(|c| c.is_finite())?.clamp(0.0, 1.0);
        Some(method.contact(clean))
    });
    // The painted line says nothing of a gap.
    seen[..OUTER_STATIONS].fill(None);
    seen[STATIONS - OUTER_STATIONS..].fill(None);
    if seen.iter().flatten().count() * 2 < STATIONS {
        return None;
    }
    let mut last = *seen.iter().flatten().next()?;
    let mut filled = seen.map(|value| {
        last = value.unwrap_or(last);
        last
    });
    // From here on the end that touches comes first, whichever it is.
    if from_base {
        filled.reverse();
    }
    Some(filled)
}

/// Where contact ends, as a fraction of the length from the end that touches: the place that leaves the
/// least contact beyond it and the least gap before it, so that a streak or a drip does not move it.
/// `None` where there is no such place inside the face.
fn edge(contact: &[f64; STATIONS], level: f64) -> Option<f64> {
    let (mut sum, mut most, mut at) = (0.0, 0.0, 0);
    for (i, c) in contact.iter().enumerate() {
        // The sum is greatest where the most contact lies before and the most gap behind.
        sum += c - level;
        if sum > most {
            (most, at) = (sum, i + 1);
        }
    }
    if at == 0 || at == STATIONS {
        return None;
    }
    let (before, after) = (contact[at - 1], contact[at]);
    // Between two stations' middles, in proportion; equal ones have no crossing to divide by.
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A certain seep-in reading, `clean` over the stations.
    fn reading(pattern: Pattern, clean: impl Fn(usize) -> Option<f64>) -> Reading {
        let profile = ContactProfile {
            along: std::array::from_fn(clean),
            along_sd: [0.02; STATIONS],
            across: [None; crate::reading::profile::COLUMNS],
            thirds: [0.5; 3],
            judged: 1.0,
        };
        Reading {
            face: None,
            method: Method::Seep,
            profile: Some(profile),
            bands: Vec::new(),
            pattern,
            confidence: 0.97,
            refusal: None,
            warnings: Vec::new(),
            tip_contradicted: false,
            tip_unsaid: false,
            method_contradicted: false,
            evidence: Vec::new(),
        }
    }

    fn observed(pattern: Pattern, clean: impl Fn(usize) -> Option<f64>) -> Option<Observation> {
        Observation::of(&reading(pattern, clean), None)
    }

    /// Clean from the tip to half of the length.
    fn open_base(station: usize) -> f64 {
        if station < STATIONS / 2 { 1.0 } else { 0.0 }
    }

    #[test]
    fn a_profile_that_shows_the_pattern_is_an_observation() {
        let o = observed(Pattern::TipOnly, |s| Some(open_base(s))).unwrap();
        assert_eq!(o.open_end(), OpenEnd::Base);
        assert!((o.open_fraction() - 0.5).abs() < 0.5 / STATIONS as f64);
        assert!(observed(Pattern::FullLength, |_| Some(0.95)).is_some());
    }

    #[test]
    fn a_profile_that_contradicts_the_pattern_is_none() {
        assert_eq!(observed(Pattern::BaseOnly, |s| Some(open_base(s))), None);
        assert_eq!(observed(Pattern::TipOnly, |_| Some(1.0)), None);
        assert_eq!(observed(Pattern::TipOnly, |_| Some(0.0)), None);
        assert_eq!(observed(Pattern::FullLength, |_| Some(0.1)), None);
    }

    #[test]
    fn a_profile_that_was_hardly_judged_is_none() {
        assert_eq!(observed(Pattern::TipOnly, |_| None), None);
        assert_eq!(observed(Pattern::TipOnly, |_| Some(f64::NAN)), None);
        let third = |s| (s % 3 == 0).then(|| open_base(s));
        assert_eq!(observed(Pattern::TipOnly, third), None);
        let most = |s| (s % 3 != 0).then(|| open_base(s));
        assert!(observed(Pattern::TipOnly, most).is_some());
    }
}
