//! Histories of an invented jaw set, drawn from the wedge model: they show that all is drawn, not that
//! anything is true.

use jiff::civil::{DateTime, date};
use seepline::report::HistoryReport;
use seepline::{
    Action, Cut, CutTimeline, FiledAdvice, FiledCheck, FiledReading, Id, JawSet, Knowledge, Method,
    Mounting, OpenEnd, Pattern, PerSide, Rules, Seen, Step, Timeline, steps,
};

/// Needed taper and marking threshold of the invented set, thousandths of an inch.
const NEEDED: f64 = 3.2;
const THRESHOLD: f64 = 0.6;

/// A timeline with what is known after each of its checks.
pub(crate) struct Set {
    pub(crate) timeline: Timeline,
    pub(crate) steps: Vec<Step>,
}

impl Set {
    pub(crate) fn of(timeline: Timeline) -> Self {
        let steps = steps(
            &timeline,
            &Knowledge::default(),
            Rules::built_in().estimate(),
        );
        Self { timeline, steps }
    }

    pub(crate) fn report(&self) -> HistoryReport<'_> {
        HistoryReport {
            timeline: &self.timeline,
            steps: &self.steps,
            proof: None,
        }
    }
}

fn day(number: usize) -> DateTime {
    date(2026, 3, 4).at(9, 30, 0, 0) + jiff::Span::new().days(number as i64)
}

pub(crate) fn thou(value: f64) -> PerSide {
    let size = format!("{:.4}thou", value.abs()).parse().expect("a length");
    if value < 0.0 {
        -PerSide::of(size)
    } else {
        PerSide::of(size)
    }
}

/// Without any cut.
pub(crate) fn named(name: &str) -> Timeline {
    Timeline {
        jaw_set: JawSet::named(Id::derived(&[name]), name, day(0)),
        cuts: Vec::new(),
    }
}

fn checks_so_far(timeline: &Timeline) -> usize {
    timeline.cuts.iter().map(|c| c.checks.len()).sum()
}

/// A cut on the day of the check that follows.
pub(crate) fn cut(timeline: &mut Timeline, taper: Option<PerSide>) {
    let id = Id::derived(&["cut", &timeline.cuts.len().to_string()]);
    let made = day(checks_so_far(timeline));
    timeline.cuts.push(CutTimeline {
        cut: Cut {
            id,
            jaw_set: timeline.jaw_set.id,
            made,
            diameter: None,
            depth: None,
            taper,
            boring_pressure: None,
            skimmed: None,
            stock_left: None,
            mounting: Mounting::default(),
            notes: None,
            changed: made,
        },
        checks: Vec::new(),
    });
}

/// What a check of the last cut shows of the invented set, `off` its needed taper.
pub(crate) fn check(timeline: &mut Timeline, off: f64) {
    let taper = timeline.cuts.last().and_then(|c| c.cut.taper);
    let error = taper.map_or(-1.0, PerSide::thou) - NEEDED - off;
    let touching = (THRESHOLD / error.abs()).min(1.0);
    let (pattern, open_end) = match error {
        _ if touching > 0.9 => (Pattern::FullLength, OpenEnd::Neither),
        e if e > 0.0 => (Pattern::TipOnly, OpenEnd::Base),
        _ => (Pattern::BaseOnly, OpenEnd::Tip),
    };
    let open_fraction = if open_end == OpenEnd::Neither {
        0.0
    } else {
        1.0 - touching
    };
    let seen = Seen {
        open_end,
        open_fraction,
        sd: 0.03,
    };
    file(timeline, pattern, Action::Recut, Some(seen));
}

/// A check that says nothing of the taper.
pub(crate) fn cocked(timeline: &mut Timeline) {
    file(timeline, Pattern::OneSide, Action::FixFirst, None);
}

/// A check whose photos could not be judged.
pub(crate) fn unreadable(timeline: &mut Timeline) {
    file(timeline, Pattern::Unreadable, Action::Retake, None);
}

/// The last check was made on that lathe.
pub(crate) fn on(timeline: &mut Timeline, machine: &str) {
    let checks = timeline.cuts.last_mut().map(|c| &mut c.checks);
    if let Some(check) = checks.and_then(|c| c.last_mut()) {
        check.mounting.machine = Some(machine.to_owned());
    }
}

fn file(timeline: &mut Timeline, pattern: Pattern, action: Action, seen: Option<Seen>) {
    let number = checks_so_far(timeline);
    let cut = timeline.cuts.last_mut().expect("a cut");
    let reading = |jaw: usize| FiledReading {
        sha256: format!("{number}-{jaw}"),
        file: format!("jaw{jaw}.jpg"),
        taken: None,
        phone: None,
        pattern,
        confidence: if pattern == Pattern::Unreadable {
            0.0
        } else {
            0.97
        },
        refusal: None,
        seen,
        detail: serde_json::Value::Null,
    };
    cut.checks.push(FiledCheck {
        id: Id::derived(&["check", &number.to_string()]),
        cut: cut.cut.id,
        made: day(number),
        method: Method::Seep,
        compound: None,
        pressure: None,
        mounting: Mounting::default(),
        readings: (0..3).map(reading).collect(),
        program: String::new(),
        rules: String::new(),
        advice: FiledAdvice {
            pattern,
            action,
            change: None,
            low: None,
            high: None,
            next_taper: None,
            what_to_do: String::new(),
            why: String::new(),
        },
        done: None,
        changed: day(number),
    });
}

/// Cut nearer and nearer to what is needed, one check a cut.
pub(crate) fn closing_in(checks: usize) -> Timeline {
    let mut timeline = named("heron");
    let tapers = [6.0, 4.5, 2.0, 3.7, 3.0];
    for number in 0..checks {
        if number < tapers.len() || number % 20 == 0 {
            let taper = tapers
                .get(number)
                .copied()
                .unwrap_or(3.0 + (number % 3) as f64 * 0.5);
            cut(&mut timeline, Some(thou(taper)));
        }
        check(&mut timeline, 0.0);
    }
    timeline
}

/// One of everything: left out for each reason, anew, contradicting, a cut without a taper, one without
/// a check.
pub(crate) fn eventful() -> Timeline {
    let mut t = named("wren, outer set of the north lathe & <spare>");
    cut(&mut t, None);
    check(&mut t, 0.0);
    cut(&mut t, Some(thou(5.0)));
    unreadable(&mut t);
    check(&mut t, 0.0);
    cut(&mut t, Some(thou(4.0)));
    cocked(&mut t);
    check(&mut t, 0.0);
    cut(&mut t, Some(thou(3.0)));
    check(&mut t, 0.0);
    for _ in 0..2 {
        check(&mut t, 3.0);
        on(&mut t, "north lathe");
    }
    cut(&mut t, Some(thou(3.0)));
    check(&mut t, 1.5);
    on(&mut t, "south lathe");
    check(&mut t, 1.5);
    on(&mut t, "south lathe");
    cut(&mut t, Some(thou(4.5)));
    t
}

/// `closing_in`, with the history of an eventful shop in between.
pub(crate) fn many(checks: usize) -> Timeline {
    let mut timeline = named("plover");
    for number in 0..checks {
        if number % 4 == 0 {
            let taper = [6.0, 4.5, 2.0, 3.7, 3.0, 3.5, 2.5][number / 4 % 7];
            cut(&mut timeline, Some(thou(taper)));
        }
        match number % 17 {
            9 => cocked(&mut timeline),
            13 => unreadable(&mut timeline),
            _ => check(&mut timeline, if number / 60 % 2 == 1 { 2.0 } else { 0.0 }),
        }
    }
    timeline
}
