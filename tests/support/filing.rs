//! Jaw sets, cuts and checks made by hand.

use jiff::civil::DateTime;
use seepline::{
    Advice, Check, Conditions, Cut, CutTimeline, FiledAdvice, FiledCheck, FiledReading, History,
    Id, JawSet, Knowledge, Method, PerSide, Reading, Rules, Seen, Setup, Timeline, advise_with,
};

pub(crate) fn um(value: f64) -> PerSide {
    let tenths = (value.abs() * 1e4).round();
    let length = format!("{}um", tenths / 1e4).parse().expect("a length");
    let size = PerSide::of(length);
    if value < 0.0 { -size } else { size }
}

fn moment() -> DateTime {
    jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0)
}

/// A set without any cut.
pub(crate) fn wren() -> Timeline {
    Timeline {
        jaw_set: JawSet {
            material: Some("steel".to_owned()),
            ..JawSet::named(Id::derived(&["wren"]), "wren", moment())
        },
        cuts: Vec::new(),
    }
}

/// Files a cut under the set.
pub(crate) fn cut(timeline: &mut Timeline, taper: Option<PerSide>) {
    let id = Id::derived(&["cut", &timeline.cuts.len().to_string()]);
    let mut cut = Cut::of(&timeline.jaw_set, id, moment());
    cut.taper = taper;
    timeline.cuts.push(CutTimeline {
        cut,
        checks: Vec::new(),
    });
}

/// Advice on readings of the last cut, with what was filed before.
pub(crate) fn advised(timeline: &Timeline, readings: &[Reading], now: &Conditions) -> Advice {
    let rules = Rules::built_in();
    let knowledge = Knowledge::default();
    let history = History::of(timeline, now.clone(), knowledge, rules.estimate());
    let check = Check {
        readings: readings.iter().collect(),
        setup: Setup {
            taper: timeline.cuts.last().and_then(|c| c.cut.taper),
            ..Setup::default()
        },
    };
    advise_with(&check, &history, rules)
}

/// Files the check under the last cut.
pub(crate) fn file(
    timeline: &mut Timeline,
    readings: &[Reading],
    now: &Conditions,
    advice: &Advice,
) {
    let last = timeline.cuts.last_mut().expect("a cut");
    let id = Id::derived(&[
        "check",
        &last.cut.id.to_string(),
        &last.checks.len().to_string(),
    ]);
    last.cut.boring_pressure = now.boring_pressure;
    last.checks.push(FiledCheck {
        id,
        cut: last.cut.id,
        made: moment(),
        method: Method::Seep,
        compound: now.compound.clone(),
        pressure: now.pressure,
        mounting: now.mounting.clone(),
        readings: readings.iter().map(filed).collect(),
        program: String::new(),
        rules: String::new(),
        advice: FiledAdvice::of(advice),
        done: None,
        changed: moment(),
    });
}

fn filed(reading: &Reading) -> FiledReading {
    FiledReading {
        sha256: String::new(),
        file: String::new(),
        taken: None,
        phone: None,
        pattern: reading.pattern,
        confidence: reading.confidence,
        refusal: reading.refusal.as_ref().map(|r| r.reason),
        seen: Seen::of_reading(reading),
        detail: serde_json::Value::Null,
    }
}

/// Cuts, judges and files in one go.
pub(crate) fn checked(
    timeline: &mut Timeline,
    taper: PerSide,
    readings: &[Reading],
    now: &Conditions,
) -> Advice {
    cut(timeline, Some(taper));
    let advice = advised(timeline, readings, now);
    file(timeline, readings, now, &advice);
    advice
}
