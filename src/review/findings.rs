//! What a lead looks for first, over all checks of a review.

mod done;
mod drift;
mod first;
mod order;
mod passes;

use std::cmp::Reverse;

use crate::reading::pattern::Pattern;
use crate::taper::rules::EstimateRules;

pub(crate) use done::WhyAgainst;
pub(crate) use drift::Drift;
pub(crate) use first::First;
pub(crate) use order::Order;
pub(crate) use passes::PASSES_EXPECTED;

use super::{CheckLine, PhotoLine};
use crate::taper::advice::Action;
use crate::units::PerSide;

/// So many of a set's latest checks are looked at for a jaw that keeps disagreeing (assumption: older
/// ones speak of jaws that have been bored again since).
pub(crate) const ODD_LOOKED_AT: usize = 5;
/// Once is a matter of seating; the same place again is a matter of the jaw.
const ODD_TIMES: usize = 2;

/// Checks are their places among the lines, sets are positions in [`Order::sets`].
#[derive(Debug, Default)]
pub(crate) struct Findings {
    /// Checks whose least certain reading is below what the rules ask for, the least certain first.
    pub(crate) low_confidence: First<(u64, Latest), usize>,
    /// Checks where a photo was refused or broken, the latest first.
    pub(crate) refused: First<Latest, usize>,
    /// Latest first.
    pub(crate) against: First<Latest, (usize, WhyAgainst)>,
    /// Checks that ask for a recut about which nothing is noted; empty where nothing is noted anywhere,
    /// since then nobody keeps such notes.
    pub(crate) not_noted: First<Latest, usize>,
    /// True where at least one check says what was done.
    pub(crate) notes_are_kept: bool,
    /// Most passes first.
    pub(crate) many_passes: Vec<ManyPasses>,
    /// Most often first.
    pub(crate) odd_jaws: Vec<OddJaw>,
    /// Least likely by chance first.
    pub(crate) drifts: Vec<Drift>,
    flags: Vec<u16>,
    against_each: Vec<Option<WhyAgainst>>,
}

/// Finds what stands out in checks that are taken in one after the other, as [`super::Lines`] has them: the checks of one jaw set are
/// held at a time, of the others some bytes each.
#[derive(Debug)]
pub(crate) struct Finder<'a> {
    rules: &'a EstimateRules,
    order: Order,
    findings: Findings,
    set: Vec<Seen>,
}

/// As much of a check as is asked for when all of its set are known.
#[derive(Debug)]
struct Seen {
    at: usize,
    latest: Latest,
    taper: Option<PerSide>,
    change: Option<PerSide>,
    pattern: Pattern,
    action: Action,
    odd_jaw: Option<usize>,
    /// What the words about it say against its advice.
    words: Option<WhyAgainst>,
}

/// Sorts the latest check first. Times are ISO 8601 and sort as text; the id settles photos of the same second, and what
/// has no time comes last.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Latest(Reverse<(Option<String>, String)>);

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

impl<'a> Finder<'a> {
    pub(crate) fn by(rules: &'a EstimateRules) -> Self {
        Self {
            rules,
            order: Order::default(),
            findings: Findings::default(),
            set: Vec::new(),
        }
    }

    /// Takes in the next check, with its photos as far as they are among the photos.
    pub(crate) fn add<'p>(
        &mut self,
        check: &CheckLine,
        photos: impl Iterator<Item = &'p PhotoLine>,
    ) {
        if self.order.add(check) {
            self.end_set();
        }
        let at = self.order.len() - 1;
        let found = &mut self.findings;
        let seen = Seen::of(at, check, self.rules);
        let mut bits = 0;
        if is_uncertain(check, self.rules) {
            bits |= Flag::LowConfidence.bit();
            // Positive numbers sort as their bits do; of equally uncertain ones the latest is first.
            let key = (check.confidence.to_bits(), seen.latest.clone());
            found.low_confidence.offer(key, at);
        }
        for photo in photos {
            if is_refused(photo) {
                bits |= Flag::Refused.bit();
            }
            if !photo.warnings.is_empty() {
                bits |= Flag::Warning.bit();
            }
        }
        if bits & Flag::Refused.bit() != 0 {
            found.refused.offer(seen.latest.clone(), at);
        }
        found.notes_are_kept |= noted(check).is_some();
        if is_not_noted(check) {
            bits |= Flag::NotNoted.bit();
            found.not_noted.offer(seen.latest.clone(), at);
        }
        found.flags.push(bits);
        found.against_each.push(None);
        self.set.push(seen);
    }

    /// What a set shows that needs all of its checks.
    fn end_set(&mut self) {
        let checks = std::mem::take(&mut self.set);
        let Some(set) = checks.first().map(|seen| self.order.set_of(seen.at)) else {
            return;
        };
        let is_named = self.order.sets[set].name.is_some();
        let dated = &checks[checks.partition_point(|seen| !seen.latest.is_dated())..];
        for (i, seen) in checks.iter().enumerate() {
            // Checks without a set have nothing to do with each other.
            let next = checks.get(i + 1).filter(|_| is_named);
            if let Some(why) = done::why(seen, next) {
                self.findings.flag(seen.at, Flag::Against);
                self.findings.against_each[seen.at] = Some(why);
                self.findings
                    .against
                    .offer(seen.latest.clone(), (seen.at, why));
            }
        }
        if is_named {
            self.findings.many_passes.extend(passes::worst(set, dated));
            self.findings.odd_jaws.extend(odd_jaw(set, dated));
            self.findings.drifts.extend(drift::tested(set, dated));
        }
    }

    /// What was found, when all are taken in.
    pub(crate) fn finish(mut self) -> (Order, Findings) {
        self.end_set();
        let mut found = self.findings;
        found.many_passes.sort_by_key(|m| Reverse(m.passes));
        found.odd_jaws.sort_by_key(|o| Reverse(o.times));
        drift::keep(&mut found.drifts, self.rules.increment);
        found.flag_all();
        (self.order, found)
    }
}

