//! The state of a prove-out as text.

use super::super::TextOptions;
use super::super::text::pen::{Ink, Pen};
use super::{ProofNote, at_most};
use crate::people::prove::{Bounds, Plan, Proof, strata};
use crate::units::PerSide;

/// Claims whose price is told: at most this share goes the wrong way.
pub(super) const CLAIMS: [f64; 3] = [0.10, 0.05, 0.01];
/// Of the labels on the left.
const LABEL: usize = 26;

/// Where the shop stands; `not_tried` as the archive gives it.
pub fn proof_to_text(proof: &Proof, not_tried: &[String], options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    let ink = if proof.is_proven() {
        Ink::Good
    } else {
        Ink::Caution
    };
    pen.wrapped(&ProofNote::of(proof, None).line, ink);
    pen.blank();
    plan(&mut pen, proof);
    shares(&mut pen, proof);
    amount(&mut pen, proof);
    claims(&mut pen, proof);
    tried(&mut pen, proof, not_tried);
    pen.finish()
}

fn line(pen: &mut Pen, label: &str, text: &str) {
    pen.hanging(&format!("  {label:<LABEL$}"), text, Ink::Plain);
}

fn plan(pen: &mut Pen, proof: &Proof) {
    let (one, plan) = (&proof.prove_out, proof.prove_out.plan);
    let claim = format!(
        "{} checks, none the wrong way; then at most {} of the answers go it. The first that does ends it.",
        plan.checks,
        at_most(plan.at_most())
    );
    line(pen, "Plan:", &claim);
    let begun = format!(
        "{} by {}, version {}",
        one.begun.date(),
        one.by,
        one.program
    );
    line(pen, "Begun:", &begun);
    let until = if plan.held {
        "kept back until it is proven"
    } else {
        "said"
    };
    line(pen, "What to change is:", until);
    if let Some(ended) = &one.ended {
        line(
            pen,
            "Ended:",
            &format!("{} by {}", ended.at.date(), ended.by),
        );
    }
}

fn shares(pen: &mut Pen, proof: &Proof) {
    let (counts, confidence) = (&proof.counts, proof.prove_out.plan.confidence);
    for (label, share) in counts.shares(confidence) {
        line(pen, &format!("{label}:"), &between(&share));
    }
    if counts.asked_change > 0 {
        let text = format!(
            "at most {} of the {} that asked for a change",
            at_most(counts.wrong_changes_at_most(confidence)),
            counts.asked_change
        );
        line(pen, "the wrong way:", &text);
    }
}

fn between(share: &Bounds) -> String {
    let percent = |p: f64| format!("{:.1}", p * 100.0);
    format!(
        "{} of {} ({} to {} %, exact 95 % bounds)",
        share.count,
        share.of,
        percent(share.low),
        percent(share.high)
    )
}

fn amount(pen: &mut Pen, proof: &Proof) {
    let Some((checks, middle, ends)) = proof.amount_off() else {
        return line(pen, "Amount:", "no later cuts have shown it yet");
    };
    let thou = |p: PerSide| format!("{:+.1}", p.thou());
    let ends = ends.map_or_else(
        || "too few for an interval".to_owned(),
        |[a, b]| format!("the median between {} and {}", thou(a), thou(b)),
    );
    let text = format!(
        "off by {} thou per side in the middle of {checks}, {ends}",
        thou(middle)
    );
    line(pen, "Amount:", &text);
}

fn claims(pen: &mut Pen, proof: &Proof) {
    for claim in CLAIMS {
        let text = match proof.more_for(claim) {
            Some(0) => "shown".to_owned(),
            Some(more) => format!("{more} checks more, none the wrong way"),
            None => format!(
                "a new prove-out of {} checks",
                Plan::needed(claim, proof.prove_out.plan.confidence)
            ),
        };
        line(pen, &format!("To show at most {}:", at_most(claim)), &text);
    }
}

fn tried(pen: &mut Pen, proof: &Proof, not_tried: &[String]) {
    for stratum in strata(&proof.judged) {
        let counts = stratum.counts;
        let label = format!("{} {}:", stratum.what, stratum.value);
        let text = format!(
            "{} checks, {} right, {} the wrong way (at most {})",
            counts.answered,
            counts.right,
            counts.wrong_way,
            at_most(counts.wrong_way_at_most(proof.prove_out.plan.confidence))
        );
        line(pen, &label, &text);
    }
    if !not_tried.is_empty() {
        line(pen, "Not tried yet:", &(not_tried.join(", ") + "."));
    }
}
