//! What a lead looks for first, over all checks of a review.

mod done;
mod drift;
mod order;
mod passes;

use crate::reading::pattern::Pattern;
use crate::taper::rules::{EstimateRules, Rules};

pub(crate) use done::WhyAgainst;
pub(crate) use drift::Drift;
pub(crate) use order::{JawSetChecks, Order};
pub(crate) use passes::PASSES_EXPECTED;

use super::{CheckLine, PhotoLine};
use crate::taper::advice::Action;

/// So many of a set's latest checks are looked at for a jaw that keeps disagreeing (assumption: older
/// ones speak of jaws that have been bored again since).
pub(crate) const ODD_LOOKED_AT: usize = 5;
/// Once is a matter of seating; the same place again is a matter of the jaw.
const ODD_TIMES: usize = 2;

/// Positions are those in the slices of checks and photos, sets are positions in [`Order::sets`].
#[derive(Debug)]
pub(crate) struct Findings {
    /// Checks whose least certain reading is below what the rules ask for, the least certain first.
    pub(crate) low_confidence: Vec<usize>,
    /// Checks where a photo was refused or broken, the latest first.
    pub(crate) refused: Vec<usize>,
    /// Latest first.
    pub(crate) against: Vec<Against>,
    /// Checks that ask for a recut about which nothing is noted; empty where nothing is noted anywhere,
    /// since then nobody keeps such notes.
    pub(crate) not_noted: Vec<usize>,
    /// True where at least one check says what was done.
    pub(crate) notes_are_kept: bool,
    /// Most passes first.
    pub(crate) many_passes: Vec<ManyPasses>,
    /// Most often first.
    pub(crate) odd_jaws: Vec<OddJaw>,
    /// Least likely by chance first.
    pub(crate) drifts: Vec<Drift>,
    flags: Vec<u16>,
}

/// A check whose advice and what was done about it disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Against {
    pub(crate) check: usize,
    pub(crate) why: WhyAgainst,
}

/// A jaw set that was cut more often than expected before it was left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ManyPasses {
    pub(crate) set: usize,
    pub(crate) passes: usize,
    /// False where tapers are not noted, so that each check that asked for a recut counts.
    pub(crate) tapers_known: bool,
    pub(crate) checks: Vec<usize>,
}

/// A place in a jaw set that disagrees again and again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct OddJaw {
    pub(crate) set: usize,
    /// In the order of the photos, from 0.
    pub(crate) place: usize,
    pub(crate) times: usize,
    /// Among so many.
    pub(crate) of: usize,
    /// Where it disagreed, oldest first.
    pub(crate) checks: Vec<usize>,
}

/// What the table filters by; one bit each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Flag {
    LowConfidence,
    Refused,
    Against,
    NotNoted,
    ManyPasses,
    OddJaw,
    Drift,
    Warning,
}

impl Flag {
    pub(crate) const ALL: [Self; 8] = [
        Self::LowConfidence,
        Self::Refused,
        Self::Against,
        Self::NotNoted,
        Self::ManyPasses,
        Self::OddJaw,
        Self::Drift,
        Self::Warning,
    ];

    fn bit(self) -> u16 {
        1 << self as u16
    }

    /// The word in the table's address.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::LowConfidence => "low-confidence",
            Self::Refused => "refused",
            Self::Against => "against",
            Self::NotNoted => "not-noted",
            Self::ManyPasses => "passes",
            Self::OddJaw => "odd-jaw",
            Self::Drift => "drift",
            Self::Warning => "warning",
        }
    }
}

impl Findings {
    pub(crate) fn of(checks: &[CheckLine], order: &Order<'_>, rules: &Rules) -> Self {
        let troubled = |c: &CheckLine| order.photos_of(c).any(is_refused);
        let notes_are_kept = checks.iter().any(|c| noted(c).is_some());
        let mut findings = Self {
            low_confidence: least_certain_first(checks, rules.estimate()),
            refused: latest_first(checks, &troubled),
            against: done::against(checks, order, rules.estimate()),
            not_noted: if notes_are_kept {
                latest_first(checks, &is_not_noted)
            } else {
                Vec::new()
            },
            notes_are_kept,
            many_passes: passes::many(checks, order),
            odd_jaws: odd_jaws(checks, order),
            drifts: drift::drifts(checks, order, rules.estimate().increment),
            flags: vec![0; checks.len()],
        };
        findings.flag_all(checks, order);
        findings
    }

    /// Whether a check has a flag.
    pub(crate) fn has(&self, check: usize, flag: Flag) -> bool {
        self.bits(check) & flag.bit() != 0
    }

