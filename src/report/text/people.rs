//! People, their records, what is known of a check besides its reading, and how a round of practice went.

use super::super::call::right;
use super::super::practice::{few_answers, score_rows};
use super::super::words;
use super::TextOptions;
use super::pen::{Ink, Pen};
use super::records::when;
use crate::people::labels::{Label, Labelled};
use crate::people::opinion::{Call, Outcome, Score, Truth, compare};
use crate::people::records::{CallKind, CallRow, Item, PersonRules, Sight};
use crate::taper::records::FiledCheck;

/// One person a line.
pub fn people_to_text(people: &[PersonRules], sight: Sight, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    if people.is_empty() {
        pen.wrapped(
            "Nobody is known yet; a call (`seepline read --call … --by WHO`) or a rule (`seepline people \
             call-first WHO on`) makes somebody known.",
            Ink::Plain,
        );
    }
    for person in people {
        let first = if person.call_first {
            "calls before a reading is shown"
        } else {
            "calls when they like"
        };
        let lead = if person.lead { ", lead" } else { "" };
        pen.hanging(
            // Nine characters at most, and a gap.
            &format!("{:<10}", person.person.to_string()),
            &format!("{first}{lead}"),
            Ink::Plain,
        );
    }
    pen.wrapped(&sight_in_words(sight), Ink::Plain);
    pen.finish()
}

/// Who may see other people's records, a sentence.
pub fn sight_in_words(sight: Sight) -> String {
    let who = match sight {
        Sight::Everyone => "everyone",
        Sight::Leads => "leads",
        Sight::Nobody => "nobody",
    };
    format!("Records of others are seen by: {who}. Everybody sees their own.")
}

/// A person's calls, oldest first, each with what was right.
pub fn record_to_text(rows: &[CallRow], options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    if rows.is_empty() {
        pen.wrapped("Nothing was called yet.", Ink::Plain);
    }
    for row in rows {
        let kind = match row.kind {
            CallKind::Check | CallKind::Ruling | CallKind::Measured => "",
            CallKind::Practice => "practice, ",
            CallKind::Study => "study, ",
        };
        let item = match &row.item {
            Item::Check(id) => format!("check {}", &id.to_string()[..8]),
            // By letters: unlike an id, a hash from a record may have any length and content.
            Item::Photo(hash) => format!("photo {}", hash.chars().take(8).collect::<String>()),
        };
        let head = format!("{}  {kind}{item}", when(row.at));
        pen.wrapped(&head, Ink::Strong);
        let said = format!("{}, {}", words::name(row.pattern), row.change.in_words());
        pen.hanging("  called  ", &said, Ink::Plain);
        match &row.truth {
            Some(truth) => {
                pen.hanging("  right   ", &right(truth), Ink::Plain);
                pen.hanging("          ", verdict(row, truth), Ink::Plain);
            }
            None => pen.hanging("  right   ", "not known yet", Ink::Plain),
        }
    }
    pen.finish()
}

fn verdict(row: &CallRow, truth: &Truth) -> &'static str {
    let call = Call {
        pattern: row.pattern,
        change: row.change,
        by: row.person.clone(),
        at: row.at,
    };
    match (
        compare(&call, &truth.answer()).outcome,
        row.pattern == truth.pattern,
    ) {
        (Outcome::Agrees, true) => "Right.",
        (Outcome::Agrees, false) => "The right change for another pattern.",
        (Outcome::OtherAmount, true) => "The right way, another amount.",
        (Outcome::OtherAmount, false) => "Another pattern, the right way.",
        (Outcome::NoChangeOtherwise, _) => "No change was right, for another reason.",
        (Outcome::ChangeMissed, _) => "A change was missed.",
        (Outcome::ChangeForNothing, _) => "A cut for nothing.",
        (Outcome::WrongWay, _) => "The wrong way.",
    }
}

/// What is known of a check besides its reading: how many called it, a lead's ruling, what was right.
pub fn known_of_check_to_text(
    calls: usize,
    ruling: Option<&Call>,
    truth: Option<&Truth>,
    options: TextOptions,
) -> String {
    let mut pen = Pen::new(options);
    let mut line = |name: &str, text: &str| {
        pen.hanging(&format!("{name:<22}"), text, Ink::Plain);
    };
    if calls > 0 {
        line(
            "called by",
            &format!("{calls} {}", if calls == 1 { "person" } else { "people" }),
        );
    }
    if let Some(ruling) = ruling {
        line("ruled by", &ruling.in_words());
    }
    if let Some(truth) = truth {
        line("right", &right(truth));
    }
    pen.finish()
}

/// The labels of a check's photos.
pub(crate) fn labels_to_text(labels: &[Label], check: &FiledCheck, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    for label in labels {
        let photo = check.readings.iter().find(|r| r.sha256 == label.photo);
        let file = photo.map_or("", |r| r.file.as_str());
        let by = label.by.as_ref().map(|by| format!(", says {by}"));
        let what = match label.what {
            Labelled::Corners(_) => "the corners were given".to_owned(),
            Labelled::Tip(tip) => format!("the tip points {}", words::tip(tip)),
            Labelled::Pattern(pattern) => format!("can be read as {}", words::name(pattern)),
        };
        let line = format!("{file}: {what}{}", by.unwrap_or_default());
        pen.hanging(&format!("{:<22}", "label"), &line, Ink::Plain);
    }
    pen.finish()
}

/// The score of a round, with what was taken for what.
pub fn score_to_text(score: &Score, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.rule();
    if score.asked == 0 {
        pen.wrapped("Nothing was answered.", Ink::Plain);
        return pen.finish();
    }
    for (name, text) in score_rows(score) {
        pen.hanging(&format!("{name:<18}"), &text, Ink::Plain);
    }
    if let Some(few) = few_answers(score) {
        pen.wrapped(&few, Ink::Plain);
    }
    pen.finish()
}
