//! The state of a prove-out as labelled lines, for a terminal and for the page alike.

use super::{at_most, checks};
use crate::people::prove::{Bounds, Plan, Proof, strata};
use crate::units::PerSide;

/// Claims whose price is told: at most this share goes the wrong way.
pub(super) const CLAIMS: [f64; 3] = [0.10, 0.05, 0.01];

/// Label and text, without the line that stands under every answer.
pub(crate) fn proof_rows(proof: &Proof, not_tried: &[String]) -> Vec<(String, String)> {
    let mut rows = plan(proof);
    rows.extend(shares(proof));
    rows.push(("Amount".to_owned(), amount(proof)));
    rows.extend(CLAIMS.map(|claim| claimed(proof, claim)));
    rows.extend(tried(proof));
    if !not_tried.is_empty() {
        rows.push(("Not tried yet".to_owned(), not_tried.join(", ") + "."));
    }
    rows
}

fn plan(proof: &Proof) -> Vec<(String, String)> {
    let (one, plan) = (&proof.prove_out, proof.prove_out.plan);
    let claim = format!(
        "{} checks, none the wrong way; then at most {} of the answers go it. The first that does ends it.",
        plan.checks,
        at_most(plan.at_most())
    );
    let begun = format!(
        "{} by {}, version {}",
        one.begun.date(),
        one.by,
        one.program
    );
    let change = if plan.held {
        "kept back until it is proven"
    } else {
        "said"
    };
    let ended = one.ended.as_ref();
    let ended = ended.map(|e| format!("{} by {}", e.at.date(), e.by));
    let rows = [
        ("Plan", Some(claim)),
        ("Begun", Some(begun)),
        ("Ended", ended),
        ("What to change is", Some(change.to_owned())),
    ];
    rows.into_iter()
        .filter_map(|(label, text)| Some((label.to_owned(), text?)))
        .collect()
}

fn shares(proof: &Proof) -> Vec<(String, String)> {
    let (counts, confidence) = (&proof.counts, proof.prove_out.plan.confidence);
    let shares = counts.shares(confidence);
    let mut rows: Vec<(String, String)> = shares
        .iter()
        .map(|(label, share)| (super::super::words::capitalised(label), between(share)))
        .collect();
    if counts.asked_change > 0 {
        let text = format!(
            "of the {} that asked for one at most {}",
            counts.asked_change,
            at_most(counts.wrong_changes_at_most(confidence))
        );
        rows.insert(1, ("A change the wrong way".to_owned(), text));
    }
    rows
}

fn between(share: &Bounds) -> String {
    let percent = |p: f64| format!("{:.1}", p * 100.0);
    if share.of == 0 {
        return "none yet".to_owned();
    }
    format!(
        "{} of {} ({} to {} %, exact 95 % bounds)",
        share.count,
        share.of,
        percent(share.low),
        percent(share.high)
    )
}

fn amount(proof: &Proof) -> String {
    let Some((checks, middle, ends)) = proof.amount_off() else {
        return "no later cuts have shown it yet".to_owned();
    };
    let thou = |p: PerSide| format!("{:+.1}", p.thou());
    let ends = ends.map_or_else(
        || "too few for an interval".to_owned(),
        |[a, b]| format!("the median between {} and {}", thou(a), thou(b)),
    );
    format!(
        "off by {} thou per side ({} on the diameter) in the middle of {checks}, {ends} per side",
        thou(middle),
        format_args!("{:+.1}", middle.on_diameter().thou())
    )
}

fn claimed(proof: &Proof, claim: f64) -> (String, String) {
    let text = match proof.more_for(claim) {
        Some(0) => "shown".to_owned(),
        Some(more) => format!("{} more, none the wrong way", checks(more)),
        None => format!(
            "a new prove-out of {} checks",
            Plan::needed(claim, proof.prove_out.plan.confidence)
        ),
    };
    (format!("To show at most {}", at_most(claim)), text)
}

fn tried(proof: &Proof) -> Vec<(String, String)> {
    let confidence = proof.prove_out.plan.confidence;
    let of = |stratum: crate::people::prove::Stratum| {
        let counts = stratum.counts;
        let text = format!(
            "{}, {} right, {} the wrong way (at most {})",
            checks(counts.answered),
            counts.right,
            counts.wrong_way,
            at_most(counts.wrong_way_at_most(confidence))
        );
        let label = format!("{} {}", stratum.what, stratum.value);
        (super::super::words::capitalised(&label), text)
    };
    strata(&proof.judged).into_iter().map(of).collect()
}
