//! One file per verb; the only file I/O.
