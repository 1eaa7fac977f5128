//! The first taper as JSON.

use serde::Serialize;

use super::{Both, SCHEMA, both, bytes};
use crate::start::{StartFrom, StartingTaper};

#[derive(Serialize)]
struct Root<'a> {
    schema: u32,
    version: &'static str,
    from: StartFrom,
    rough: bool,
    taper: Both,
    needed: Both,
    low: Both,
    /// Null where nothing bounds it.
    high: Option<Both>,
    increment: Both,
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
        taper: both(start.taper),
        needed: both(start.needed),
        low: both(start.low),
        high: start.high.map(both),
        increment: both(start.increment),
        arithmetic: &start.arithmetic,
        assumed: &start.assumed,
        what_to_do: &start.what_to_do,
        cautions: &start.cautions,
    })
}
