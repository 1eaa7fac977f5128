//! What is known of the set, and how to mount it.

use maud::{Markup, html};

use super::{clipped, grip};
use crate::taper::records::{Cut, JawSet};
use crate::units::Length;

/// Longest free text in a row.
const ROOM: usize = 64;

/// A label, and the value where it is known.
type Row = (&'static str, Option<String>);

pub(super) fn both(set: &JawSet, cut: Option<&Cut>) -> Markup {
    html! {
        div .columns {
            section { h2 { "The set" } (list(&the_set(set, cut))) }
            section { h2 { "How to mount it" } (list(&how_to_mount(set))) }
        }
    }
}

fn the_set(set: &JawSet, cut: Option<&Cut>) -> Vec<Row> {
    let bored = cut.and_then(|c| c.diameter).or(set.bored_diameter);
    let stock = cut.and_then(|c| c.stock_left).or(set.stock);
    let per_side = |l: Length| format!("{} per side", fine(l));
    vec![
        ("Workpiece", text(set.workpiece.as_deref())),
        ("Its diameter", set.workpiece_diameter.map(fine)),
        ("Grip", Some(grip(set.grip).to_owned())),
        ("Material", text(set.material.as_deref())),
        ("Jaw height", set.jaw_height.map(|l| l.to_string())),
        ("Face length", set.face_length.map(|l| l.to_string())),
        ("Face width", set.face_width.map(|l| l.to_string())),
        ("Bored to", bored.map(fine)),
        ("Stock left", stock.map(per_side)),
    ]
}

fn how_to_mount(set: &JawSet) -> Vec<Row> {
    let place = &set.mounting;
    vec![
        ("Machine", text(place.machine.as_deref())),
        ("Chuck", text(place.chuck.as_deref())),
        ("Master jaws", text(place.master_jaws.as_deref())),
        ("Serrations", text(place.serration.as_deref())),
        ("Bolt torque", text(set.bolt_torque.as_deref())),
        ("Bored on", text(set.bored_on.as_deref())),
        (
            "Boring pressure",
            set.boring_pressure.map(|p| p.to_string()),
        ),
        ("Production", set.production_pressure.map(|p| p.to_string())),
    ]
}

fn list(rows: &[Row]) -> Markup {
    html! {
        dl {
            @for (label, value) in rows {
                dt { (label) }
                dd { @match value {
                    Some(value) => (value),
                    None => span .unknown { "not noted" },
                } }
            }
        }
    }
}

fn text(text: Option<&str>) -> Option<String> {
    text.filter(|t| !t.trim().is_empty())
        .map(|t| clipped(t, ROOM))
}

fn fine(length: Length) -> String {
    format!("{:.4} in ({:.3} mm)", length.inches(), length.millimetres())
}
