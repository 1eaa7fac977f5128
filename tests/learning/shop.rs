//! A simulated shop: jaws, compound and readings drawn from the wedge model, so nothing here comes from
//! outside the project; it shows that the estimate is right where its model is, and how it fails where
//! the model is wrong.

use seepline::{
    Action, Advice, Conditions, JawSetEstimate, Knowledge, Pattern, PerSide, Reading, Rules,
    STATIONS, Timeline, steps,
};

use crate::support::draws::Draws;
use crate::support::filing::{self, um, wren};
use crate::support::readings::{full, open_base, open_tip, reading};

pub(crate) const THOU_UM: f64 = 25.4;
/// One standard deviation of a jaw's own taper.
const JAW_SD_UM: f64 = 2.5;
/// Contact over this much of the length and more is called full-length, as the pattern's judge does.
const CALLED_FULL: f64 = 0.85;
/// A shop gives up after this many checks.
const MOST_CHECKS: usize = 12;

/// What is true of a jaw set, and of the way its checks are made.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Truth {
    pub(crate) needed_um: f64,
    pub(crate) threshold_um: f64,
    /// Standard deviation of `ln h` from check to check.
    pub(crate) drift: Drift,
    /// By how much jaw 1 is off.
    pub(crate) odd_jaw_um: f64,
    pub(crate) first_taper_um: f64,
}

#[derive(Debug, Clone, Copy)]
pub(crate) enum Drift {
    /// Normal in `ln h` with this deviation.
    Normal(f64),
    /// Times and over this factor, at random.
    Factor(f64),
}

/// How the next taper is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Way {
    /// The program's advice with the history.
    History,
    /// The program's advice, each check by itself.
    EachByItself,
    /// Always a thousandth in the direction that is seen.
    RuleOfThumb,
}

/// What came of one jaw set.
#[derive(Debug, Default)]
pub(crate) struct Course {
    pub(crate) timeline: Option<Timeline>,
    pub(crate) checks: usize,
    pub(crate) finished: bool,
    /// The other end stood open than at the check before.
    pub(crate) overshoots: usize,
    /// Changes away from the needed taper.
    pub(crate) wrong_way: usize,
    /// Checks that gave no change and were not full-length.
    pub(crate) unanswered: usize,
}

impl Truth {
    /// Drawn from the rules' own prior.
    pub(crate) fn draw(draws: &mut Draws) -> Self {
        let prior = Rules::built_in().estimate().prior;
        let (all, drift) = (prior.threshold_log_sd(), prior.threshold_drift_log_sd());
        let set_sd = (all * all - drift * drift).sqrt();
        let size = -prior.error_scale().micrometres() * (1.0 - draws.uniform()).ln();
        let error = if draws.uniform() < 0.5 { size } else { -size };
        let first_taper_um = 3.0 * THOU_UM;
        Self {
            needed_um: (first_taper_um - error).max(0.0),
            threshold_um: prior.threshold_median().micrometres() * (set_sd * draws.normal()).exp(),
            drift: Drift::Normal(drift),
            odd_jaw_um: 0.0,
            first_taper_um,
        }
    }

    /// Three jaws of one check.
    fn readings(&self, draws: &mut Draws, taper_um: f64) -> Vec<Reading> {
        let h_um = self.threshold_um * self.drift.draw(draws);
        let jaw = |i: usize, draws: &mut Draws| {
            let off = if i == 0 { self.odd_jaw_um } else { 0.0 };
            let error = taper_um - self.needed_um + off + JAW_SD_UM * draws.normal();
            let touching = (h_um / error.abs()).min(1.0) + edge_error(draws);
            seen(touching.clamp(0.02, 1.0), error)
        };
        (0..3).map(|i| jaw(i, draws)).collect()
    }
}

impl Drift {
    fn draw(self, draws: &mut Draws) -> f64 {
        match self {
            Self::Normal(sd) => (sd * draws.normal()).exp(),
            Self::Factor(f) if draws.uniform() < 0.5 => f,
            Self::Factor(f) => 1.0 / f,
        }
    }
}

/// As measured on rendered photos: median 0.013 of the length, one in ten beyond 0.05.
fn edge_error(draws: &mut Draws) -> f64 {
    let sd = if draws.uniform() < 0.75 { 0.0135 } else { 0.06 };
    sd * draws.normal()
}

fn seen(touching: f64, error: f64) -> Reading {
    let jaw = if error > 0.0 {
        open_base(touching)
    } else {
        open_tip(touching)
    };
    if touching < CALLED_FULL {
        return jaw;
    }
    let profile = jaw
        .profile
        .map_or([1.0; STATIONS], |p| p.along.map(|c| c.unwrap_or(1.0)));
    if touching >= 1.0 {
        full()
    } else {
        reading(Pattern::FullLength, seepline::Method::Seep, &profile)
    }
}

/// Cuts and checks until the jaws grip along their whole length.
pub(crate) fn course(truth: &Truth, way: Way, draws: &mut Draws) -> Course {
    let now = Conditions::default();
    let (mut timeline, mut course) = (wren(), Course::default());
    let (mut taper, mut before) = (um(truth.first_taper_um), None);
    filing::cut(&mut timeline, Some(taper));
    while course.checks < MOST_CHECKS && !course.finished {
        course.checks += 1;
        let jaws = truth.readings(draws, taper.micrometres());
        let past = if way == Way::History {
            timeline.clone()
        } else {
            only_last_cut(taper)
        };
        let advice = filing::advised(&past, &jaws, &now);
        filing::file(&mut timeline, &jaws, &now, &advice);
        let side = side(&jaws);
        course.overshoots += usize::from(before.is_some_and(|b| b * side < 0));
        before = if side == 0 { before } else { Some(side) };
        course.finished = advice.action == Action::Leave;
        let Some(next) = next(way, taper, side, &advice) else {
            course.unanswered += usize::from(!course.finished);
            continue;
        };
        let away = (next - taper).micrometres() * (truth.needed_um - taper.micrometres());
        course.wrong_way += usize::from(away < 0.0);
        taper = next;
        filing::cut(&mut timeline, Some(taper));
    }
    course.timeline = Some(timeline);
    course
}

fn only_last_cut(taper: PerSide) -> Timeline {
    let mut timeline = wren();
    filing::cut(&mut timeline, Some(taper));
    timeline
}

/// +1 where most jaws stand open at the tip, −1 at the base, 0 otherwise.
fn side(jaws: &[Reading]) -> i32 {
    let count = |p: Pattern| jaws.iter().filter(|j| j.pattern == p).count();
    let (tip, base) = (count(Pattern::BaseOnly), count(Pattern::TipOnly));
    i32::from(tip * 2 > jaws.len()) - i32::from(base * 2 > jaws.len())
}

/// The next taper, `None` where the same cut is to be checked again.
fn next(way: Way, taper: PerSide, side: i32, advice: &Advice) -> Option<PerSide> {
    if way != Way::RuleOfThumb {
        let recut = advice.action == Action::Recut;
        return advice.next_taper.filter(|_| recut);
    }
    let stepped = taper.micrometres() + f64::from(side) * THOU_UM;
    (side != 0 && advice.action != Action::Leave).then(|| um(stepped.max(0.0)))
}

/// The estimates after each check of a course.
pub(crate) fn estimates(timeline: &Timeline) -> Vec<Option<JawSetEstimate>> {
    let rules = Rules::built_in().estimate();
    let all = steps(timeline, &Knowledge::default(), rules);
    all.into_iter().map(|s| s.estimate).collect()
}
