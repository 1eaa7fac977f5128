//! Argument definitions.
