//! Values to bytes.
