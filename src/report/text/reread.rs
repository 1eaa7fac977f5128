//! What filed photos that were read again turned out to say.

use super::super::words;
use super::TextOptions;
use super::pen::{Ink, Pen};
use crate::review::{Otherwise, Reread, Side, Turned};
use crate::units::PerSide;

/// Lines of a kind that are shown; all of them are in the table.
const MOST_SHOWN: usize = 20;

/// `table` is the file that holds all lines.
pub(crate) fn reread_to_text(reread: &Reread, table: &str, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    let (photos, checks) = (reread.photos, reread.checks);
    let head = format!(
        "{photos} photos of {checks} checks read again with version {}",
        reread.program
    );
    pen.wrapped(&head, Ink::Strong);
    let by = |(program, checks): &(String, usize)| format!("{program} ({checks} checks)");
    let filed_by: Vec<String> = reread.filed_by.iter().map(by).collect();
    pen.wrapped(
        &format!("Filed by version {}.", filed_by.join(", ")),
        Ink::Plain,
    );
    pen.wrapped(&proved(reread.proved), Ink::Plain);
    let kinds = [
        (
            Otherwise::Direction,
            "Turned: the opposite change is asked for",
            Ink::Cut,
        ),
        (Otherwise::Pattern, "Another pattern", Ink::Caution),
        (
            Otherwise::Refusal,
            "Refused or too little certain, now or before",
            Ink::Caution,
        ),
        (
            Otherwise::Amount,
            "Another amount, of a check by itself",
            Ink::Plain,
        ),
    ];
    for (kind, title, ink) in kinds {
        section(&mut pen, reread, kind, (title, ink));
    }
    pen.blank();
    let (verdict, ink) = match reread.lost() {
        0 => (
            "No reading that had proven right goes another way.".to_owned(),
            Ink::Good,
        ),
        lost => (
            format!(
                "{lost} readings that had proven right go another way: do not take this version into use before you know why."
            ),
            Ink::Cut,
        ),
    };
    pen.wrapped(&verdict, ink);
    pen.wrapped(
        &format!("Nothing that is filed was changed. All lines: {table}"),
        Ink::Plain,
    );
    pen.finish()
}

fn proved([known, filed, now]: [usize; 3]) -> String {
    match known {
        0 => "Nothing proved yet what was right: later cuts and checks of a set do, or a lead's ruling.".to_owned(),
        _ => format!("Of {known} jaws it is proven what was right: {filed} were filed so, {now} are read so now."),
    }
}

fn section(pen: &mut Pen, reread: &Reread, kind: Otherwise, (title, ink): (&str, Ink)) {
    let count = reread.count(kind);
    pen.blank();
    pen.wrapped(
        &format!("{title}: {count}"),
        if count > 0 { ink } else { Ink::Plain },
    );
    let of_kind = reread.turned.iter().filter(|t| t.otherwise == kind);
    for turned in of_kind.take(MOST_SHOWN) {
        pen.hanging("  ", &line(turned), Ink::Plain);
    }
    if count > MOST_SHOWN {
        pen.hanging(
            "  ",
            &format!("and {} more in the table", count - MOST_SHOWN),
            Ink::Plain,
        );
    }
}

fn line(turned: &Turned) -> String {
    let file = turned.photo.as_ref().map(|[file, _]| format!(", {file}"));
    let right = match &turned.right {
        None => String::new(),
        Some(truth) if turned.was_right => format!("; HAD PROVEN RIGHT, {}", truth.by.in_words()),
        Some(truth) => {
            let (pattern, by) = (words::name(truth.pattern), truth.by.in_words());
            format!("; right was {pattern}, {by}")
        }
    };
    format!(
        "{}, {}{}: {} -> {}{right}",
        turned.jaw_set,
        turned.made.date(),
        file.unwrap_or_default(),
        side(&turned.filed),
        side(&turned.now),
    )
}

fn side(side: &Side) -> String {
    match (side.change, side.refusal) {
        (Some(change), _) => PerSide::as_change(change),
        (None, Some(reason)) => format!("refused ({})", words::reason(reason)),
        (None, None) => {
            let (pattern, share) = (words::name(side.pattern), words::percent(side.confidence));
            format!("{pattern} ({share})")
        }
    }
}
