//! A jaw set's changes over time in a line of text: above the line more taper is asked for, below it
//! less.

use std::io;

use maud::{Markup, html};

use super::Review;
use crate::review::CheckLine;
use crate::units::PerSide;

const WIDTH: f64 = 220.0;
const HEIGHT: f64 = 40.0;
/// Room for the marks at the edges.
const EDGE: f64 = 5.0;
/// More would run into one another.
pub(super) const MOST: usize = 60;

/// `None` where fewer than two checks say a change.
pub(super) fn sparkline(review: &Review<'_>, set: usize) -> io::Result<Option<Markup>> {
    let latest = latest(review, set, MOST)?;
    if latest.len() < 2 {
        return Ok(None);
    }
    let changes: Vec<f64> = latest.iter().map(|l| l.change.micrometres()).collect();
    // At least a micrometre: where nothing is asked for, all dots lie on the line.
    let largest = changes.iter().fold(1.0_f64, |m, c| m.max(c.abs()));
    let step = (WIDTH - 2.0 * EDGE) / (changes.len() - 1) as f64;
    let middle = HEIGHT / 2.0;
    let at = |(i, c): (usize, &f64)| {
        (
            EDGE + i as f64 * step,
            middle - c / largest * (middle - EDGE),
        )
    };
    let points: Vec<(f64, f64)> = changes.iter().enumerate().map(at).collect();
    let corners: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{x:.0},{y:.1}"))
        .collect();
    let dots: Vec<String> = points
        .iter()
        // A line without length, whose round ends make it a dot.
        .map(|(x, y)| format!("M{x:.0},{y:.1}h0"))
        .collect();
    let says = format!("Changes asked for in the latest {} checks", points.len());
    Ok(Some(html! {
        svg .spark width=(WIDTH) height=(HEIGHT) viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img" aria-label=(says) {
            path .zero d=(format!("M0,{middle}h{WIDTH}")) {}
            polyline points=(corners.join(" ")) {}
            path .dots d=(dots.concat()) {}
        }
    }))
}

/// A check that says a change.
pub(super) struct Asking {
    pub(super) index: usize,
    pub(super) check: CheckLine,
    pub(super) change: PerSide,
}

/// The latest dated checks that say a change, oldest first.
pub(super) fn latest(review: &Review<'_>, set: usize, most: usize) -> io::Result<Vec<Asking>> {
    let asking = |index: usize| {
        let check = review.lines.check(index)?;
        let asked = check.change;
        Ok(asked.map(|change| Asking {
            index,
            check,
            change,
        }))
    };
    let dated = review.order.sets[set].dated().rev();
    let says = dated.filter_map(|index| asking(index).transpose());
    let mut latest: Vec<Asking> = says.take(most).collect::<io::Result<_>>()?;
    latest.reverse();
    Ok(latest)
}
