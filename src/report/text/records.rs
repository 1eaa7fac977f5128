//! Jaw sets, cuts and checks of the archive as text: a name and a value a line.

use super::super::{ProofNote, words};
use super::TextOptions;
use super::pen::{Ink, Pen};
use crate::reading::method::Method;
use crate::taper::advice::{Action, Grip};
use crate::taper::records::{Cut, FiledCheck, FiledReading, JawSet, Mounting};
use crate::units::{Length, PerSide};

/// Widest field name and the gap after it.
const FIELD: usize = 22;

/// A jaw set with everything that is known of it.
pub fn jaw_set_to_text(set: &JawSet, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(&format!("Jaw set {}", set.name), Ink::Strong);
    let length = |l: Option<Length>| l.map(|l| l.to_string());
    let facts = [
        ("grip", Some(grip(set.grip).to_owned())),
        ("material", set.material.clone()),
        ("jaw height", length(set.jaw_height)),
        ("face length", length(set.face_length)),
        ("face width", length(set.face_width)),
        ("bored diameter", length(set.bored_diameter)),
        ("workpiece", set.workpiece.clone()),
        ("workpiece diameter", length(set.workpiece_diameter)),
    ];
    write_facts(&mut pen, &facts);
    write_facts(&mut pen, &mounting(&set.mounting));
    let facts = [
        (
            "boring pressure",
            set.boring_pressure.map(|p| p.to_string()),
        ),
        (
            "production pressure",
            set.production_pressure.map(|p| p.to_string()),
        ),
        ("bolt torque", set.bolt_torque.clone()),
        ("bored on", set.bored_on.clone()),
        ("stock per side", length(set.stock)),
        ("notes", set.notes.clone()),
        ("photos of the set", count(set.photos.len())),
        ("id", Some(set.id.to_string())),
    ];
    write_facts(&mut pen, &facts);
    pen.finish()
}

/// A cut with everything that is known of it.
pub fn cut_to_text(cut: &Cut, set: &str, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    pen.wrapped(
        &format!("Cut of jaw set {set}, {}", when(cut.made)),
        Ink::Strong,
    );
    let length = |l: Option<Length>| l.map(|l| l.to_string());
    let facts = [
        ("taper", cut.taper.map(PerSide::as_taper)),
        ("diameter", length(cut.diameter)),
        ("depth", length(cut.depth)),
        (
            "boring pressure",
            cut.boring_pressure.map(|p| p.to_string()),
        ),
        ("skimmed", cut.skimmed.clone()),
        ("stock left per side", length(cut.stock_left)),
    ];
    write_facts(&mut pen, &facts);
    write_facts(&mut pen, &mounting(&cut.mounting));
    write_facts(
        &mut pen,
        &[
            ("notes", cut.notes.clone()),
            ("id", Some(cut.id.to_string())),
        ],
    );
    pen.finish()
}

/// A filed check: what was seen, advised and done.
pub fn filed_check_to_text(
    check: &FiledCheck,
    cut: &Cut,
    set: &JawSet,
    proof: Option<&ProofNote>,
    options: TextOptions,
) -> String {
    let mut pen = Pen::new(options);
    let head = format!("Check of jaw set {}, {}", set.name, when(check.made));
    pen.wrapped(&head, Ink::Strong);
    let facts = [
        ("taper cut", cut.taper.map(PerSide::as_taper)),
        ("method", Some(method(check.method).to_owned())),
        ("compound", check.compound.clone()),
        ("pressure", check.pressure.map(|p| p.to_string())),
    ];
    write_facts(&mut pen, &facts);
    write_facts(&mut pen, &mounting(&check.mounting));
    for (index, reading) in check.jaws().enumerate() {
        pen.hanging(
            &format!("{:<FIELD$}", format!("jaw {}", index + 1)),
            &seen(reading, set.grip),
            Ink::Plain,
        );
    }
    for view in check.readings.iter().filter(|r| r.is_further_view()) {
        pen.hanging(&format!("{:<FIELD$}", "read with"), &view.file, Ink::Plain);
    }
    let advice = &check.advice;
    let facts = [
        ("advice", Some(advice.what_to_do.clone())),
        ("change", advice.change.map(PerSide::as_change)),
        ("next taper", advice.next_taper.map(PerSide::as_taper)),
        ("proof", proof.map(|p| p.line.clone())),
        ("done", check.done.clone()),
        ("read by", Some(read_by(check))),
        ("id", Some(check.id.to_string())),
    ];
    write_facts(&mut pen, &facts);
    pen.finish()
}

fn read_by(check: &FiledCheck) -> String {
    format!("version {}, rules {}", check.program, check.rules)
}

fn seen(reading: &FiledReading, grip: Grip) -> String {
    let what = reading.refusal.map_or_else(
        || {
            let sure = words::confidence(reading.confidence);
            format!("{} ({sure})", words::pattern(reading.pattern, grip))
        },
        |reason| format!("refused: {}", words::reason(reason)),
    );
    format!("{what}; {}", reading.file)
}

fn mounting(mounting: &Mounting) -> [(&'static str, Option<String>); 4] {
    [
        ("machine", mounting.machine.clone()),
        ("chuck", mounting.chuck.clone()),
        ("master jaws", mounting.master_jaws.clone()),
        ("serration position", mounting.serration.clone()),
    ]
}

/// What is unknown is left out.
fn write_facts(pen: &mut Pen, facts: &[(&str, Option<String>)]) {
    for (name, value) in facts {
        if let Some(value) = value {
            pen.hanging(&format!("{name:<FIELD$}"), value, Ink::Plain);
        }
    }
}

fn count(n: usize) -> Option<String> {
    (n > 0).then(|| n.to_string())
}

/// `2026-03-04 10:11`.
pub(super) fn when(time: jiff::civil::DateTime) -> String {
    let (d, t) = (time.date(), time.time());
    format!("{d} {:02}:{:02}", t.hour(), t.minute())
}

pub(super) fn grip(grip: Grip) -> &'static str {
    match grip {
        Grip::Outside => "outside",
        Grip::Inside => "inside",
    }
}

pub(super) fn method(method: Method) -> &'static str {
    match method {
        Method::Seep => "seep-in",
        Method::Transfer => "transfer",
    }
}

/// What was advised, in a word or two.
pub(super) fn action(action: Action) -> &'static str {
    match action {
        Action::Leave => "leave",
        Action::Recut => "recut",
        Action::FixFirst => "fix first",
        Action::Settle => "settle",
        Action::Retake => "take again",
        Action::Held => "kept back",
    }
}
