//! A jaw set's changes over time, each mark a link to its check. Shapes, not colours, say what was
//! advised; a dashed line stands where another taper was cut.

use std::io;

use jiff::civil::DateTime;
use maud::{Markup, html};

use super::sparkline::{self, Asking};
use super::{Review, shown};
use crate::review::CheckLine;
use crate::taper::advice::Action;
use crate::units::amount::Amount;
use crate::units::{Length, PerSide};

/// More marks would cover one another.
const MOST: usize = 300;
const WIDTH: f64 = 860.0;
const HEIGHT: f64 = 250.0;
const LEFT: f64 = 128.0;
const TOP: f64 = 26.0;
const RIGHT: f64 = 732.0;
const BOTTOM: f64 = 214.0;
/// Steps of the scale, in tenths of a thousandth of an inch; the first that needs at most three on
/// either side of zero.
const STEPS: [i32; 7] = [5, 10, 20, 50, 100, 500, 1000];

/// One mark.
struct Mark<'a> {
    index: usize,
    check: &'a CheckLine,
    change: PerSide,
    x: f64,
    y: f64,
}

/// `None` where no dated check of the set says a change.
pub(super) fn chart(review: &Review<'_>, set: usize) -> io::Result<Option<Markup>> {
    let latest = sparkline::latest(review, set, MOST)?;
    Ok(drawn(review, &latest, review.order.sets[set].len()))
}

fn drawn(review: &Review<'_>, latest: &[Asking], all: usize) -> Option<Markup> {
    let step = step(latest.iter().map(|l| l.change).max_by_key(|c| c.abs())?);
    let marks = marks(latest, step);
    let (first, last) = (marks.first()?, marks.last()?);
    Some(html! {
        figure .chart {
            figcaption {
                "Change asked for over time, in "
                @if marks.len() < all { "the latest " (shown::count(marks.len(), "check")) " that say one" } @else { (shown::count(marks.len(), "check")) }
                ". ▲ more taper, ▼ less taper, ● leave it; a dashed line: another taper was cut."
            }
            div .scroll tabindex="0" role="region" aria-label="Change asked for over time" {
                svg viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) width=(WIDTH) height=(HEIGHT) role="group" {
                    (scale(step))
                    (cuts(&marks))
                    // A line across a cut would join changes that were asked for at different tapers.
                    @for run in marks.chunk_by(|a, b| a.check.taper == b.check.taper) { (line(run)) }
                    @for mark in &marks { (shape(review, mark)) }
                    text x=(LEFT) y=(HEIGHT - 14.0) { (shown::day(first.check.made.as_deref())) }
                    @if marks.len() > 1 {
                        text x=(RIGHT) y=(HEIGHT - 14.0) text-anchor="end" { (shown::day(last.check.made.as_deref())) }
                    }
                }
            }
        }
    })
}

fn step(largest: PerSide) -> PerSide {
    let of = |tenths: &i32| PerSide::of(Length::from_tenths(*tenths));
    let enough = |tenths: &&i32| {
        let step = of(tenths);
        largest.abs() <= step + step + step
    };
    of(STEPS.iter().find(enough).unwrap_or(&STEPS[6]))
}

fn marks(latest: &[Asking], step: PerSide) -> Vec<Mark<'_>> {
    let timed = latest.iter().zip(times(latest));
    let marks = timed.map(|(asking, time)| Mark {
        index: asking.index,
        check: &asking.check,
        change: asking.change,
        // Marks at either end stay whole.
        x: LEFT + 14.0 + time * (RIGHT - LEFT - 28.0),
        y: height(asking.change, step),
    });
    marks.collect()
}

/// From 0 to 1, evenly where a time can't be read.
fn times(latest: &[Asking]) -> Vec<f64> {
    let time = |l: &Asking| -> Option<DateTime> { l.check.made.as_deref()?.parse().ok() };
    let read: Option<Vec<DateTime>> = latest.iter().map(time).collect();
    // `chart` has returned before this where there is no change at all.
    let evenly = |i: usize| i as f64 / (latest.len() - 1).max(1) as f64;
    // One time that can't be read has no place on the axis, so all stand evenly: better than leaving a
    // check out.
    let Some(read) = read else {
        return (0..latest.len()).map(evenly).collect();
    };
    let since = |t: &DateTime| t.duration_since(read[0]).as_secs_f64();
    let whole = read.last().map_or(0.0, since);
    let part = |(i, t): (usize, &DateTime)| {
        if whole > 0.0 {
            since(t) / whole
        } else {
            evenly(i)
        }
    };
    read.iter().enumerate().map(part).collect()
}

/// Three and a half steps up to the frame.
fn height(change: PerSide, step: PerSide) -> f64 {
    let middle = f64::midpoint(TOP, BOTTOM);
    let steps = change.micrometres() / step.micrometres();
    // Minus: more taper is up, and y grows downwards.
    middle - steps.clamp(-3.5, 3.5) / 3.5 * (middle - TOP)
}

/// Per side on the left, on the diameter on the right.
fn scale(step: PerSide) -> Markup {
    let steps = [-step - step, -step, PerSide::ZERO, step, step + step];
    html! {
        text x=(LEFT - 8.0) y="14" text-anchor="end" { "per side" }
        text x=(RIGHT + 8.0) y="14" { "on the diameter" }
        @for at in steps {
            @let y = height(at, step);
            path .grid .zero[at == PerSide::ZERO] d=(format!("M{LEFT},{y:.1}H{RIGHT}")) {}
            text x=(LEFT - 8.0) y=(format!("{:.1}", y + 4.0)) text-anchor="end" { (tick(at.into())) }
            text x=(RIGHT + 8.0) y=(format!("{:.1}", y + 4.0)) { (tick(at.on_diameter().into())) }
        }
    }
}

fn tick(amount: Amount) -> String {
    format!("{} thou, {} mm", amount.signed_thou(), amount.signed_mm())
}

/// Where another taper was cut.
fn cuts(marks: &[Mark<'_>]) -> Markup {
    let pairs = marks
        .windows(2)
        .filter(|w| w[0].check.taper != w[1].check.taper);
    html! {
        @for pair in pairs {
            path .cut d=(format!("M{:.1},{TOP}V{BOTTOM}", f64::midpoint(pair[0].x, pair[1].x))) {}
        }
    }
}

fn line(run: &[Mark<'_>]) -> Markup {
    let corners: Vec<String> = run
        .iter()
        .map(|m| format!("{:.1},{:.1}", m.x, m.y))
        .collect();
    html! { polyline points=(corners.join(" ")) {} }
}

fn shape(review: &Review<'_>, mark: &Mark<'_>) -> Markup {
    let (x, y) = (mark.x, mark.y);
    let path = match mark.check.action {
        Action::Recut if mark.change < PerSide::ZERO => {
            format!("M{:.1},{:.1}h10l-5,9z", x - 5.0, y - 4.0)
        }
        Action::Recut => format!("M{:.1},{:.1}h10l-5,-9z", x - 5.0, y + 4.0),
        _ => format!("M{:.1},{y:.1}a4,4 0 1,0 8,0a4,4 0 1,0 -8,0z", x - 4.0),
    };
    let says = format!(
        "{}: {}",
        shown::time(mark.check.made.as_deref()),
        shown::joined(shown::change(mark.change))
    );
    html! {
        a href=(format!("../{}", review.paths.check(mark.index))) aria-label=(says) {
            path .mark d=(path) { title { (says) } }
        }
    }
}
