//! Tapers in the tables that go out.

use super::{OnDiameter, PerSide};
use crate::text::spreadsheet::cells::{Cells, maybe};

/// Labelled per side and on the diameter, in thousandths of an inch and in millimetres.
pub(crate) fn taper(name: &str, taper: Option<PerSide>) -> Cells {
    let both = taper.map(PerSide::on_diameter);
    let named = |unit: &str, value: Option<f64>| maybe(&format!("{name}_{unit}"), value);
    vec![
        named("per_side_thou", taper.map(PerSide::thou)),
        named("on_diameter_thou", both.map(OnDiameter::thou)),
        named("per_side_mm", taper.map(PerSide::millimetres)),
        named("on_diameter_mm", both.map(OnDiameter::millimetres)),
    ]
}
