//! The scale of tapers, the same on both sides of the picture: per side on the left, on the diameter on
//! the right.

use std::ops::Range;

use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};

use super::columns::Column;
use crate::units::{Length, OnDiameter, PerSide};

/// More numbers than this stand too close.
const MOST_TICKS: f64 = 9.0;
/// Steps between numbers, in tenths of a thousandth of an inch; the last ones are for nonsense.
const STEPS_TENTHS: [i32; 16] = [
    2,
    5,
    10,
    20,
    50,
    100,
    200,
    500,
    1000,
    2000,
    5000,
    10_000,
    100_000,
    1_000_000,
    10_000_000,
    100_000_000,
];
/// Left free beyond the lowest and the highest value, in steps: room for the marks.
const FREE_STEPS: f64 = 0.6;
/// Less than a thousandth from bottom to top would magnify what no setter can cut.
const LEAST_SPAN_THOU: f64 = 1.0;

/// From the lowest to the highest taper.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scale {
    low: PerSide,
    high: PerSide,
    ticks: Vec<PerSide>,
}

impl Scale {
    /// Over all tapers cut and all intervals; `None` where there are none.
    pub(super) fn over(columns: &[Column]) -> Option<Self> {
        let known = |column: &Column| {
            let needed = column.check.and_then(|c| c.needed);
            [column.taper, needed.map(|n| n.low), needed.map(|n| n.high)]
        };
        let all: Vec<PerSide> = columns.iter().flat_map(known).flatten().collect();
        let (low, high) = (all.iter().min()?.thou(), all.iter().max()?.thou());
        let widen = ((LEAST_SPAN_THOU - (high - low)) / 2.0).max(0.0);
        Some(Self::between(low - widen, high + widen))
    }

    fn between(low_thou: f64, high_thou: f64) -> Self {
        let thou = |tenths: i32| PerSide::of(Length::from_tenths(tenths)).thou();
        let fits = |step: &i32| (high_thou - low_thou) / thou(*step) <= MOST_TICKS;
        let last = STEPS_TENTHS[STEPS_TENTHS.len() - 1];
        let step = STEPS_TENTHS.into_iter().find(fits).unwrap_or(last);
        let free = FREE_STEPS * thou(step);
        let (low, high) = (low_thou - free, high_thou + free);
        let first = (low / thou(step)).ceil() as i32;
        let last = (high / thou(step)).floor() as i32;
        let at = |count: i32| PerSide::of(Length::from_tenths(count.saturating_mul(step)));
        // Nobody cuts less than no taper, but what is needed may lie there.
        let from = if low_thou < 0.0 { first } else { first.max(0) };
        Self {
            low: tenths(low),
            high: tenths(high),
            ticks: (from..=last).map(at).collect(),
        }
    }

    /// The left axis.
    pub(super) fn per_side(&self) -> Axis<PerSide> {
        Axis {
            low: self.low,
            high: self.high,
            ticks: self.ticks.clone(),
        }
    }

    /// The right axis: the same tapers at the same heights.
    pub(super) fn on_diameter(&self) -> Axis<OnDiameter> {
        Axis {
            low: self.low.on_diameter(),
            high: self.high.on_diameter(),
            ticks: self.ticks.iter().map(|t| t.on_diameter()).collect(),
        }
    }
}

fn tenths(thou: f64) -> PerSide {
    PerSide::of(Length::from_tenths((thou * 10.0).round() as i32))
}

/// One axis with the tapers that are written beside it.
pub(super) struct Axis<T> {
    low: T,
    high: T,
    ticks: Vec<T>,
}

/// A taper, however it is stated.
pub(super) trait Taper: Copy {
    fn length(self) -> Length;
}

impl Taper for PerSide {
    fn length(self) -> Length {
        PerSide::length(self)
    }
}

impl Taper for OnDiameter {
    fn length(self) -> Length {
        OnDiameter::length(self)
    }
}

impl<T: Taper> Ranged for Axis<T> {
    type FormatOption = NoDefaultFormatting;
    type ValueType = T;

    fn map(&self, taper: &T, (from, to): (i32, i32)) -> i32 {
        let (low, high) = (self.low.length(), self.high.length());
        // `between` leaves room on both sides, so there is always a span; the middle is for the type alone.
        let share = (taper.length() - low).ratio(high - low).unwrap_or(0.5);
        from + (share * f64::from(to - from)).round() as i32
    }

    // Plotters would choose for each axis by itself; with these every grid line has a number at both ends.
    fn key_points<Hint: KeyPointHint>(&self, _most: Hint) -> Vec<T> {
        self.ticks.clone()
    }

    fn range(&self) -> Range<T> {
        self.low..self.high
    }
}

/// `3.0 (0.076)`: thousandths of an inch and millimetres.
impl<T: Taper> ValueFormatter<T> for Axis<T> {
    fn format(taper: &T) -> String {
        let length = taper.length();
        format!("{:.1} ({:.3})", length.thou(), length.millimetres())
    }
}
