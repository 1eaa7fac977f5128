//! A list of jaw sets: one a line, the columns that fit.

use super::super::words;
use super::TextOptions;
use super::pen::{Ink, Pen};
use super::records::grip;
use crate::taper::records::JawSetSummary;

/// Widest column of names.
const WIDEST_NAME: usize = 28;
/// From this width on, a set takes one line instead of two.
const ROOM_FOR_ONE_LINE: usize = 76;

/// One line a set: name, grip, taper of the last cut, the last check's date and pattern; two where the
/// screen is narrow.
pub fn list_to_text(sets: &[JawSetSummary], options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    if sets.is_empty() {
        pen.wrapped(
            "No jaw set is there that fits; `seepline jaws add NAME` adds one.",
            Ink::Plain,
        );
        return pen.finish();
    }
    let name_width = sets
        .iter()
        .map(|s| s.jaw_set.name.chars().count())
        .max()
        .unwrap_or(0)
        // A longer name is not cut; only its own line is out of step.
        .clamp(4, WIDEST_NAME);
    for set in sets {
        line(&mut pen, set, name_width);
    }
    pen.finish()
}

fn line(pen: &mut Pen, set: &JawSetSummary, name_width: usize) {
    let name = format!("{:<name_width$}", set.jaw_set.name);
    let taper = set.last_cut.and_then(|cut| cut.taper).map_or_else(
        || "taper unknown".to_owned(),
        |t| {
            format!(
                "{:.1} thou per side ({:.1} on the diameter)",
                t.thou(),
                t.on_diameter().thou()
            )
        },
    );
    let check = set.last_check.as_ref().map_or_else(
        || "not checked yet".to_owned(),
        |c| format!("{} {}", c.made.date(), words::name(c.pattern)),
    );
    let facts = format!("{:<7} {taper}, {check}", grip(set.jaw_set.grip));
    if pen.width >= ROOM_FOR_ONE_LINE {
        pen.hanging(&format!("{name}  "), &facts, Ink::Plain);
    } else {
        pen.wrapped(&set.jaw_set.name, Ink::Strong);
        pen.hanging("  ", &facts, Ink::Plain);
    }
}
