//! From readings to advice, through the public interface.

mod check;
mod properties;
mod rules_text;
mod simulation;
