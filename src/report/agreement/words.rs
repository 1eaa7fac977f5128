//! Figures in words, alike in text and HTML.

use super::super::words;
use crate::people::agreement::{
    Agreement, Divided, Estimate, IntervalMethod, Limit, LimitKind, NoFigure, Reader, RestsOn,
    SMALL_ITEMS, Severity, Share, Standing, least_to_show,
};
use crate::reading::pattern::Pattern;
use crate::units::amount::round;

/// A share in per cent, number and sign on one line; what is neither none nor all is not rounded to it.
pub(super) fn percent(share: f64) -> String {
    let rounded = (share * 100.0).round();
    if (share > 0.0 && rounded <= 0.0) || (share < 1.0 && rounded >= 100.0) {
        return format!("{:.1}\u{a0}%", share * 100.0);
    }
    format!("{rounded:.0}\u{a0}%")
}

/// `17 of 20, 85 % (64 to 95 %)`.
pub(super) fn share(share: &Share) -> String {
    let range = interval(share);
    format!(
        "{} of {}, {} ({range})",
        share.count,
        share.of,
        percent(share.value())
    )
}

/// `64 to 95 %`.
pub(super) fn interval(share: &Share) -> String {
    let (low, high) = (percent(share.low), percent(share.high));
    // The sign stands once, behind both.
    let low = low.strip_suffix("\u{a0}%").unwrap_or(&low);
    format!("{low} to {high}")
}

/// As above, or why not.
pub(super) fn share_or(of: &Result<Share, NoFigure>) -> String {
    of.as_ref()
        .map_or_else(|reason| format!("– ({reason})"), share)
}

/// `0.74 (0.52 to 0.96 a)`: the letter names the method, see “Ranges” in [`DEFINITIONS`].
pub(super) fn estimate(estimate: &Estimate) -> String {
    let value = number(estimate.value);
    match estimate.interval {
        Ok(i) => {
            let letter = match i.method {
                IntervalMethod::Asymptotic => "a",
                IntervalMethod::BootstrapPercentile => "b",
            };
            format!(
                "{value} ({} to {}\u{a0}{letter})",
                number(i.low),
                number(i.high)
            )
        }
        Err(reason) => format!("{value} (no interval: {reason})"),
    }
}

/// As above, or why not.
pub(super) fn estimate_or(of: &Result<Estimate, NoFigure>) -> String {
    of.as_ref()
        .map_or_else(|reason| format!("– ({reason})"), estimate)
}

/// Two digits, never “−0.00”.
pub(super) fn number(value: f64) -> String {
    format!("{:.2}", round(value, 100.0))
}

/// `at least 90 %`.
pub(super) fn limit(limit: Limit) -> String {
    let side = match limit.kind {
        LimitKind::AtLeast => "at least",
        LimitKind::AtMost => "at most",
    };
    format!("{side} {}", percent(limit.share))
}

/// What an interval says of a limit.
pub(super) fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Kept => "kept",
        Standing::Open => "not settled",
        Standing::Missed => "not kept",
    }
}

/// What was right rests on, and how many photos each.
pub(super) fn rests_on(agreement: &Agreement) -> String {
    let basis = |basis: RestsOn| match basis {
        RestsOn::LaterCuts => "later cuts proved it",
        RestsOn::LeadsRuling => "a lead ruled",
        RestsOn::Feeler => "a feeler showed it",
        RestsOn::Table => "a table says so",
        RestsOn::Program => "only seepline's own reading, which may be wrong itself",
    };
    let known = agreement.right.iter();
    let known = known.map(|(b, n)| format!("{} ({})", basis(*b), words::photos(*n)));
    let mut parts: Vec<String> = known.collect();
    if agreement.not_known() > 0 {
        parts.push(format!(
            "not known ({})",
            words::photos(agreement.not_known())
        ));
    }
    parts.join("; ")
}

