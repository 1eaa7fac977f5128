//! For a lead: how far the program is proven in this shop, to begin it and to end it.

use maud::{Markup, PreEscaped, html};

use super::super::desk::Desk;
use super::super::fault::Fault;
use super::{Refresh, page as whole};
use crate::people::prove::{Plan, Proof};
use crate::report::{ProofNote, operating_curve, proof_rows};

pub(in super::super) fn page(desk: &Desk) -> Result<String, Fault> {
    let archive = desk.open_archive()?;
    let proof = archive.proof(desk.rules.estimate())?;
    let not_tried = match &proof {
        Some(proof) => archive.not_tried(proof)?,
        None => Vec::new(),
    };
    let goes_on = proof.as_ref().is_some_and(|p| p.prove_out.ended.is_none());
    let body = html! {
        h1 { "How far to trust it here" }
        @match &proof {
            Some(proof) => (state(proof, &not_tried)),
            None => p { "No prove-out was begun in this shop." },
        }
        @if goes_on { (end()) } @else { (begin()) }
    };
    Ok(whole("How far to trust it here", Refresh::No, &body))
}

fn state(proof: &Proof, not_tried: &[String]) -> Markup {
    html! {
        p .note #proof { (ProofNote::of(proof, None).line) }
        dl .facts {
            @for (label, text) in proof_rows(proof, not_tried) { dt { (label) } dd { (text) } }
        }
        div .scroll tabindex="0" role="region" aria-label="Operating curve of the plan" {
            (PreEscaped(operating_curve(&proof.prove_out.plan)))
        }
    }
}

fn by() -> Markup {
    html! {
        label .field {
            span { "Lead: initials or shop number" }
            input type="text" name="by" maxlength="8" required autocomplete="off";
        }
    }
}

fn end() -> Markup {
    html! {
        h2 { "End it" }
        p { "Where the plan is fulfilled, the program is proven in this shop; else it stays unproven." }
        form method="post" action="/prove-out/end" {
            (by())
            button .main type="submit" { "End the prove-out" }
        }
    }
}

fn begin() -> Markup {
    let price = |share: f64| Plan::needed(share, Plan::CONFIDENCE);
    html! {
        h2 { "Begin one" }
        p {
            "So many checks are held against what was right, and none may go the wrong way. 20 show that at most 14 % of the "
            "answers do, " (price(0.05)) " that at most 5 % do, " (price(0.01)) " that at most 1 % does."
        }
        form method="post" action="/prove-out/begin" {
            label .field {
                span { "Checks" }
                input type="text" inputmode="numeric" name="checks" value="20" maxlength="4" required autocomplete="off";
            }
            label .field {
                span { "Until it is proven, what to change is" }
                select name="change" {
                    option value="said" { "said, marked as not proven" }
                    option value="held" { "kept back: only the reading is shown" }
                }
            }
            (by())
            button .main type="submit" { "Begin" }
        }
    }
}
