//! What the figures mean, in plain words.

use super::super::words::name;
use super::words::{confusion, interval, number, percent};
use crate::people::agreement::{
    AgainstRight, Agreement, Estimate, KAPPA_GOOD, KAPPA_POOR, Limit, NoFigure, Reader,
    ReaderAgreement, Repeatability, Severity, Share, Standing, is_small, least_to_show, severity,
};
use crate::reading::pattern::{Direction, Pattern, direction};

/// Sentences about one reader, the most important first.
pub(super) fn of_reader(r: &ReaderAgreement) -> Vec<String> {
    let mut said = match &r.against_right {
        Ok(against) => against_right(against, &r.reader),
        Err(reason) => vec![format!("Not held against what was right: {reason}.")],
    };
    if let Ok(again) = &r.repeatability {
        said.extend(repeats(again));
    } else if r.reader == Reader::Program {
        said.push(
            "It reads the same photo the same way every time, so it is read once.".to_owned(),
        );
    }
    said
}

fn against_right(against: &AgainstRight, reader: &Reader) -> Vec<String> {
    let mut said = vec![wrong_way(&against.wrong_way, reader)];
    let limits = [
        (
            "Effectiveness",
            &Ok(against.compared.agreement),
            Limit::EFFECTIVENESS,
        ),
        ("Misses", &against.misses, Limit::MISSES),
        ("False alarms", &against.false_alarms, Limit::FALSE_ALARMS),
    ];
    for (what, share, limit) in limits {
        said.extend(share.as_ref().ok().map(|share| held(what, share, limit)));
    }
    said.extend(kappa_named(&against.compared.kappa));
    said.extend(habit(against, reader));
    said
}

fn wrong_way(share: &Result<Share, NoFigure>, reader: &Reader) -> String {
    match share {
        Err(_) => {
            "No photo here asks for a change of taper, so nothing is known of wrong-way calls."
                .to_owned()
        }
        Ok(s) if s.count == 0 => format!(
            "No wrong-way call in {}; with so many, up to {} could still be.",
            s.of,
            percent(s.high)
        ),
        Ok(s) => {
            let times = if s.count == 1 {
                "once".to_owned()
            } else {
                format!("{} times", s.count)
            };
            let remedy = match reader {
                Reader::Person(_) => "Go over tip-only and base-only together before the next cut.",
                Reader::Program => {
                    "Do not cut by its readings of photos like these; check where the tip is."
                }
            };
            format!(
                "WRONG WAY {times} in {}: cutting by these calls would have doubled the error. {remedy}",
                s.of
            )
        }
    }
}

fn held(what: &str, share: &Share, limit: Limit) -> String {
    let range = interval(share);
    let value = percent(share.value());
    let must = super::words::limit(limit);
    match limit.standing(share) {
        Standing::Kept => format!("{what} {value}: the limit, {must}, is kept."),
        Standing::Missed => format!("{what} {value}: the limit, {must}, is not kept."),
        Standing::Open if share.of < least_to_show(limit) => format!(
            "{what} {value}, likely {range}: too few calls to settle the limit, {must}; it takes {} without an \
             error.",
            least_to_show(limit)
        ),
        Standing::Open => {
            format!("{what} {value}, likely {range}: the limit, {must}, lies in that range.")
        }
    }
}

/// A name for a kappa only where it rests on enough.
fn kappa_named(kappa: &Result<Estimate, NoFigure>) -> Option<String> {
    let kappa = kappa.as_ref().ok()?;
    let value = number(kappa.value);
    Some(if is_small(kappa) {
        format!("Kappa {value} rests on too little to be called good or poor.")
    } else if kappa.value > KAPPA_GOOD {
        format!("Kappa {value}: good agreement beyond chance.")
    } else if kappa.value < KAPPA_POOR {
        format!("Kappa {value}: poor agreement beyond chance.")
    } else {
        format!("Kappa {value}: neither good nor poor.")
    })
}

/// The confusion that is most worth practising: it weighs most, and of equal ones it is the commonest.
fn habit(against: &AgainstRight, reader: &Reader) -> Option<String> {
    let confusions = against.compared.confusion.confusions();
    let cost = |(right, called, count): &(Pattern, Pattern, u64)| {
        (
            u64::from(severity(*right, *called).weight()) * count,
            *count,
        )
    };
    // Of equal ones the first stands, which weighs more.
    let most = confusions.iter().rev().max_by_key(|c| cost(c))?;
    let lead = match reader {
        Reader::Person(_) => "To practise first",
        Reader::Program => "Worst mistake",
    };
    Some(format!(
        "{lead}: {}: {}.",
        confusion(*most),
        about(most.0, most.1)
    ))
}

fn about(right: Pattern, called: Pattern) -> &'static str {
    let taper = |p| direction(p) != Direction::None;
    match severity(right, called) {
        Severity::WrongWay => "the ends were mixed up; look where the tip is before anything else",
        _ if called == Pattern::Unreadable => "a photo that can be judged was sent back",
        _ if right == Pattern::Unreadable => "a photo that can't be judged was",
        _ if called == Pattern::FullLength && taper(right) => {
            "compound at one end was not seen as a gap"
        }
        _ if called == Pattern::FullLength => "a fault was not seen",
        _ if right == Pattern::FullLength => "good jaws were called for work",
        _ if taper(called) => "a matter of seat, bore or wear was called one of taper",
        _ if taper(right) => "a matter of taper was called one of seat, bore or wear",
        _ => "both stop the jaws, but what to mend differs",
    }
}

fn repeats(again: &Repeatability) -> Vec<String> {
    let mut said = vec![format!(
        "Called the same photo the same way {} times of {} ({}).",
        again.same.count,
        again.same.of,
        interval(&again.same)
    )];
    if again.turned.count > 0 {
        said.push(format!(
            "Called {} the opposite way the next time: less taper once, more another time.",
            if again.turned.count == 1 {
                "one photo".to_owned()
            } else {
                format!("{} photos", again.turned.count)
            }
        ));
    }
    said
}

/// About all of it, the first thing that is read.
pub(super) fn on_top(agreement: &Agreement) -> Vec<String> {
    let against = || {
        agreement
            .readers
            .iter()
            .filter_map(|r| Some((r, r.against_right.as_ref().ok()?)))
    };
    let wrong = |a: &AgainstRight| a.wrong_way.as_ref().map_or(0, |s| s.count);
    let mut turned: Vec<String> = against()
        .filter(|(_, a)| wrong(a) > 0)
        .map(|(r, a)| format!("{} ({})", r.reader, wrong(a)))
        .collect();
    let mut said = Vec::new();
    if let Some(last) = turned.pop() {
        let names = if turned.is_empty() {
            last
        } else {
            format!("{} and {last}", turned.join(", "))
        };
        said.push(format!(
            "Wrong-way calls: {names}. These come first: each would have doubled an error."
        ));
    } else if against().any(|(_, a)| a.wrong_way.is_ok()) {
        said.push("Nobody called the wrong way.".to_owned());
    }
    said.extend(super::words::few(agreement));
    said
}

/// The pattern's name, in words of one kind.
pub(super) fn letters(patterns: &[Pattern]) -> impl Iterator<Item = (char, &'static str)> + '_ {
    ('a'..='z').zip(patterns.iter().map(|p| name(*p)))
}