/// Few photos, in words; `None` where there are enough.
pub(super) fn few(agreement: &Agreement) -> Option<String> {
    let limits = [Limit::EFFECTIVENESS, Limit::FALSE_ALARMS, Limit::MISSES];
    let [effective, alarms, misses] = limits.map(|l| (least_to_show(l), limit(l)));
    (agreement.items < SMALL_ITEMS).then(|| {
        format!(
            "These are small numbers: {} photos. Even without one error it takes {} judgements to show an \
             effectiveness of {}, {} to show {} of false alarms and {} to show {} of misses. Take the figures \
             for hints, and look at the intervals.",
            agreement.items, effective.0, effective.1, alarms.0, alarms.1, misses.0, misses.1
        )
    })
}

/// Takes one pattern for another, with the count.
pub(super) fn confusion((right, called, count): (Pattern, Pattern, u64)) -> String {
    let times = if count == 1 {
        "once".to_owned()
    } else {
        format!("{count} times")
    };
    format!(
        "{} called {} {times}",
        words::name(right),
        words::name(called)
    )
}

/// Photos that are shown in text and on the page; the JSON has all.
pub(super) const DIVIDED_SHOWN: usize = 12;

/// `right tip-only; AB tip-only, base-only; CD tip-only twice`.
pub(super) fn divided(d: &Divided) -> String {
    let right = d.right.map(|p| format!("right {}", words::name(p)));
    let said = |(reader, patterns): &(Reader, Vec<Pattern>)| {
        let alike = patterns.iter().all(|p| *p == patterns[0]);
        let names: Vec<&str> = patterns.iter().map(|p| words::name(*p)).collect();
        match names.len() {
            1 => format!("{reader} {}", names[0]),
            2 if alike => format!("{reader} {} twice", names[0]),
            n if alike => format!("{reader} {} {n} times", names[0]),
            _ => format!("{reader} {}", names.join(" then ")),
        }
    };
    let parts: Vec<String> = right.into_iter().chain(d.calls.iter().map(said)).collect();
    parts.join("; ")
}

/// What is to be known about the figures.
pub(super) const DEFINITIONS: [(&str, &str); 9] = [
    (
        "Wrong way",
        "less taper called where more was right, or the other way round, by the pattern or by the sign of the \
         change; of the calls where a change of taper was right. It is worse than a miss: the next cut doubles \
         the error.",
    ),
    (
        "Effectiveness",
        "right patterns, of all calls; repeats count.",
    ),
    (
        "Miss",
        "full-length called where something had to be changed, of the calls where something had to be: every \
         right pattern but full-length and unreadable.",
    ),
    (
        "False alarm",
        "something to change called where full-length was right, of the calls where it was.",
    ),
    (
        "Refused",
        "unreadable called where the photo could be judged. It costs a photo, so it is neither miss nor false \
         alarm.",
    ),
    (
        "Kappa",
        "Cohen's kappa: agreement beyond what chance would give; 1 is perfect, 0 is chance. Above 0.75 is \
         called good, below 0.40 poor. Weighted kappa counts each disagreement by what it costs, see the \
         weights.",
    ),
    (
        "Several readers",
        "Fleiss' kappa over the photos that all called; Krippendorff's alpha with gaps, over patterns \
         (nominal) and over what they ask of the taper (ordinal: less, no change, more). The first call of \
         each photo counts.",
    ),
    (
        "Ranges",
        "95 %. Of shares: Wilson's score interval, which takes calls for independent, so with repeats it is \
         a little too narrow. Of kappas: a, asymptotic (Fleiss, Cohen and Everitt 1969); b, bootstrap \
         percentiles over 2000 draws of whole photos.",
    ),
    (
        "Limits",
        "effectiveness at least 90 %, misses at most 2 %, false alarms at most 5 %: measurement-systems \
         manuals, 3rd edition, second-hand. A limit is kept or not kept only where the whole range says so.",
    ),
];

/// The weights of disagreements, worst first, with their reason.
pub(super) fn weights() -> impl Iterator<Item = (u8, &'static str)> {
    Severity::WORST_FIRST
        .into_iter()
        .map(|s| (s.weight(), s.reason()))
}

/// Said of the weights.
pub(super) const WEIGHTS_ARE: &str = "The weights are an assumption, not measured costs.";

/// The caution at the end.
pub(super) const CAUTION: &str = "The figures speak of this set of photos. A set with other patterns, or \
     clearer ones, gives others. They are for training, not for judging people by.";
