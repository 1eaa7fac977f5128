//! The advice table as data.

/// The rules.
#[derive(Debug, Clone)]
pub struct Rules {}

/// A broken rules file.
#[derive(Debug, thiserror::Error)]
pub enum RulesError {}
