//! The report on agreement as text.

use super::super::TextOptions;
use super::super::shown::count;
use super::super::text::pen::{Ink, Pen};
use super::{AgreementReport, meaning, words};
use crate::people::agreement::{
    AgainstRight, Confusion, Divided, GroupAgreement, Limit, NoFigure, PairAgreement,
    ReaderAgreement, Repeatability, Share,
};

/// Width of the labels of a reader's figures.
const LABEL: usize = 20;

/// The whole report.
pub fn agreement_to_text(report: &AgreementReport, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(&report.title, Ink::Strong);
    for fact in &report.facts {
        pen.wrapped(fact, Ink::Plain);
    }
    let right = words::rests_on(&report.agreement);
    if !right.is_empty() {
        pen.hanging("What was right: ", &format!("{right}."), Ink::Plain);
    }
    pen.blank();
    for sentence in meaning::on_top(&report.agreement) {
        pen.wrapped(&sentence, Ink::Caution);
    }
    wrong_ways(&mut pen, &report.agreement.readers);
    for reader in &report.agreement.readers {
        of_reader(&mut pen, reader);
    }
    pairs(&mut pen, &report.agreement.pairs);
    groups(&mut pen, &report.agreement.groups);
    divided(&mut pen, &report.agreement.divided);
    problems(&mut pen, &report.problems);
    notes(&mut pen);
    pen.finish()
}

fn heading(pen: &mut Pen, text: &str) {
    pen.blank();
    pen.rule();
    pen.wrapped(text, Ink::Strong);
}

fn wrong_ways(pen: &mut Pen, readers: &[ReaderAgreement]) {
    let known = |r: &&ReaderAgreement| r.against_right.is_ok();
    if !readers.iter().any(|r| known(&r)) {
        return;
    }
    pen.blank();
    pen.wrapped(
        "Wrong way, of the calls where a change of taper was right",
        Ink::Strong,
    );
    for reader in readers {
        if let Ok(against) = &reader.against_right {
            let lead = format!("  {:<9} ", reader.reader.to_string());
            pen.hanging(&lead, &words::share_or(&against.wrong_way), Ink::Plain);
        }
    }
}

fn row(pen: &mut Pen, label: &str, text: &str) {
    pen.hanging(&format!("  {label:<LABEL$}"), text, Ink::Plain);
}

fn of_reader(pen: &mut Pen, reader: &ReaderAgreement) {
    heading(
        pen,
        &format!(
            "{}: {} of {}",
            reader.reader,
            count(reader.calls, "call"),
            count(reader.items, "photo")
        ),
    );
    if let Ok(against) = &reader.against_right {
        figures(pen, against);
    }
    if let Ok(again) = &reader.repeatability {
        repeats(pen, again);
    }
    pen.blank();
    for sentence in meaning::of_reader(reader) {
        pen.hanging("  - ", &sentence, Ink::Plain);
    }
    if let Ok(against) = &reader.against_right {
        confusion(pen, &against.compared.confusion);
    }
}

fn figures(pen: &mut Pen, against: &AgainstRight) {
    let compared = &against.compared;
    row(pen, "Wrong way", &words::share_or(&against.wrong_way));
    limited(
        pen,
        "Effectiveness",
        &Ok(compared.agreement),
        Limit::EFFECTIVENESS,
    );
    limited(pen, "Misses", &against.misses, Limit::MISSES);
    limited(
        pen,
        "False alarms",
        &against.false_alarms,
        Limit::FALSE_ALARMS,
    );
    row(pen, "Refused", &words::share_or(&against.refused));
    if against.judged_the_unreadable.is_ok() {
        row(
            pen,
            "Unreadable judged",
            &words::share_or(&against.judged_the_unreadable),
        );
    }
    row(pen, "Kappa", &words::estimate_or(&compared.kappa));
    row(
        pen,
        "Weighted kappa",
        &words::estimate_or(&compared.weighted_kappa),
    );
    if let Some(c) = &against.changes {
        let off = c.median_off;
        let text = format!(
            "{} compared, {} with the wrong sign; half of them within {:.2} thou per side ({:.2} on the diameter)",
            c.compared,
            c.wrong_sign,
            off.thou(),
            off.on_diameter().thou()
        );
        row(pen, "Changes", &text);
    }
}

