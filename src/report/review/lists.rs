//! What a lead looks for first, one short list for each matter; the whole is in the table.

use std::io;

use maud::{Markup, html};

use super::super::words;
use super::{Review, paths, shown};
use crate::review::{CheckLine, Drift, Flag, ODD_LOOKED_AT, PASSES_EXPECTED};

/// Rows of a list of jaw sets on the overview, as of one of checks.
const ROWS: usize = 8;

/// The table with only the checks of a flag.
pub(super) fn flagged(flag: Flag) -> String {
    format!("checks.html#look={}", flag.word())
}

pub(super) fn low_confidence(review: &Review<'_>) -> io::Result<Markup> {
    let rules = review.rules.estimate();
    let limits = format!(
        "Below {} for full-length, tip-only and base-only, {} for the others, the least certain first.",
        words::percent(rules.least_confidence),
        words::percent(rules.least_confidence_other)
    );
    let rows = rows(review.findings.low_confidence.iter(), |i| {
        let check = &review.lines.check(*i)?;
        let says = format!(
            "{}, confidence {}",
            words::name(check.pattern),
            shown::confidence(check.confidence)
        );
        Ok(row(review, *i, check, &says))
    })?;
    Ok(section(
        review,
        Flag::LowConfidence,
        "Low confidence",
        &limits,
        rows,
    ))
}

pub(super) fn refused(review: &Review<'_>) -> io::Result<Markup> {
    let rows = rows(review.findings.refused.iter(), |i| {
        let photos = review.photos_of(*i)?;
        let why = photos.iter().filter_map(|p| match p.refusal {
            Some(reason) => Some(words::reason(reason)),
            None => p.error.as_ref().map(|_| "the file is broken"),
        });
        // In the order of the jaws, each once.
        let mut said: Vec<&str> = Vec::new();
        for why in why {
            if !said.contains(&why) {
                said.push(why);
            }
        }
        let check = &review.lines.check(*i)?;
        Ok(row(review, *i, check, &said.join("; ")))
    })?;
    Ok(section(
        review,
        Flag::Refused,
        "Checks with a refused photo",
        "Latest first.",
        rows,
    ))
}

pub(super) fn against(review: &Review<'_>) -> io::Result<Markup> {
    let rows = rows(review.findings.against.iter(), |(i, why)| {
        let check = &review.lines.check(*i)?;
        let done = check.done.as_deref().map(|d| shown::clean(d, 80));
        let done = done.map_or_else(String::new, |d| format!(", noted: “{d}”"));
        let says = format!("{}: {}{done}", shown::action(check), shown::against(*why));
        Ok(row(review, *i, check, &says))
    })?;
    let intro = "Today's advice against what was noted or cut next. Notes are free words, so only clear ones count; latest first.";
    Ok(section(
        review,
        Flag::Against,
        "Advice against what was done",
        intro,
        rows,
    ))
}

pub(super) fn not_noted(review: &Review<'_>) -> io::Result<Markup> {
    if !review.findings.notes_are_kept && review.order.len() > 0 {
        return Ok(html! {
            section id="not-noted" { h3 { "Recut advised, nothing noted" } p { "No check says what was done, so this is not shown." } }
        });
    }
    let rows = rows(review.findings.not_noted.iter(), |i| {
        let check = &review.lines.check(*i)?;
        Ok(row(review, *i, check, shown::action(check)))
    })?;
    Ok(section(
        review,
        Flag::NotNoted,
        "Recut advised, nothing noted",
        "Latest first.",
        rows,
    ))
}

pub(super) fn passes(review: &Review<'_>) -> io::Result<Markup> {
    let rows = rows(review.findings.many_passes.iter().take(ROWS), |m| {
        let how = if m.tapers_known {
            ""
        } else {
            " (tapers are not all noted: each check after an advised recut counts)"
        };
        let day = |i: Option<&usize>| {
            let made = i.map(|i| review.lines.check(*i)).transpose()?;
            let made = made.and_then(|check| check.made);
            io::Result::Ok(shown::day(made.as_deref()))
        };
        let (first, last) = (day(m.checks.first())?, day(m.checks.last())?);
        let says = format!("{} passes, {first} to {last}{how}", m.passes);
        Ok(set_row(review, m.set, &says))
    })?;
    let intro = format!(
        "Cuts checked until the taper could be left, where there were more than {PASSES_EXPECTED}."
    );
    Ok(section(
        review,
        Flag::ManyPasses,
        "More than three passes",
        &intro,
        rows,
    ))
}

