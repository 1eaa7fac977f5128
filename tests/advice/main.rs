//! From readings to advice, through the public interface.

mod check;
#[path = "../support/draws.rs"]
mod draws;
mod properties;
mod readings;
mod rules_text;
mod simulation;
#[path = "../reference/trade.rs"]
mod trade;
