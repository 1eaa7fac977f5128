//! Lists of records as JSON.

use serde_json::{Value, json};

use crate::taper::records::JawSetSummary;
use crate::units::amount::BothWays;

/// An array of jaw sets, each with its last cut and check.
pub fn summaries_to_json(sets: &[JawSetSummary]) -> Value {
    sets.iter().map(summary).collect()
}

fn summary(set: &JawSetSummary) -> Value {
    json!({
        "jaw_set": set.jaw_set,
        "cuts": set.cuts,
        "checks": set.checks,
        "last_cut": set.last_cut.map(|cut| json!({
            "made": cut.made,
            "diameter": cut.diameter,
            "taper": cut.taper.map(BothWays::from),
            "stock_left": cut.stock_left,
        })),
        "last_check": set.last_check.as_ref().map(|check| json!({
            "made": check.made,
            "pattern": check.pattern,
        })),
    })
}
