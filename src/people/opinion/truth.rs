//! What was right about a check, and how that is known.
//!
//! In this order: the outcome that later cuts proved, a lead's ruling, a feeler, the program's reading.

use serde::{Deserialize, Serialize};

use super::Call;
use super::change::CalledChange;
use crate::people::records::Answer;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::taper::advice::Action;
use crate::taper::learning::{Interval, Knowledge, Standing, Step, steps};
use crate::taper::records::{CutTimeline, FiledAdvice, FiledCheck, Id, Timeline};
use crate::taper::rules::EstimateRules;
use crate::units::PerSide;

/// What was right.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// The pattern.
    pub pattern: Pattern,
    /// The change that was right, signed, per side, with its interval: zero to leave the taper; `None`
    /// where no change was to be made, since something else came first or nothing could be judged.
    pub change: Option<Interval>,
    /// How it is known.
    pub by: Basis,
}

/// How it is known what was right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Later cuts and checks of the same set proved it.
    Outcome,
    /// A lead ruled it.
    Ruling,
    /// A feeler at the open end showed it.
    Measured,
    /// Nothing better is known than what the program reads.
    Program,
    /// A table that came with the photos says it.
    Table,
}

impl Basis {
    /// As a clause: `as later cuts of the set proved`.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Outcome => "as later cuts of the set proved",
            Self::Ruling => "as a lead ruled",
            Self::Measured => "as a feeler at the open end showed",
            Self::Program => "as the program reads it; nothing proves it",
            Self::Table => "as the table that came with the photos says",
        }
    }
}

/// What was right about a check of the timeline; `ruling` is the lead's that stands. `None` where nobody
/// knows: no such check, or the program would have the photo taken again.
pub fn truth(
    check: Id,
    timeline: &Timeline,
    ruling: Option<&Call>,
    rules: &EstimateRules,
) -> Option<Truth> {
    let said = ruling.map(|call| Word {
        call,
        by: Basis::Ruling,
    });
    Outcomes::of(timeline, rules).truth(check, said)
}

/// What somebody said was right, and what they went by: [`Basis::Ruling`] or [`Basis::Measured`].
#[derive(Debug, Clone, Copy)]
pub(crate) struct Word<'a> {
    pub(crate) call: &'a Call,
    pub(crate) by: Basis,
}

/// A timeline with the estimate after each of its checks, to ask about many of them.
pub(crate) struct Outcomes<'a> {
    timeline: &'a Timeline,
    rules: &'a EstimateRules,
    steps: Vec<Step>,
}

/// What the program advises on a check; `None` where it would have the photos taken again, or asks for a word,
/// though it made out something.
pub(crate) fn answer(advice: &FiledAdvice) -> Option<Answer> {
    // A pattern that the program would not act on is no answer of its own. Unreadable is one: take the
    // photo again.
    let stops = matches!(
        advice.action,
        Action::Retake | Action::Settle | Action::Held
    );
    let unsettled = stops && advice.pattern != Pattern::Unreadable;
    let with_ends = |median: PerSide| Interval {
        low: advice.low.unwrap_or(median),
        median,
        high: advice.high.unwrap_or(median),
    };
    (!unsettled).then(|| Answer {
        pattern: advice.pattern,
        change: advice.change.map(with_ends),
    })
}

fn of_program(advice: &FiledAdvice) -> Option<Truth> {
    answer(advice).map(|a| Truth {
        pattern: a.pattern,
        change: a.change,
        by: Basis::Program,
    })
}

fn of_word(Word { call, by }: Word<'_>) -> Truth {
    Truth {
        pattern: call.pattern,
        change: call.change.per_side().map(exactly),
        by,
    }
}

fn find(check: Id, timeline: &Timeline) -> Option<&FiledCheck> {
    timeline.checks().find(|c| c.id == check)
}

impl<'a> Outcomes<'a> {
    /// Costs about a millisecond a check.
    pub(crate) fn of(timeline: &'a Timeline, rules: &'a EstimateRules) -> Self {
        Self {
            timeline,
            rules,
            steps: steps(timeline, &Knowledge::default(), rules),
        }
    }

    /// See [`truth`].
    pub(crate) fn truth(&self, check: Id, said: Option<Word<'_>>) -> Option<Truth> {
        let advice = &find(check, self.timeline)?.advice;
        self.independent(check, said).or_else(|| of_program(advice))
    }

