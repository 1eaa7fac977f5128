//! Axes: tapers left and right, the checks' numbers and dates below.

use plotters::chart::DualCoordChartContext;
use plotters::coord::types::RangedCoordf64;
use plotters::element::PathElement;
use plotters::prelude::{Cartesian2d, Color, DrawingBackend};
use plotters::style::text_anchor::{HPos, VPos};

use super::columns::Column;
use super::content::Content;
use super::layout::{LETTERS_PX, letters, width_px};
use super::scale::Axis;
use super::{BLACK, Drawn, PALE, WHITE};
use crate::units::{OnDiameter, PerSide};

type Axes<T> = Cartesian2d<RangedCoordf64, Axis<T>>;

/// Below the plot, px.
const NUMBERS_PX: i32 = 12;
const DATES_PX: i32 = 36;
const TICK_PX: i32 = 7;

/// Grid and numbers of both scales.
pub(super) fn draw<DB: DrawingBackend>(
    plot: &mut DualCoordChartContext<'_, DB, Axes<PerSide>, Axes<OnDiameter>>,
) -> Drawn<DB> {
    let (numbers, name) = (
        letters(HPos::Left, VPos::Center),
        letters(HPos::Center, VPos::Top),
    );
    plot.configure_mesh()
        .disable_x_mesh()
        // Transparent: a grid only at the numbers.
        .light_line_style(WHITE.mix(0.0))
        .bold_line_style(PALE)
        .axis_style(BLACK)
        .y_label_style(numbers.clone())
        .axis_desc_style(name.clone())
        .y_desc("taper per side, thou (mm)")
        .draw()?;
    plot.configure_secondary_axes()
        .axis_style(BLACK)
        .label_style(numbers)
        .axis_desc_style(name)
        .y_desc("taper on the diameter, thou (mm)")
        .draw()
}

/// Numbers and dates of the checks, thinned out so that none overlap.
pub(super) fn draw_checks<DB: DrawingBackend>(
    content: &Content<'_, DB>,
    columns: &[Column],
) -> Drawn<DB> {
    let bottom = content.y.end;
    let ends = vec![(content.x.start, bottom), (content.x.end, bottom)];
    content
        .area
        .draw(&PathElement::new(ends, BLACK.stroke_width(1)))?;
    row_names(content)?;
    // Four digits and a gap.
    for index in labelled(columns, content.pitch, "0000 ") {
        let number = |c: &Column| c.check.map_or("cut".to_owned(), |c| c.number.to_string());
        label(content, index, &number(&columns[index]), NUMBERS_PX)?;
    }
    for index in labelled(columns, content.pitch, "2026-03-04 ") {
        let x = middle(content, index);
        let tick = vec![(x, bottom), (x, bottom + TICK_PX)];
        content
            .area
            .draw(&PathElement::new(tick, BLACK.stroke_width(1)))?;
        label(content, index, &columns[index].date.to_string(), DATES_PX)?;
    }
    Ok(())
}

fn label<DB: DrawingBackend>(
    content: &Content<'_, DB>,
    index: usize,
    text: &str,
    down: i32,
) -> Drawn<DB> {
    let at = (middle(content, index), content.y.end + down);
    content
        .area
        .draw_text(text, &letters(HPos::Center, VPos::Top), at)
}

fn middle<DB: DrawingBackend>(content: &Content<'_, DB>, index: usize) -> i32 {
    (content.at)(index as f64 + 1.0, PerSide::ZERO).0
}

fn row_names<DB: DrawingBackend>(content: &Content<'_, DB>) -> Drawn<DB> {
    let style = letters(HPos::Right, VPos::Top);
    for (name, down) in [("check", NUMBERS_PX), ("date", DATES_PX)] {
        // A date is 96 px wide and centred below its column; this clears the left half of the first.
        let at = (content.x.start - 60, content.y.end + down);
        content.area.draw_text(name, &style, at)?;
    }
    Ok(())
}

/// Indices of the columns below which a text of that width is written: the first, then every check or
/// every second, fifth, tenth … one, and cuts without a check where there is room.
fn labelled(columns: &[Column], pitch: f64, text: &str) -> Vec<usize> {
    let room = f64::from(width_px(text, LETTERS_PX));
    let every = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
    let fits = |n: &usize| *n as f64 * pitch >= room;
    let every = every.into_iter().find(fits).unwrap_or(usize::MAX);
    let round = |c: &Column| c.check.is_none_or(|c| c.number % every == 0);
    let mut kept: Vec<usize> = Vec::new();
    for (index, column) in columns.iter().enumerate() {
        let clear = kept
            .last()
            .is_none_or(|&last| (index - last) as f64 * pitch >= room);
        if index == 0 || (clear && round(column)) {
            kept.push(index);
        }
    }
    kept
}
