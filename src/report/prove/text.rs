//! The state of a prove-out as text.

use super::super::TextOptions;
use super::super::text::advice::proof_line;
use super::super::text::pen::{Ink, Pen};
use super::{ProofNote, proof_rows};
use crate::people::prove::Proof;

/// Of the labels on the left.
const LABEL: usize = 26;

/// Where the shop stands; `not_tried` as the archive gives it.
pub fn proof_to_text(proof: &Proof, not_tried: &[String], options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    proof_line(&mut pen, &ProofNote::of(proof, None));
    pen.blank();
    for (label, text) in proof_rows(proof, not_tried) {
        let label = format!("{label}:");
        pen.hanging(&format!("  {label:<LABEL$}"), &text, Ink::Plain);
    }
    pen.finish()
}
