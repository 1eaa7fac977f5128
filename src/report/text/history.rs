//! A jaw set's history: cuts and checks down the page, and how the needed taper became known.

use super::super::{HistoryReport, words};
use super::TextOptions;
use super::advice::proof_line;
use super::pen::{Ink, Pen};
use super::records::{action, when};
use crate::taper::advice::HELD;
use crate::taper::learning::{Interval, LeftOut, Standing, Step};
use crate::taper::records::{Cut, FiledCheck};
use crate::units::PerSide;

/// Columns of the drawn scale.
const SCALE: usize = 41;

/// A timeline: each cut with its checks, and after each check the taper that the set needs, drawn to one
/// scale so that the interval is seen to shrink.
pub fn history_to_text(history: &HistoryReport<'_>, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    let set = &history.timeline.jaw_set;
    pen.wrapped(&format!("History of jaw set {}", set.name), Ink::Strong);
    if let Some(proof) = history.proof {
        proof_line(&mut pen, proof);
    }
    let Some(scale) = Scale::over(history) else {
        nothing_yet(&mut pen, history);
        return pen.finish();
    };
    pen.wrapped(&scale.legend(), Ink::Plain);
    for of_cut in &history.timeline.cuts {
        pen.blank();
        write_cut(&mut pen, &of_cut.cut);
        for check in &of_cut.checks {
            let step = history.steps.iter().find(|s| s.check == check.id);
            write_check(&mut pen, check, step, &scale);
        }
    }
    pen.blank();
    sum(&mut pen, history);
    pen.finish()
}

fn nothing_yet(pen: &mut Pen, history: &HistoryReport<'_>) {
    for of_cut in &history.timeline.cuts {
        write_cut(pen, &of_cut.cut);
        for check in &of_cut.checks {
            pen.hanging("  ", &seen(check), Ink::Plain);
        }
    }
    if history.proof.is_some_and(|p| p.held) {
        return pen.wrapped(HELD, Ink::Plain);
    }
    pen.wrapped(
        "No check of it says yet what taper it needs: note its taper with `seepline cut add`, and file a \
         check with `seepline read … --jaws`.",
        Ink::Plain,
    );
}

fn write_cut(pen: &mut Pen, cut: &Cut) {
    let taper = cut
        .taper
        .map_or_else(|| "taper not noted".to_owned(), PerSide::as_taper);
    let text = format!("{}: {taper}", cut.made.date());
    pen.hanging("Cut ", &text, Ink::Strong);
}

fn seen(check: &FiledCheck) -> String {
    let done = check
        .done
        .as_ref()
        .map_or_else(String::new, |d| format!("; done: {d}"));
    format!(
        "{} {}, advice: {}{done}",
        when(check.made),
        words::name(check.advice.pattern),
        action(check.advice.action)
    )
}

fn write_check(pen: &mut Pen, check: &FiledCheck, step: Option<&Step>, scale: &Scale) {
    pen.hanging("  ", &seen(check), Ink::Plain);
    let Some(step) = step else { return };
    if let Some(why) = standing(&step.standing) {
        pen.hanging("    ", &why, Ink::Caution);
    }
    let counts = !matches!(step.standing, Standing::LeftOut(_));
    if let Some(estimate) = step.estimate.as_ref().filter(|_| counts) {
        let needed = estimate.needed;
        pen.line(&format!(
            "    {}",
            scale.draw(needed, step.taper, pen.unicode)
        ));
        pen.hanging("    ", &in_numbers(needed), Ink::Plain);
    }
}

pub(crate) fn in_numbers(needed: Interval) -> String {
    let thou = |p: PerSide| format!("{:.1}", p.thou());
    format!(
        "needs {} thou per side, {} to {} ({} on the diameter, {} to {}; {:.3} mm per side)",
        thou(needed.median),
        thou(needed.low),
        thou(needed.high),
        format_args!("{:.1}", needed.median.on_diameter().thou()),
        format_args!("{:.1}", needed.low.on_diameter().thou()),
        format_args!("{:.1}", needed.high.on_diameter().thou()),
        needed.median.millimetres(),
    )
}

