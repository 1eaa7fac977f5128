//! Where a shop stands.

use serde::Serialize;

use super::binomial::{self, Bounds, bounds, median_interval};
use super::judged::{Judged, Verdict};
use super::plan::{Plan, ProveOut};
use super::watch::Watch;
use crate::taper::records::Id;
use crate::units::PerSide;

/// The prove-out that stands: the one begun last.
pub fn current(all: &[ProveOut]) -> Option<&ProveOut> {
    all.iter().max_by_key(|p| (p.begun, p.id))
}

/// What was counted of checks of which it is known what was right.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Judged, answered or not.
    pub judged: u32,
    /// Of these, answered.
    pub answered: u32,
    /// Of these, right pattern and right way.
    pub right: u32,
    /// The wrong way.
    pub wrong_way: u32,
    /// A cut for nothing.
    pub for_nothing: u32,
    /// A change that was missed.
    pub missed: u32,
    /// Answers that asked for a change.
    pub asked_change: u32,
}

/// How far it came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Progress {
    /// Checks are still to come.
    UnderWay,
    /// The plan is fulfilled, and a lead has to end it.
    Fulfilled,
    /// This check went the wrong way.
    WentWrong(Id),
    /// Ended before the plan was fulfilled.
    EndedEarly,
    /// Ended with the plan fulfilled.
    Proven,
}

/// A prove-out with all that was judged under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// The record.
    pub prove_out: ProveOut,
    /// Which one of this shop: 1 for the first.
    pub attempt: usize,
    /// How far it came.
    pub progress: Progress,
    /// The checks that it rests on.
    pub counts: Counts,
    /// Answered and judged after its end.
    pub since: Counts,
    /// Whether answers and outcomes have drifted apart since.
    pub watch: Watch,
    /// All checks behind these, in the order in which they were answered.
    pub judged: Vec<Judged>,
}

impl Counts {
    /// Of these checks.
    pub fn of<'a>(judged: impl IntoIterator<Item = &'a Judged>) -> Self {
        let mut counts = Self::default();
        for one in judged {
            counts.judged += 1;
            counts.answered += u32::from(one.verdict != Verdict::Unanswered);
            counts.right += u32::from(one.verdict == Verdict::Right);
            counts.wrong_way += u32::from(one.verdict == Verdict::WrongWay);
            counts.for_nothing += u32::from(one.verdict == Verdict::ForNothing);
            counts.missed += u32::from(one.verdict == Verdict::Missed);
            counts.asked_change += u32::from(one.asked_change);
        }
        counts
    }

    /// What these checks show of answers that go the wrong way: at most this share, 0 to 1, one-sided.
    pub fn wrong_way_at_most(&self, confidence: f64) -> f64 {
        binomial::upper(
            u64::from(self.wrong_way),
            u64::from(self.answered),
            1.0 - confidence,
        )
    }

    /// Of answers that asked for a change, as [`Self::wrong_way_at_most`].
    pub fn wrong_changes_at_most(&self, confidence: f64) -> f64 {
        binomial::upper(
            u64::from(self.wrong_way),
            u64::from(self.asked_change),
            1.0 - confidence,
        )
    }

    /// Wrong way, cut for nothing, right pattern and way, each of the answers; and answers, of what was judged.
    pub fn shares(&self, confidence: f64) -> [(&'static str, Bounds); 4] {
        let of = |count: u32, whole: u32| bounds(count.into(), whole.into(), confidence);
        [
            ("the wrong way", of(self.wrong_way, self.answered)),
            ("cut for nothing", of(self.for_nothing, self.answered)),
            ("right pattern and way", of(self.right, self.answered)),
            ("answered", of(self.answered, self.judged)),
        ]
    }
}

impl Proof {
    /// Of all prove-outs and of all that was judged under the one that stands; `None` where none was begun.
    pub fn of(all: &[ProveOut], mut judged: Vec<Judged>) -> Option<Self> {
        let prove_out = current(all)?.clone();
        judged.sort_by_key(|j| (j.at, j.check));
        let rests_on = |j: &&Judged| {
            let ended = prove_out.ended.as_ref();
            // What it did not answer until then is told apart, but belongs there.
            let until = |at| j.verdict == Verdict::Unanswered && j.at <= at;
            ended.is_none_or(|e| e.counted.contains(&j.check) || until(e.at))
        };
        let (counted, later): (Vec<&Judged>, Vec<&Judged>) = judged.iter().partition(rests_on);
        let counts = Counts::of(counted.iter().copied());
        Some(Self {
            attempt: all.iter().filter(|p| p.begun <= prove_out.begun).count(),
            progress: progress(&prove_out, &counted),
            counts,
            since: Counts::of(later.iter().copied()),
            watch: Watch::over(later.iter().map(|j| j.verdict)),
            judged,
            prove_out,
        })
    }

    /// Whether the plan was fulfilled, ended, and nothing that it rests on has turned out the wrong way since.
    pub fn is_proven(&self) -> bool {
        self.progress == Progress::Proven
    }

    /// Whether what to change is kept back.
    pub fn holds(&self) -> bool {
        self.prove_out.plan.held && !self.is_proven()
    }

    /// Checks that the plan still takes.
    pub fn to_go(&self) -> u32 {
        self.prove_out
            .plan
            .checks
            .saturating_sub(self.counts.answered)
    }

    /// The checks that were answered and judged, as an end counts them.
    pub fn answered(&self) -> Vec<Id> {
        let answered = |j: &&Judged| j.verdict != Verdict::Unanswered;
        self.judged
            .iter()
            .filter(answered)
            .map(|j| j.check)
            .collect()
    }

    /// Amount answered less the right one, per side, where later cuts showed it: how many, the middle one, and between
    /// what the median lies, which so few as five do not tell.
    pub fn amount_off(&self) -> Option<(usize, PerSide, Option<[PerSide; 2]>)> {
        let mut off: Vec<PerSide> = self.judged.iter().filter_map(|j| j.amount_off).collect();
        off.sort_unstable();
        let middle = *off.get(off.len().checked_sub(1)? / 2)?;
        let ends = median_interval(off.len(), Plan::CONFIDENCE);
        Some((off.len(), middle, ends.map(|(a, b)| [off[a], off[b]])))
    }

    /// Checks more, none of them the wrong way, that each of these claims takes: at most this share.
    pub fn more_for(&self, at_most: f64) -> Option<u32> {
        let needed = Plan::needed(at_most, self.prove_out.plan.confidence);
        // After a wrong way no number of this prove-out bears a claim.
        (self.counts.wrong_way == 0).then(|| needed.saturating_sub(self.counts.answered))
    }
}

fn progress(prove_out: &ProveOut, counted: &[&Judged]) -> Progress {
    let wrong = counted.iter().find(|j| j.verdict == Verdict::WrongWay);
    if let Some(wrong) = wrong {
        return Progress::WentWrong(wrong.check);
    }
    let answered = Counts::of(counted.iter().copied()).answered;
    match prove_out.ended {
        Some(_) if prove_out.is_fulfilled() => Progress::Proven,
        Some(_) => Progress::EndedEarly,
        None if answered >= prove_out.plan.checks => Progress::Fulfilled,
        None => Progress::UnderWay,
    }
}
