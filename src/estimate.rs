//! Readings → posterior over the needed taper and the marking threshold.

/// One jaw's reading as evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {}

/// Grid posterior.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {}

/// Placeholder.
pub fn estimate(_: &[Observation]) -> Posterior {
    Posterior {}
}