impl Seen {
    fn of(at: usize, check: &CheckLine, rules: &EstimateRules) -> Self {
        Self {
            at,
            latest: Latest(Reverse((check.made.clone(), check.check.clone()))),
            taper: check.taper,
            change: check.change,
            pattern: check.pattern,
            action: check.action,
            odd_jaw: check.odd_jaw,
            words: done::by_words(check, rules),
        }
    }
}

impl Latest {
    fn is_dated(&self) -> bool {
        self.0.0.0.is_some()
    }
}

impl Findings {
    /// Whether a check has a flag.
    pub(crate) fn has(&self, check: usize, flag: Flag) -> bool {
        self.bits(check) & flag.bit() != 0
    }

    /// All flags of a check, bit n for the n-th of [`Flag::ALL`].
    pub(crate) fn bits(&self, check: usize) -> u16 {
        self.flags.get(check).copied().unwrap_or_default()
    }

    /// Why what was done about a check goes against its advice, where it does.
    pub(crate) fn why_against(&self, check: usize) -> Option<WhyAgainst> {
        self.against_each.get(check).copied().flatten()
    }

    /// How many checks have a flag.
    pub(crate) fn count(&self, flag: Flag) -> usize {
        self.flags.iter().filter(|f| *f & flag.bit() != 0).count()
    }

    fn flag(&mut self, check: usize, flag: Flag) {
        self.flags[check] |= flag.bit();
    }

    /// What is known when all checks are.
    fn flag_all(&mut self) {
        if !self.notes_are_kept {
            self.not_noted = First::default();
            self.flags
                .iter_mut()
                .for_each(|f| *f &= !Flag::NotNoted.bit());
        }
        let passes = self.many_passes.iter().flat_map(|m| &m.checks);
        let passes = passes.map(|i| (*i, Flag::ManyPasses));
        let odd = self.odd_jaws.iter().flat_map(|o| &o.checks);
        let odd = odd.map(|i| (*i, Flag::OddJaw));
        let drifts = self.drifts.iter().flat_map(|d| &d.checks);
        let drifts = drifts.map(|i| (*i, Flag::Drift));
        for (check, flag) in passes.chain(odd).chain(drifts) {
            self.flags[check] |= flag.bit();
        }
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
        // These may change a taper, so the rules have a limit of their own for them.
        Pattern::FullLength | Pattern::TipOnly | Pattern::BaseOnly => rules.least_confidence,
        _ => rules.least_confidence_other,
    };
    check.confidence > 0.0 && check.confidence < least
}

/// Of its checks with a date, oldest first.
fn odd_jaw(set: usize, dated: &[Seen]) -> Option<OddJaw> {
    // Where nothing could be judged no jaw could disagree: such a check would only push a telling one out.
    let judged = |seen: &&Seen| seen.pattern != Pattern::Unreadable;
    let latest = dated.iter().rev().filter(judged).take(ODD_LOOKED_AT);
    let latest: Vec<&Seen> = latest.collect();
    let at = |place: usize| -> Vec<usize> {
        let odd_there = latest.iter().rev().filter(|s| s.odd_jaw == Some(place));
        odd_there.map(|s| s.at).collect()
    };
    let places = latest.iter().rev().filter_map(|s| s.odd_jaw);
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
