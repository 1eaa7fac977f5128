//! What the marks mean: only those that the picture holds.

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend};
use plotters::style::text_anchor::{HPos, VPos};

use super::columns::{Checked, Column, Flag, Shape};
use super::layout::{LEGEND_LINE_PX, LETTERS_PX, Layout, MARGIN_PX, letters, width_px};
use super::marks::{self, Place};
use super::{Chart, Drawn};

/// Room for a mark, px.
const MARK_PX: i32 = 34;
/// Between entries, px.
const GAP_PX: i32 = 26;
/// Nominal radius of a mark.
const RADIUS: f64 = 8.0;

/// One entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Entry {
    Cut,
    NewCut,
    Needed,
    Check(Shape),
    LeftOut,
    Flag(Flag),
    NoTaper,
}

impl Entry {
    const ALL: [Self; 11] = [
        Self::Cut,
        Self::NewCut,
        Self::Needed,
        Self::Check(Shape::FullLength),
        Self::Check(Shape::TooMuch),
        Self::Check(Shape::TooLittle),
        Self::Check(Shape::Other),
        Self::LeftOut,
        Self::NoTaper,
        Self::Flag(Flag::Anew),
        Self::Flag(Flag::Contradicts),
    ];

    fn text(self) -> &'static str {
        match self {
            Self::Cut => "taper that was cut",
            Self::NewCut => "new cut",
            Self::Needed => "after the check: interval of the needed taper, its median",
            Self::Check(Shape::FullLength) => "grips along its whole length",
            Self::Check(Shape::TooMuch) => "base open: too much taper",
            Self::Check(Shape::TooLittle) => "tip open: too little taper",
            Self::Check(Shape::Other) => "another pattern, or unreadable",
            Self::LeftOut => "hollow, whatever its shape: left out of the estimate",
            Self::NoTaper => "mark on the lower edge: taper not noted",
            Self::Flag(Flag::Anew) => "estimate starts anew",
            Self::Flag(Flag::Contradicts) => "contradicts the checks before: starts anew",
        }
    }

    fn occurs(self, column: &Column) -> bool {
        let check = |is: &dyn Fn(Checked) -> bool| column.check.is_some_and(is);
        match self {
            Self::Cut => column.taper.is_some(),
            Self::NewCut => column.new_cut,
            Self::Needed => check(&|c| c.needed.is_some()),
            Self::Check(shape) => check(&|c| c.shape == shape),
            Self::LeftOut => check(&|c| !c.counts),
            Self::NoTaper => column.taper.is_none() && column.check.is_some(),
            Self::Flag(flag) => check(&|c| c.flag == Some(flag)),
        }
    }

    fn width(self) -> i32 {
        // This one explains a place, not a mark.
        let mark = if self == Self::NoTaper { 0 } else { MARK_PX };
        mark + width_px(self.text(), LETTERS_PX)
    }

    fn draw<DB: DrawingBackend>(self, area: &DrawingArea<DB, Shift>, (x, y): Place) -> Drawn<DB> {
        let middle = (x + MARK_PX / 2 - 4, y);
        // Short of half a line: marks of one row must not touch those of the next.
        let reach = LEGEND_LINE_PX as i32 / 2 - 3;
        match self {
            Self::Cut => marks::step_line(
                area,
                vec![
                    (x, y + 5),
                    (middle.0, y + 5),
                    (middle.0, y - 5),
                    (x + MARK_PX - 8, y - 5),
                ],
            ),
            Self::NewCut => marks::cut(area, (middle.0, y + 7), RADIUS),
            Self::Needed => {
                let places = [-reach, 1, reach].map(|down| (middle.0, y + down));
                marks::interval(area, places, RADIUS)
            }
            Self::Check(shape) => marks::check(area, shape, true, middle, RADIUS),
            Self::LeftOut => marks::check(area, Shape::Other, false, middle, RADIUS),
            Self::Flag(flag) => marks::flag(
                area,
                flag,
                middle.0,
                [y - reach + 3, y + reach],
                RADIUS * 0.7,
            ),
            Self::NoTaper => Ok(()),
        }?;
        let text = x + self.width() - width_px(self.text(), LETTERS_PX);
        area.draw_text(self.text(), &letters(HPos::Left, VPos::Center), (text, y))
    }
}

/// The entries that occur, in rows that fit.
pub(super) fn rows(columns: &[Column], layout: &Layout) -> Vec<Vec<Entry>> {
    let occurs = |entry: &Entry| columns.iter().any(|column| entry.occurs(column));
    let mut rows: Vec<Vec<Entry>> = Vec::new();
    let mut left = 0;
    for entry in Entry::ALL.into_iter().filter(occurs) {
        let needs = entry.width() + GAP_PX;
        if let Some(row) = rows.last_mut().filter(|_| needs <= left) {
            row.push(entry);
        } else {
            rows.push(vec![entry]);
            // The last entry of a row needs no gap behind it.
            left = layout.text_width() as i32 + GAP_PX;
        }
        left -= needs;
    }
    rows
}

pub(super) fn draw<DB: DrawingBackend>(chart: &Chart, area: &DrawingArea<DB, Shift>) -> Drawn<DB> {
    let mut y = chart.layout.legend_top() as i32;
    for row in rows(&chart.columns, &chart.layout) {
        let mut x = MARGIN_PX as i32;
        for entry in row {
            entry.draw(area, (x, y))?;
            x += entry.width() + GAP_PX;
        }
        y += LEGEND_LINE_PX as i32;
    }
    Ok(())
}
