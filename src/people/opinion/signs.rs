//! What to look for: where each pattern touches and where it stands open (the README's table).

use crate::reading::method::Method;
use crate::reading::pattern::Pattern;

/// `clean at the tip, compound at the base`.
pub(super) fn signs(pattern: Pattern, method: Method) -> String {
    let Some((touching, open)) = places(pattern) else {
        return match pattern {
            Pattern::Mixed => "two patterns at once".to_owned(),
            _ => "too little to judge by".to_owned(),
        };
    };
    match method {
        Method::Seep => format!("clean {touching}, compound {open}"),
        Method::Transfer => format!("compound {touching}, clean metal {open}"),
    }
}

/// Where it touches and where it is open.
fn places(pattern: Pattern) -> Option<(&'static str, &'static str)> {
    Some(match pattern {
        Pattern::FullLength => ("from the tip to the base", "nowhere but along the edges"),
        Pattern::TipOnly => ("at the tip", "at the base"),
        Pattern::BaseOnly => ("at the base", "at the tip"),
        Pattern::EndsOnly => ("at both ends", "in the middle of the length"),
        Pattern::MiddleOnly => ("in the middle of the length", "at both ends"),
        Pattern::CentreOnly => ("along the middle of the width", "along both flanks"),
        Pattern::EdgesOnly => ("along both flanks", "along the middle of the width"),
        Pattern::OneSide => ("along one flank", "along the other over the whole length"),
        Pattern::HeldOff => ("at one spot", "all around it"),
        Pattern::Mixed | Pattern::Unreadable => return None,
    })
}
