//! Whether what was done goes against what would be advised today.
//!
//! What was done is a setter's free text, so it counts as against the advice only where it is clear: it
//! speaks of the taper, says one direction and not the other, denies nothing, and names no other work
//! that its words could be about. Where the next check's taper is noted it tells more than any words.

use super::{Seen, noted};
use crate::review::CheckLine;
use crate::taper::advice::Action;
use crate::taper::rules::EstimateRules;
use crate::units::{Length, PerSide};

/// What goes against the advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WhyAgainst {
    /// A recut was advised, and the next check's taper lies the other way.
    CutTheOtherWay,
    /// A recut was advised, and the words say the other direction.
    SaysTheOtherWay,
    /// A recut was advised, and the words say that nothing was cut.
    SaysLeft,
    /// No taper change was advised, and the words say one.
    SaysCut,
    /// The direction is the one advised, the amount is neither in the interval nor near it.
    SaysAnotherAmount,
}

/// Longer notes are read no further.
const LONGEST: usize = 2000;
/// Words of a denial, or of what was not done in the end.
const DENIALS: [&str; 8] = [
    "not", "no", "never", "without", "instead", "almost", "don't", "didn't",
];
/// Work that the directions could be about.
const OTHER_WORK: [&str; 10] = [
    "burr", "burrs", "chip", "chips", "spot", "pressure", "psi", "bar", "torque", "diameter",
];
/// Words for more taper.
const MORE: [&str; 6] = ["more", "add", "added", "adding", "increased", "increase"];
/// Words for less taper.
const LESS: [&str; 8] = [
    "less",
    "reduced",
    "reduce",
    "removed",
    "remove",
    "decreased",
    "decrease",
    "off",
];
/// Phrases that say that the taper stayed.
const LEFT: [&str; 6] = [
    "left it",
    "left as",
    "as it was",
    "as it is",
    "as is",
    "nothing done",
];

/// What goes against the advice of a check; `next` is the one after it in its set, in the order of [`crate::review::Lines`].
pub(super) fn why(check: &Seen, next: Option<&Seen>) -> Option<WhyAgainst> {
    // Where a date is missing nothing says which of two came first.
    let next = next.filter(|_| check.latest.is_dated());
    // What was cut next tells more than words about it.
    by_taper(check, next).or(check.words)
}

/// Against the direction only: how far to go is the setter's, and a set that was bored for other work
/// may have any taper, but rarely at once after a check.
fn by_taper(check: &Seen, next: Option<&Seen>) -> Option<WhyAgainst> {
    let (change, cut) = (check.change?, next?.taper? - check.taper?);
    let opposite = (change > PerSide::ZERO && cut < PerSide::ZERO)
        || (change < PerSide::ZERO && cut > PerSide::ZERO);
    (check.action == Action::Recut && opposite).then_some(WhyAgainst::CutTheOtherWay)
}

pub(super) fn by_words(check: &CheckLine, rules: &EstimateRules) -> Option<WhyAgainst> {
    // By characters: cutting bytes could split one.
    let text: String = noted(check)?.chars().take(LONGEST).collect();
    let note = Note::of(&text);
    if check.action != Action::Recut {
        // Whichever way: no cut was asked for.
        return note.direction().map(|_| WhyAgainst::SaysCut);
    }
    let advised = check.change.filter(|c| *c != PerSide::ZERO)?;
    match note.direction() {
        Some(more) if more != (advised > PerSide::ZERO) => Some(WhyAgainst::SaysTheOtherWay),
        Some(_) => note
            .amount()
            .filter(|said| !is_near(*said, check, rules))
            .map(|_| WhyAgainst::SaysAnotherAmount),
        None => note.says_left().then_some(WhyAgainst::SaysLeft),
    }
}