pub(super) fn odd_jaws(review: &Review<'_>) -> Markup {
    let rows = review.findings.odd_jaws.iter().take(ROWS).map(|o| {
        let says = format!(
            "jaw {} disagreed in {} of the latest {}",
            o.place + 1,
            o.times,
            shown::count(o.of, "check")
        );
        set_row(review, o.set, &says)
    });
    let rows = rows.collect();
    let intro = format!(
        "The same place at least twice in a set's latest {ODD_LOOKED_AT} checks, if the photos are always taken in the same order. Look at that jaw's seat."
    );
    section(
        review,
        Flag::OddJaw,
        "Jaws that keep disagreeing",
        &intro,
        rows,
    )
}

pub(super) fn drifts(review: &Review<'_>) -> Markup {
    let rows = review
        .findings
        .drifts
        .iter()
        .take(ROWS)
        .map(|d| set_row(review, d.set, &drift_words(d)))
        .collect();
    let intro = format!(
        "The change asked for goes one way while the taper stays the same (Mann–Kendall test of ten checks or more at the latest taper; of the sets named, on average at most one in twenty by chance). {DRIFT_MEANS}"
    );
    section(review, Flag::Drift, "Drift", &intro, rows)
}

/// What drifted.
pub(super) fn drift_words(drift: &Drift) -> String {
    let which = if drift.after > drift.before {
        "more"
    } else {
        "less"
    };
    format!(
        "{which} taper is needed than before; the change asked for went from {}, in {} at one taper",
        shown::joined(shown::range(drift.before, drift.after)),
        shown::count(drift.checks.len(), "check"),
    )
}

/// More pressure opens the tip, so more taper is needed (common practice; the beam in
/// [`crate::taper::start`] says the same).
pub(super) const DRIFT_MEANS: &str = "More taper needed: the pressure rose, or the tips wear. Less: the pressure or the grip fell, or the bases wear.";

/// How many there are of a matter: checks, or jaw sets where it is one of sets.
pub(super) fn size(review: &Review<'_>, flag: Flag) -> (usize, &'static str) {
    let findings = &review.findings;
    match flag {
        Flag::ManyPasses => (findings.many_passes.len(), "jaw set"),
        Flag::OddJaw => (findings.odd_jaws.len(), "jaw set"),
        Flag::Drift => (findings.drifts.len(), "jaw set"),
        _ => (findings.count(flag), "check"),
    }
}

fn section(review: &Review<'_>, flag: Flag, title: &str, intro: &str, rows: Vec<Markup>) -> Markup {
    let (count, of) = size(review, flag);
    let checks = shown::count(review.findings.count(flag), "check");
    html! {
        section id=(flag.word()) {
            h3 { (title) ": " (shown::count(count, of)) }
            @if count == 0 {
                p .small { "None." }
            } @else {
                p .small { (intro) }
                ul .list { @for row in rows { (row) } }
                p .all { a href=(flagged(flag)) { (checks) " in the table" } }
            }
        }
    }
}

fn rows<T>(
    all: impl Iterator<Item = T>,
    of: impl Fn(T) -> io::Result<Markup>,
) -> io::Result<Vec<Markup>> {
    all.map(of).collect()
}

fn row(review: &Review<'_>, index: usize, check: &CheckLine, says: &str) -> Markup {
    html! {
        li {
            a href=(review.paths.check(index)) { bdi { (shown::set_name(check.jaw_set.as_deref())) } ", " (shown::day(check.made.as_deref())) }
            ": " bdi { (says) }
        }
    }
}

fn set_row(review: &Review<'_>, set: usize, says: &str) -> Markup {
    html! {
        li {
            a href=(review.paths.set(set, 0)) { bdi { (shown::set_name(review.order.sets[set].name.as_deref())) } }
            ": " (says)
        }
    }
}

/// The table with only the checks that have a value.
pub(super) fn filtered(key: &str, value: &str) -> String {
    format!("checks.html#{key}={}", paths::percent(value))
}
