//! The first taper as JSON.

use serde::Serialize;

use super::{SCHEMA, bytes};
use crate::taper::start::{StartFrom, StartingTaper};
use crate::units::amount::BothWays;

#[derive(Serialize)]
struct Root<'a> {
    schema: u32,
    version: &'static str,
    from: StartFrom,
    rough: bool,
    taper: BothWays,
    needed: BothWays,
    low: BothWays,
    /// Null where nothing bounds it.
    high: Option<BothWays>,
    increment: BothWays,
    arithmetic: &'a [String],
    assumed: &'a [String],
    what_to_do: &'a [String],
    cautions: &'a [String],
}

/// The first taper as one JSON object, with a newline after it.
///
/// # Errors
/// Never for values of the functions that start a set; `serde_json` cannot promise it.
pub fn start_to_json(start: &StartingTaper) -> serde_json::Result<Vec<u8>> {
    bytes(&Root {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        from: start.from,
        rough: start.is_rough(),
        taper: start.taper.into(),
        needed: start.needed.into(),
        low: start.low.into(),
        high: start.high.map(BothWays::from),
        increment: start.increment.into(),
        arithmetic: &start.arithmetic,
        assumed: &start.assumed,
        what_to_do: &start.what_to_do,
        cautions: &start.cautions,
    })
}
