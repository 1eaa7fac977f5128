//! What lies inside the axes: the taper as it was cut, intervals, marks.

use std::ops::Range;

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend};

use super::Drawn;
use super::columns::{Checked, Column};
use super::marks::{self, Place};
use crate::units::PerSide;

/// The plot: where it is on the picture, and how values become places.
pub(super) struct Content<'a, DB: DrawingBackend> {
    pub(super) area: &'a DrawingArea<DB, Shift>,
    /// Place of a column, counted from 1, and a taper.
    pub(super) at: &'a dyn Fn(f64, PerSide) -> Place,
    pub(super) x: Range<i32>,
    pub(super) y: Range<i32>,
    /// From one column to the next, px.
    pub(super) pitch: f64,
}

impl<DB: DrawingBackend> Content<'_, DB> {
    /// What is drawn later lies above: marks of checks on top.
    pub(super) fn draw(&self, columns: &[Column]) -> Drawn<DB> {
        self.flags(columns)?;
        self.cut_taper(columns)?;
        for (_, check, index) in checks(columns) {
            self.interval(index, check)?;
        }
        for (column, check, index) in checks(columns) {
            let (x, y) = self.place(index, column.taper);
            let at = (x - self.aside(), y);
            marks::check(self.area, check.shape, check.counts, at, self.radius())?;
        }
        self.cuts(columns)
    }

    /// Nominal radius of a mark.
    pub(super) fn radius(&self) -> f64 {
        (self.pitch * 0.27).clamp(3.0, 9.0)
    }

    /// Marks stand left and intervals right of the column's middle, by this much.
    fn aside(&self) -> i32 {
        (self.pitch * 0.22).clamp(0.0, 14.0).round() as i32
    }

    /// Where the taper is unknown, on the lower edge.
    fn place(&self, index: usize, taper: Option<PerSide>) -> Place {
        let column = index as f64 + 1.0;
        let (x, y) = (self.at)(column, taper.unwrap_or(PerSide::ZERO));
        (x, if taper.is_some() { y } else { self.y.end })
    }

    /// Left edge of a column.
    fn edge(&self, index: usize) -> i32 {
        (self.at)(index as f64 + 0.5, PerSide::ZERO).0
    }

    fn flags(&self, columns: &[Column]) -> Drawn<DB> {
        for (_, check, index) in checks(columns) {
            if let Some(flag) = check.flag {
                let ends = [self.y.start, self.y.end];
                marks::flag(self.area, flag, self.edge(index), ends, self.radius())?;
            }
        }
        Ok(())
    }

    fn cuts(&self, columns: &[Column]) -> Drawn<DB> {
        for (index, _) in columns.iter().enumerate().filter(|(_, c)| c.new_cut) {
            marks::cut(self.area, (self.edge(index), self.y.end), self.radius())?;
        }
        Ok(())
    }

    /// One line for each run of columns whose taper is known.
    fn cut_taper(&self, columns: &[Column]) -> Drawn<DB> {
        let mut run = Vec::new();
        for (index, column) in columns.iter().enumerate() {
            match column.taper {
                Some(taper) => {
                    let y = self.place(index, Some(taper)).1;
                    run.extend([(self.edge(index), y), (self.edge(index + 1), y)]);
                }
                // A gap: a line through would claim a taper that nobody noted.
                None => self.end_run(&mut run)?,
            }
        }
        self.end_run(&mut run)
    }

    fn end_run(&self, run: &mut Vec<Place>) -> Drawn<DB> {
        // Neighbours at the same taper share the point between them.
        run.dedup();
        if run.is_empty() {
            return Ok(());
        }
        marks::step_line(self.area, std::mem::take(run))
    }

    fn interval(&self, index: usize, check: Checked) -> Drawn<DB> {
        let Some(needed) = check.needed else {
            return Ok(());
        };
        let places = [needed.high, needed.median, needed.low].map(|taper| {
            let (x, y) = self.place(index, Some(taper));
            (x + self.aside(), y)
        });
        marks::interval(self.area, places, self.radius())
    }
}

fn checks(columns: &[Column]) -> impl Iterator<Item = (&Column, Checked, usize)> {
    let all = columns.iter().enumerate();
    all.filter_map(|(index, column)| Some((column, column.check?, index)))
}