    /// As far as it is known without the program's reading of the check.
    pub(crate) fn independent(&self, check: Id, said: Option<Word<'_>>) -> Option<Truth> {
        self.outcome(check).or_else(|| said.map(of_word))
    }

    /// The change that the check should have asked for: the needed taper, as the later checks up to the one
    /// that gripped along its whole length show it, less the taper that this check was made at. The check's
    /// own reading has no part in it, since it is what is judged.
    ///
    /// `None` where the set was not finished later under the same conditions, where the check says nothing
    /// of the taper, and where the interval does not tell which way it was off.
    fn outcome(&self, check: Id) -> Option<Truth> {
        let at = self.steps.iter().position(|s| s.check == check)?;
        let taper = self.steps[at].taper.filter(|_| counts(&self.steps[at]))?;
        let finished = finished_after(&self.steps, at)?;
        let later = &self.steps[at + 1..=finished];
        // Nothing was cut in between and the jaws grip in the end: the taper was right all along.
        if later.iter().all(|s| s.taper == Some(taper)) {
            return Some(proved(Pattern::FullLength, exactly(PerSide::ZERO)));
        }
        // Estimated anew: the steps at hand have this check's own reading in them.
        let known = steps(&self.only(later), &Knowledge::default(), self.rules);
        let needed = known.last()?.estimate.as_ref()?.needed;
        let change = Interval {
            low: needed.low - taper,
            median: needed.median - taper,
            high: needed.high - taper,
        };
        match (change.low, change.high) {
            // Negative: taper had to come off, so the tip touched and the base was open.
            (_, high) if high < PerSide::ZERO => Some(proved(Pattern::TipOnly, change)),
            (low, _) if low > PerSide::ZERO => Some(proved(Pattern::BaseOnly, change)),
            // Zero lies within: which way it was off is not proved, so a ruling or the reading has to say.
            _ => None,
        }
    }

    /// The timeline with these checks alone.
    fn only(&self, kept: &[Step]) -> Timeline {
        let is_kept = |c: &&FiledCheck| kept.iter().any(|s| s.check == c.id);
        let cuts = self.timeline.cuts.iter().map(|of_cut| CutTimeline {
            cut: of_cut.cut.clone(),
            checks: of_cut.checks.iter().filter(is_kept).cloned().collect(),
        });
        Timeline {
            jaw_set: self.timeline.jaw_set.clone(),
            cuts: cuts.filter(|c| !c.checks.is_empty()).collect(),
        }
    }
}

fn proved(pattern: Pattern, change: Interval) -> Truth {
    Truth {
        pattern,
        change: Some(change),
        by: Basis::Outcome,
    }
}

pub(super) fn exactly(by: PerSide) -> Interval {
    Interval {
        low: by,
        median: by,
        high: by,
    }
}

/// Whether the check says anything of the taper.
fn counts(step: &Step) -> bool {
    is_taper(step.pattern) && !matches!(step.standing, Standing::LeftOut(_))
}

/// The first later check that gripped along its whole length, while every check in between that counts
/// speaks of the same needed taper. Where one contradicts those before, which of them was misread is not
/// known.
fn finished_after(all: &[Step], at: usize) -> Option<usize> {
    for (index, step) in all.iter().enumerate().skip(at + 1) {
        match step.standing {
            Standing::Combined(_) if step.pattern == Pattern::FullLength => return Some(index),
            Standing::LeftOut(_) | Standing::Combined(_) => {}
            // Something changed, or was misread: from here on the checks speak of another needed taper.
            _ => return None,
        }
    }
    None
}

impl Truth {
    /// Whether it is known by something other than a reading or what somebody's table says.
    pub(crate) fn proves(&self) -> bool {
        !matches!(self.by, Basis::Program | Basis::Table)
    }

    /// To hold a call against it as against what the program reads.
    pub(crate) fn answer(&self) -> Answer {
        Answer {
            pattern: self.pattern,
            change: self.change,
        }
    }

    /// As a call that is exactly right.
    pub fn change_called(&self) -> CalledChange {
        match self.change {
            None => CalledChange::NoChange,
            Some(c) if c.median == PerSide::ZERO => CalledChange::Leave,
            Some(c) => CalledChange::Change(c.median),
        }
    }
}