/// Why the estimate does not simply go on.
pub(crate) fn standing(standing: &Standing) -> Option<String> {
    match standing {
        Standing::First | Standing::Combined(_) => None,
        Standing::Anew(differences) if differences.is_empty() => {
            Some("starts the estimate anew".to_owned())
        }
        Standing::Anew(differences) => {
            let all: Vec<String> = differences
                .iter()
                .map(|d| format!("{} was {}, is {}", d.what, d.before, d.now))
                .collect();
            Some(format!("starts the estimate anew: {}", all.join("; ")))
        }
        Standing::Contradicts => Some(
            "contradicts the checks before it, so something changed unnoticed: look at seats, test piece \
             and pressure"
                .to_owned(),
        ),
        Standing::LeftOut(why) => Some(format!("does not count: {}", left_out(*why))),
    }
}

fn left_out(why: LeftOut) -> &'static str {
    match why {
        LeftOut::NoTaper => "the taper that was cut was not noted",
        LeftOut::Retake => "the photos were to be taken again",
        LeftOut::FixFirst => "seat or shape had to be mended first",
        LeftOut::JawsDisagree => "the jaws disagreed",
    }
}

fn sum(pen: &mut Pen, history: &HistoryReport<'_>) {
    let last = history.steps.last().and_then(|s| s.estimate.as_ref());
    let Some(estimate) = last else { return };
    let checks = words::together(estimate.checks);
    let threshold = estimate.threshold;
    let text = format!(
        "Now, from {checks}: {}. The smallest gap that shows is {:.2} thou, {:.2} to {:.2}.",
        in_numbers(estimate.needed),
        threshold.median.thou(),
        threshold.low.thou(),
        threshold.high.thou(),
    );
    pen.wrapped(&text, Ink::Strong);
}

/// One scale of tapers for the whole page.
struct Scale {
    from_thou: f64,
    to_thou: f64,
}

impl Scale {
    /// Over all tapers cut and all intervals; `None` where there are none.
    fn over(history: &HistoryReport<'_>) -> Option<Self> {
        let of_step = |s: &Step| {
            let needed = s.estimate.as_ref().map(|e| e.needed);
            [needed.map(|n| n.low), needed.map(|n| n.high), s.taper]
        };
        let all = || {
            history
                .steps
                .iter()
                .flat_map(of_step)
                .flatten()
                .map(PerSide::thou)
        };
        // Cut tapers alone would give a scale with no interval to draw on it.
        history.steps.iter().find_map(|s| s.estimate.as_ref())?;
        let (low, high) = all().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        });
        Some(Self {
            from_thou: low.floor(),
            // A single whole taper would leave no span to divide by.
            to_thou: high.ceil().max(low.floor() + 1.0),
        })
    }

    fn legend(&self) -> String {
        format!(
            "Below, {:.0} to {:.0} thou of taper per side from left to right: [ and ] the interval, o its \
             middle, x the taper that was cut.",
            self.from_thou, self.to_thou
        )
    }

    fn column(&self, taper: PerSide) -> usize {
        let share = (taper.thou() - self.from_thou) / (self.to_thou - self.from_thou);
        (share.clamp(0.0, 1.0) * (SCALE - 1) as f64).round() as usize
    }

    fn draw(&self, needed: Interval, taper: Option<PerSide>, unicode: bool) -> String {
        let (empty, between) = if unicode { ('·', '─') } else { ('.', '-') };
        let mut cells = [empty; SCALE];
        let (low, high) = (self.column(needed.low), self.column(needed.high));
        cells[low..=high].fill(between);
        cells[low] = '[';
        cells[high] = ']';
        cells[self.column(needed.median)] = 'o';
        // Last, over the others: whether the cut lies in the interval is what is looked for.
        if let Some(taper) = taper {
            cells[self.column(taper)] = 'x';
        }
        cells.iter().collect()
    }
}