    /// All flags of a check, bit n for the n-th of [`Flag::ALL`].
    pub(crate) fn bits(&self, check: usize) -> u16 {
        self.flags.get(check).copied().unwrap_or_default()
    }

    /// How many checks have a flag.
    pub(crate) fn count(&self, flag: Flag) -> usize {
        self.flags.iter().filter(|f| *f & flag.bit() != 0).count()
    }

    fn flag_all(&mut self, checks: &[CheckLine], order: &Order<'_>) {
        let mut flags = std::mem::take(&mut self.flags);
        let mut put = |flag: Flag, at: &mut dyn Iterator<Item = usize>| {
            at.for_each(|i| flags[i] |= flag.bit());
        };
        put(
            Flag::LowConfidence,
            &mut self.low_confidence.iter().copied(),
        );
        put(Flag::Refused, &mut self.refused.iter().copied());
        put(Flag::Against, &mut self.against.iter().map(|a| a.check));
        put(Flag::NotNoted, &mut self.not_noted.iter().copied());
        let passes = self.many_passes.iter().flat_map(|m| &m.checks);
        put(Flag::ManyPasses, &mut passes.copied());
        let odd = self.odd_jaws.iter().flat_map(|o| &o.checks);
        put(Flag::OddJaw, &mut odd.copied());
        let drifts = self.drifts.iter().flat_map(|d| &d.checks);
        put(Flag::Drift, &mut drifts.copied());
        let warns = |i: &usize| order.photos_of(&checks[*i]).any(|p| !p.warnings.is_empty());
        put(Flag::Warning, &mut (0..checks.len()).filter(warns));
        self.flags = flags;
    }
}

/// Whether a photo yields no reading.
pub(crate) fn is_refused(photo: &PhotoLine) -> bool {
    photo.refusal.is_some() || photo.error.is_some()
}

fn noted(check: &CheckLine) -> Option<&str> {
    check.done.as_deref().filter(|d| !d.trim().is_empty())
}

fn is_not_noted(check: &CheckLine) -> bool {
    check.action == Action::Recut && noted(check).is_none()
}

/// Below what the rules ask for before a reading of that pattern is acted on. A check without any
/// reading is a refusal, not a low confidence.
fn is_uncertain(check: &CheckLine, rules: &EstimateRules) -> bool {
    let least = match check.pattern {
        Pattern::FullLength | Pattern::TipOnly | Pattern::BaseOnly => rules.least_confidence,
        _ => rules.least_confidence_other,
    };
    check.confidence > 0.0 && check.confidence < least
}

fn least_certain_first(checks: &[CheckLine], rules: &EstimateRules) -> Vec<usize> {
    let mut found = latest_first(checks, &|c| is_uncertain(c, rules));
    found.sort_by(|a, b| checks[*a].confidence.total_cmp(&checks[*b].confidence));
    found
}

fn latest_first(checks: &[CheckLine], wanted: &dyn Fn(&CheckLine) -> bool) -> Vec<usize> {
    let mut found: Vec<usize> = (0..checks.len()).filter(|i| wanted(&checks[*i])).collect();
    found.sort_by(|a, b| {
        let key = |i: &usize| (&checks[*i].made, &checks[*i].check);
        key(b).cmp(&key(a))
    });
    found
}

fn odd_jaws(checks: &[CheckLine], order: &Order<'_>) -> Vec<OddJaw> {
    let mut found: Vec<OddJaw> = order
        .named()
        .filter_map(|(set, s)| odd_jaw(set, s, checks))
        .collect();
    found.sort_by_key(|o| std::cmp::Reverse(o.times));
    found
}

fn odd_jaw(set: usize, of: &JawSetChecks<'_>, checks: &[CheckLine]) -> Option<OddJaw> {
    let judged = |i: &&usize| checks[**i].pattern != Pattern::Unreadable;
    let latest: Vec<usize> = of.dated(checks).rev().filter(judged).copied().collect();
    let latest = latest.get(..ODD_LOOKED_AT).unwrap_or(&latest);
    let at = |place: usize| -> Vec<usize> {
        let odd_there = |i: &&usize| checks[**i].odd_jaw == Some(place);
        latest.iter().rev().filter(odd_there).copied().collect()
    };
    let places = latest.iter().filter_map(|i| checks[*i].odd_jaw);
    // Of places that are equally often odd, the one that was so last.
    let place = places.max_by_key(|p| at(*p).len())?;
    let checks = at(place);
    (checks.len() >= ODD_TIMES).then_some(OddJaw {
        set,
        place,
        times: checks.len(),
        of: latest.len(),
        checks,
    })
}