/// Whether an amount can be the advised change, the present or the next taper, per side or on the
/// diameter; within one step of the shop's.
fn is_near(said: Length, check: &CheckLine, rules: &EstimateRules) -> bool {
    // Per side, and on the diameter as if it were per side: which one was meant is not written.
    let said = PerSide::of(said).abs();
    let close = |low: PerSide, high: PerSide| {
        // A shop rounds to its own step.
        let (low, high) = (low - rules.increment, high + rules.increment);
        let twice = |t: PerSide| PerSide::of(t.on_diameter().length());
        (low..=high).contains(&said) || (twice(low)..=twice(high)).contains(&said)
    };
    // Notes seldom have a sign (“took off 1 thou”): sizes are compared, the direction was already.
    let size = |ends: [Option<PerSide>; 3]| {
        let sizes = || ends.into_iter().flatten().map(PerSide::abs);
        Some((sizes().min()?, sizes().max()?))
    };
    let changes = size([check.change, check.low, check.high]);
    let tapers = [check.taper, check.next_taper]
        .into_iter()
        .flatten()
        .map(|t| (t, t));
    changes.into_iter().chain(tapers).any(|(l, h)| close(l, h))
}

/// A setter's words.
struct Note {
    text: String,
    words: Vec<String>,
}

impl Note {
    fn of(text: &str) -> Self {
        // Phones write the curved apostrophe in “didn’t”.
        let text = text.to_lowercase().replace('’', "'");
        let of_word = |c: char| c.is_alphabetic() || c == '\'';
        let words = text.split(|c| !of_word(c)).filter(|w| !w.is_empty());
        let words = words.map(str::to_owned).collect();
        Self { text, words }
    }

    fn any(&self, list: &[&str]) -> bool {
        self.words.iter().any(|w| list.contains(&w.as_str()))
    }

    fn is_unclear(&self) -> bool {
        self.any(&DENIALS) || self.any(&OTHER_WORK)
    }

    /// True for more taper, false for less; `None` where it is not clear.
    fn direction(&self) -> Option<bool> {
        // “Took 1 thou more off” may be about stock or diameter; a false finding costs a lead's trust in
        // the true ones.
        if self.is_unclear() || !self.any(&["taper"]) {
            return None;
        }
        match (self.any(&MORE), self.any(&LESS)) {
            (true, false) => Some(true),
            (false, true) => Some(false),
            _ => None,
        }
    }

    fn says_left(&self) -> bool {
        let left = LEFT.iter().any(|phrase| self.text.contains(phrase));
        let cut = ["cut", "recut", "bored", "skimmed"];
        left && !self.is_unclear() && !self.any(&cut)
    }

