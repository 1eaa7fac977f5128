//! 500 and more jaw sets drawn from the model, and from models that are wrong. The tables are printed:
//! `cargo test --test learning simulation -- --nocapture`.

use crate::draws::Draws;
use crate::shop::{Course, Drift, THOU_UM, Truth, Way, course, estimates};

const SETS: usize = 500;

/// Shares and medians over many sets.
#[derive(Debug)]
struct Figures {
    /// Of the needed taper's interval, over all checks; and after the second check.
    coverage: f64,
    coverage_second: f64,
    /// Median size of the error of the needed taper after the second check, thousandths.
    error_second: f64,
    /// Mean number of checks until full-length, and the share of sets that got there.
    checks: f64,
    finished: f64,
    /// Per set.
    overshoots: f64,
    unanswered: f64,
    wrong_way: usize,
}

fn run(name: &str, way: Way, change: impl Fn(&mut Truth)) -> Figures {
    let mut draws = Draws::new(11);
    let courses: Vec<(Truth, Course)> = (0..SETS)
        .map(|_| {
            let mut truth = Truth::draw(&mut draws);
            change(&mut truth);
            // Each set has its own stream, so that every way meets the same jaw sets.
            let mut own = Draws::new((draws.uniform() * 1e15) as u64);
            let course = course(&truth, way, &mut own);
            (truth, course)
        })
        .collect();
    let figures = figures(&courses);
    println!("{name:<44} {figures:.3?}");
    figures
}

fn figures(courses: &[(Truth, Course)]) -> Figures {
    let (mut held, mut second, mut errors) = (Vec::new(), Vec::new(), Vec::new());
    for (truth, course) in courses {
        let timeline = course.timeline.as_ref().expect("a timeline");
        for (i, estimate) in estimates(timeline).iter().enumerate() {
            let Some(e) = estimate else { continue };
            let um = |p: seepline::PerSide| p.micrometres();
            let holds = um(e.needed.low) <= truth.needed_um && truth.needed_um <= um(e.needed.high);
            held.push(holds);
            if i == 1 {
                second.push(holds);
                errors.push((um(e.needed.median) - truth.needed_um).abs() / THOU_UM);
            }
        }
    }
    errors.sort_by(f64::total_cmp);
    let share = |v: &[bool]| v.iter().filter(|h| **h).count() as f64 / v.len() as f64;
    let mean = |of: &dyn Fn(&Course) -> usize| {
        courses.iter().map(|(_, c)| of(c)).sum::<usize>() as f64 / courses.len() as f64
    };
    Figures {
        coverage: share(&held),
        coverage_second: share(&second),
        error_second: errors[errors.len() / 2],
        checks: mean(&|c| c.checks),
        finished: mean(&|c| usize::from(c.finished)),
        overshoots: mean(&|c| c.overshoots),
        unanswered: mean(&|c| c.unanswered),
        wrong_way: courses.iter().map(|(_, c)| c.wrong_way).sum(),
    }
}

#[test]
fn where_the_model_is_right_the_interval_holds() {
    let f = run("model right", Way::History, |_| {});
    assert!(f.coverage >= 0.85 && f.coverage_second >= 0.85, "{f:?}");
    assert!(f.error_second <= 0.2, "{f:?}");
    assert_eq!(f.wrong_way, 0, "{f:?}");
}

/// Half as much again as the rules assume.
#[test]
fn a_drifting_threshold_costs_little() {
    for (name, drift) in [
        (
            "threshold times or over 1.3 at each check",
            Drift::Factor(1.3),
        ),
        (
            "threshold drifts by 30 % (one deviation)",
            Drift::Normal(0.3),
        ),
    ] {
        let f = run(name, Way::History, |t| t.drift = drift);
        assert!(f.coverage >= 0.8, "{f:?}");
        assert_eq!(f.wrong_way, 0, "{f:?}");
    }
}

#[test]
fn one_jaw_off_is_left_out_or_held_up() {
    let f = run("jaw 1 off by 30 um", Way::History, |t| t.odd_jaw_um = 30.0);
    assert!(f.coverage >= 0.7, "{f:?}");
}

#[test]
fn the_history_is_no_worse_than_the_rule_of_thumb() {
    let ours = run("with the history", Way::History, |_| {});
    let each = run("each check by itself", Way::EachByItself, |_| {});
    let thumb = run("rule of thumb, 0.001 in a step", Way::RuleOfThumb, |_| {});
    assert!(ours.checks <= thumb.checks && ours.overshoots <= thumb.overshoots);
    assert!(ours.checks <= each.checks + 0.05 && ours.finished >= thumb.finished);
}
