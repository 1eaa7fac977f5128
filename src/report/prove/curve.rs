//! A plan's operating curve as a picture: which programs pass it.

use std::fmt::Write as _;

use maud::{PreEscaped, html};

use super::at_most;
use crate::people::prove::Plan;

/// Of the picture, in pixels.
const SIZE: (f64, f64) = (640.0, 400.0);
/// Room for the lettering: left, top, right, bottom.
const ROOM: [f64; 4] = [64.0, 56.0, 24.0, 56.0];
/// Points of the curve.
const POINTS: u32 = 200;

/// How probably a program passes the plan, against the share of its answers that goes the wrong way, as SVG.
pub fn operating_curve(plan: &Plan) -> String {
    let (step, steps) = scale(plan.at_most() * 1.5);
    let widest = step * f64::from(steps);
    let x = |p: f64| ROOM[0] + p / widest * (SIZE.0 - ROOM[0] - ROOM[2]);
    let y = |passes: f64| SIZE.1 - ROOM[3] - passes * (SIZE.1 - ROOM[1] - ROOM[3]);
    let (claim, risk) = (plan.at_most(), 1.0 - plan.confidence);
    let marks = format!(
        "M{:.1},{:.1}V{:.1}H{:.1}",
        x(claim),
        y(0.0),
        y(risk),
        x(0.0)
    );
    let title = format!(
        "{} checks, none the wrong way: which programs pass",
        plan.checks
    );
    let note = format!(
        "A program with {} the wrong way passes in {:.0} of 100 shops",
        at_most(claim),
        risk * 100.0
    );
    let view = format!("0 0 {} {}", SIZE.0, SIZE.1);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(view) width=(SIZE.0) height=(SIZE.1) role="img" font-family="sans-serif" font-size="13" {
            title { (title) }
            rect width="100%" height="100%" fill="#fff" {}
            text x=(ROOM[0]) y="20" font-size="15" font-weight="bold" { (title) }
            text x=(ROOM[0]) y="40" { (note) }
            @for passes in (0..=5).map(|i| f64::from(i) / 5.0) {
                path d=(format!("M{:.1},{:.1}H{:.1}", x(0.0), y(passes), x(widest))) stroke="#ccc" {}
                text x=(ROOM[0] - 8.0) y=(y(passes) + 4.0) text-anchor="end" { (format!("{:.0} %", passes * 100.0)) }
            }
            @for share in (0..=steps).map(|i| f64::from(i) * step) {
                text x=(x(share)) y=(SIZE.1 - ROOM[3] + 18.0) text-anchor="middle" { (percent(share)) }
            }
            path d=(marks) fill="none" stroke="#555" stroke-dasharray="5 4" {}
            path d=(curve(plan, widest, x, y)) fill="none" stroke="#000" stroke-width="2.5" {}
            text x=(x(widest / 2.0)) y=(SIZE.1 - 12.0) text-anchor="middle" { "share of its answers that goes the wrong way" }
            text x="16" y=(y(0.5)) text-anchor="middle" transform=(format!("rotate(-90 16 {:.1})", y(0.5))) { "passes" }
        }
    }
    .into_string()
}

fn curve(
    plan: &Plan,
    widest: f64,
    x: impl Fn(f64) -> f64,
    y: impl Fn(f64) -> f64,
) -> PreEscaped<String> {
    let mut path = String::new();
    for point in 0..=POINTS {
        let p = widest * f64::from(point) / f64::from(POINTS);
        let command = if point == 0 { 'M' } else { 'L' };
        // Writing into a text does not fail.
        let _ = write!(path, "{command}{:.1},{:.1}", x(p), y(plan.passes(p)));
    }
    PreEscaped(path)
}

/// A round step, and how many of them reach so far, to 1 at most.
fn scale(reach: f64) -> (f64, u32) {
    let rough = reach.min(1.0) / 5.0;
    let power = 10_f64.powf(rough.log10().floor());
    let round = [1.0, 2.0, 5.0, 10.0].map(|n| n * power);
    // Less a trifle, as a power of ten is not exact.
    let fits = round.into_iter().find(|step| *step >= rough * 0.999);
    let step = fits.unwrap_or(rough);
    (step, (reach.min(1.0) / step - 1e-9).ceil() as u32)
}

/// As many digits as a step has.
fn percent(share: f64) -> String {
    format!("{} %", (share * 1e5).round() / 1e3)
}