    /// The one length in it; `None` where there are more.
    fn amount(&self) -> Option<Length> {
        let tokens: Vec<&str> = self.text.split_whitespace().collect();
        let at = |i: usize| {
            let token = tokens[i].trim_end_matches([',', '.', ';', ':', ')']);
            let next = tokens.get(i + 1).copied().unwrap_or_default();
            let next = next.trim_end_matches([',', '.', ';', ':', ')']);
            // “1thou” is one word, “1 thou” are two.
            let alone = token.parse::<Length>();
            alone.or_else(|_| format!("{token}{next}").parse()).ok()
        };
        let mut lengths = (0..tokens.len()).filter_map(at);
        let first = lengths.next()?;
        lengths.next().is_none().then_some(first)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Finder;
    use super::*;
    use crate::reading::pattern::Pattern;
    use crate::taper::advice::Grip;
    use crate::taper::rules::Rules;

    fn thou(tenths: i32) -> PerSide {
        PerSide::of(Length::from_tenths(tenths))
    }

    fn check(action: Action, change: i32, done: &str) -> CheckLine {
        let number = matches!(action, Action::Recut | Action::Leave);
        CheckLine {
            check: String::new(),
            jaw_set: None,
            made: None,
            photos: Vec::new(),
            grip: Grip::Outside,
            taper: Some(thou(30)),
            pattern: Pattern::TipOnly,
            action,
            confidence: 0.9,
            change: number.then(|| thou(change)),
            low: number.then(|| thou(change - 5)),
            high: number.then(|| thou(change + 5)),
            next_taper: number.then(|| thou(30 + change)),
            odd_jaw: None,
            what_to_do: String::new(),
            why: String::new(),
            look_at_first: Vec::new(),
            done: Some(done.to_owned()),
            rules: String::new(),
            jaws: Vec::new(),
            perhaps_one_jaw: Vec::new(),
            proof: None,
        }
    }

    fn why(action: Action, change: i32, done: &str) -> Option<WhyAgainst> {
        by_words(&check(action, change, done), Rules::built_in().estimate())
    }

    #[test]
    fn only_clear_words_go_against_the_advice() {
        use Action::{FixFirst, Leave, Recut, Retake};
        use WhyAgainst::{SaysAnotherAmount, SaysCut, SaysLeft, SaysTheOtherWay};
        for (action, change, done, expected) in [
            (Recut, -10, "added taper", Some(SaysTheOtherWay)),
            (
                Recut,
                10,
                "Took 1 thou off the taper.",
                Some(SaysTheOtherWay),
            ),
            (Recut, -10, "less taper", None),
            (Recut, -10, "recut with less taper, 1 thou", None),
            (Recut, -10, "less taper, 2.0 thou on the diameter", None),
            (Recut, -10, "less taper, now 2 thou", None),
            (Recut, -10, "less taper by 0.2 mm", Some(SaysAnotherAmount)),
            (Recut, -10, "less taper: 9thou", Some(SaysAnotherAmount)),
            (Recut, -10, "less taper, from 9 thou to 7 thou", None),
            (Recut, -10, "left as it was", Some(SaysLeft)),
            (Recut, -10, "recut the left jaw", None),
            (Recut, -10, "did not add taper", None),
            (Recut, -10, "more taper, then less", None),
            (Recut, -10, "ran more parts", None),
            (Recut, -10, "added pressure, taper as before", None),
            (Leave, 0, "left it", None),
            (Leave, 0, "added 1 thou of taper", Some(SaysCut)),
            (FixFirst, 0, "less taper", Some(SaysCut)),
            (FixFirst, 0, "removed a chip, taper untouched", None),
            (Retake, 0, "more taper", Some(SaysCut)),
            (Retake, 0, "", None),
        ] {
            assert_eq!(why(action, change, done), expected, "{action:?}: {done}");
        }
    }

    /// The set's second check has a taper the other way; it came later only where both say when.
    #[test]
    fn without_dates_nothing_says_what_was_cut_next() {
        let found = |made: [Option<&str>; 2]| {
            let of = |id: &str, made: Option<&str>, check: CheckLine| CheckLine {
                check: id.to_owned(),
                jaw_set: Some("heron".to_owned()),
                made: made.map(str::to_owned),
                ..check
            };
            let more = CheckLine {
                taper: Some(thou(40)),
                ..check(Action::Leave, 0, "")
            };
            let checks = [
                of("a", made[0], check(Action::Recut, -10, "")),
                of("b", made[1], more),
            ];
            let mut finder = Finder::by(Rules::built_in().estimate());
            for check in &checks {
                finder.add(check, std::iter::empty());
            }
            let (_, findings) = finder.finish();
            findings.against.iter().copied().collect::<Vec<_>>()
        };
        let (first, second) = (Some("2026-03-04T10:00:00"), Some("2026-03-05T10:00:00"));
        let expected = [(0, WhyAgainst::CutTheOtherWay)];
        assert_eq!(found([first, second]), expected);
        for unknown in [[None, None], [None, second]] {
            assert_eq!(found(unknown), [], "{unknown:?}");
        }
    }

    #[test]
    fn the_next_taper_tells_which_way_was_cut() {
        let seen = |check: &CheckLine| Seen::of(0, check, Rules::built_in().estimate());
        let asked = seen(&check(Action::Recut, -10, ""));
        let next = |tenths| {
            seen(&CheckLine {
                taper: Some(thou(tenths)),
                ..check(Action::Leave, 0, "")
            })
        };
        let found = |tenths| by_taper(&asked, Some(&next(tenths)));
        assert_eq!(found(40), Some(WhyAgainst::CutTheOtherWay));
        assert_eq!(found(20), None);
        assert_eq!(found(30), None);
        assert_eq!(by_taper(&asked, None), None);
    }
}
