//! The state of a prove-out as JSON.

use serde_json::{Value, json};

use super::ProofNote;
use super::rows::CLAIMS;
use crate::people::prove::{Proof, Watch, strata};
use crate::units::PerSide;
use crate::units::amount::BothWays;

/// One object; shares and bounds are 0 to 1. What is kept back is not in it.
pub fn proof_to_json(proof: &Proof, not_tried: &[String]) -> Value {
    let confidence = proof.prove_out.plan.confidence;
    let shares = proof.counts.shares(confidence);
    let shares: serde_json::Map<String, Value> = shares
        .iter()
        .map(|(label, share)| (label.replace(' ', "_"), json!(share)))
        .collect();
    let claims = CLAIMS.map(|at_most| json!({"at_most": at_most, "more": proof.more_for(at_most)}));
    let both = |p: PerSide| BothWays::from(p);
    let amount = proof.amount_off().map(|(checks, middle, ends)| {
        json!({
            "checks": checks,
            "middle": both(middle),
            "low": ends.map(|e| both(e[0])),
            "high": ends.map(|e| both(e[1])),
        })
    });
    json!({
        "schema": 1,
        "proof": ProofNote::of(proof, None),
        "prove_out": proof.prove_out,
        "number": proof.attempt,
        "standing": proof.progress,
        "at_most": proof.prove_out.plan.at_most(),
        "counts": proof.counts,
        "wrong_way_at_most": proof.counts.wrong_way_at_most(confidence),
        "wrong_changes_at_most": proof.counts.wrong_changes_at_most(confidence),
        "shares": shares,
        "amount_off": amount,
        "claims": claims,
        "strata": strata(&proof.judged),
        "not_tried": not_tried,
        "since": proof.since,
        "watch": {
            "sum_in_ninths": proof.watch.sum,
            "signalled_after": proof.watch.signalled_after,
            "run_length": {"of_0.05": Watch::mean_run_length(0.05), "of_0.20": Watch::mean_run_length(0.20)},
        },
        "checks": proof.judged.iter().map(|j| json!({
            "check": j.check, "made": j.made, "verdict": j.verdict, "under": j.under,
        })).collect::<Vec<_>>(),
    })
}