fn limited(pen: &mut Pen, label: &str, share: &Result<Share, NoFigure>, limit: Limit) {
    let text = match share {
        Ok(s) => format!(
            "{}; limit {}: {}",
            words::share(s),
            words::limit(limit),
            words::standing(limit.standing(s))
        ),
        Err(_) => words::share_or(share),
    };
    row(pen, label, &text);
}

fn repeats(pen: &mut Pen, again: &Repeatability) {
    row(pen, "Same again", &words::share(&again.same));
    row(pen, "Turned round", &words::share(&again.turned));
    row(
        pen,
        "Kappa of repeats",
        &words::estimate_or(&again.compared.kappa),
    );
}

/// Rows and columns by letter, so that eleven patterns fit on a line.
fn confusion(pen: &mut Pen, confusion: &Confusion) {
    pen.blank();
    let letters: Vec<_> = meaning::letters(&confusion.patterns).collect();
    let row = |label: &str, cells: &mut dyn Iterator<Item = String>| {
        let cells: Vec<String> = cells.map(|cell| format!("{cell:>4}")).collect();
        format!("  {label:<16}{}", cells.concat())
    };
    let header = &mut letters.iter().map(|(letter, _)| letter.to_string());
    pen.line(&row("right, called as", header));
    for ((letter, name), counts) in letters.iter().zip(&confusion.counts) {
        let cell = |n: &u64| {
            if *n == 0 {
                ".".to_owned()
            } else {
                n.to_string()
            }
        };
        pen.line(&row(
            &format!("{letter} {name}"),
            &mut counts.iter().map(cell),
        ));
    }
}

fn pairs(pen: &mut Pen, pairs: &[PairAgreement]) {
    if pairs.is_empty() {
        return;
    }
    heading(pen, "Each two readers");
    for pair in pairs {
        let lead = format!("  {} and {}: ", pair.readers[0], pair.readers[1]);
        let text = match &pair.compared {
            Err(reason) => format!("– ({reason})"),
            Ok(c) => format!(
                "opposite ways {} of {}; the same {}; kappa {}; weighted {}",
                c.opposed.count,
                c.opposed.of,
                words::share(&c.agreement),
                words::estimate_or(&c.kappa),
                words::estimate_or(&c.weighted_kappa)
            ),
        };
        pen.hanging(&lead, &text, Ink::Plain);
    }
}

fn groups(pen: &mut Pen, groups: &[GroupAgreement]) {
    for group in groups {
        let names: Vec<String> = group.readers.iter().map(ToString::to_string).collect();
        heading(pen, &format!("Together: {}", names.join(", ")));
        let text = format!(
            "{} over {} photos that all called",
            words::estimate_or(&group.fleiss),
            group.whole
        );
        row(pen, "Fleiss' kappa", &text);
        let text = format!(
            "{} over {} photos",
            words::estimate_or(&group.alpha),
            group.items
        );
        row(pen, "Alpha, patterns", &text);
        row(
            pen,
            "Alpha, taper",
            &words::estimate_or(&group.alpha_direction),
        );
    }
}

fn divided(pen: &mut Pen, divided: &[Divided]) {
    if divided.is_empty() {
        return;
    }
    heading(pen, "To go over together, the worst first");
    for photo in divided.iter().take(words::DIVIDED_SHOWN) {
        let text = format!("{}: {}", photo.item, words::divided(photo));
        pen.hanging("  - ", &text, Ink::Plain);
    }
    if let Some(more) = divided
        .len()
        .checked_sub(words::DIVIDED_SHOWN)
        .filter(|n| *n > 0)
    {
        pen.wrapped(
            &format!("  and {more} more, all of them in the JSON"),
            Ink::Plain,
        );
    }
}

fn problems(pen: &mut Pen, problems: &[String]) {
    if problems.is_empty() {
        return;
    }
    heading(pen, "Not used, or only in part");
    for problem in problems {
        pen.hanging("  - ", problem, Ink::Plain);
    }
}

fn notes(pen: &mut Pen) {
    heading(pen, "How this was counted");
    for (term, text) in words::DEFINITIONS {
        pen.hanging("  ", &format!("{term}: {text}"), Ink::Plain);
    }
    let weights = words::weights().map(|(weight, reason)| format!("{weight}: {reason}"));
    let weights: Vec<String> = weights.collect();
    pen.hanging(
        "  ",
        &format!("Weights: {}. {}", weights.join("; "), words::WEIGHTS_ARE),
        Ink::Plain,
    );
    pen.blank();
    pen.wrapped(words::CAUTION, Ink::Plain);
}
