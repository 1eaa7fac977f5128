//! A jaw set's history as a value, and as JSON.

use serde::Serialize;
use serde_json::json;

use super::ProofNote;
use crate::taper::learning::{Interval, Standing, Step};
use crate::taper::records::Timeline;
use crate::units::amount::BothWays;

/// A jaw set's cuts and checks, with what was known after each check.
#[derive(Debug, Clone)]
pub struct HistoryReport<'a> {
    /// Cuts and checks.
    pub timeline: &'a Timeline,
    /// One per check that was looked at, oldest first.
    pub steps: &'a [Step],
    /// How far the program is proven in this shop; `None` where no prove-out was begun.
    pub proof: Option<&'a ProofNote>,
}

#[derive(Serialize)]
struct Between {
    median: BothWays,
    low: BothWays,
    high: BothWays,
}

impl From<Interval> for Between {
    fn from(interval: Interval) -> Self {
        Self {
            median: interval.median.into(),
            low: interval.low.into(),
            high: interval.high.into(),
        }
    }
}

/// One object: the timeline as filed, and under `estimates` one entry per check.
pub fn history_to_json(history: &HistoryReport<'_>) -> serde_json::Value {
    let estimates: Vec<_> = history.steps.iter().map(estimate).collect();
    let mut all = json!({
        "schema": 1,
        "version": env!("CARGO_PKG_VERSION"),
        "timeline": history.timeline,
        "estimates": estimates,
    });
    if let Some(proof) = history.proof {
        all["proof"] = json!(proof);
    }
    all
}

fn estimate(step: &Step) -> serde_json::Value {
    let (counts, standing) = standing(&step.standing);
    json!({
        "check": step.check,
        "cut": step.cut,
        "taper": step.taper.map(BothWays::from),
        "pattern": step.pattern,
        "odd_jaw": step.odd_jaw,
        "counts": counts,
        "standing": standing,
        "needed": step.estimate.as_ref().map(|e| Between::from(e.needed)),
        "smallest_gap_um": step.estimate.as_ref().map(|e| json!({
            "median": e.threshold.median.micrometres(),
            "low": e.threshold.low.micrometres(),
            "high": e.threshold.high.micrometres(),
        })),
        "checks_together": step.estimate.as_ref().map(|e| e.checks),
    })
}

fn standing(standing: &Standing) -> (bool, serde_json::Value) {
    match standing {
        Standing::First => (true, json!("first")),
        Standing::Combined(earlier) => (true, json!({ "combined-with": earlier })),
        Standing::Anew(differences) => {
            let all: Vec<_> = differences
                .iter()
                .map(|d| json!({ "what": d.what, "before": d.before, "now": d.now }))
                .collect();
            (true, json!({ "anew": all }))
        }
        Standing::Contradicts => (true, json!("contradicts")),
        Standing::LeftOut(why) => (false, json!({ "left-out": why })),
    }
}
