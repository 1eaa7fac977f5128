//! A share's range drawn from 0 to 100 %, with its limit.

use maud::{Markup, html};

use crate::people::agreement::{Limit, LimitKind, Share};

/// Size of the drawing, CSS pixels.
const WIDTH: f64 = 150.0;
const HEIGHT: f64 = 16.0;
/// Room at both ends, so that a dot at 0 or 100 % is whole.
const ROOM: f64 = 6.0;

/// A line for the range, a dot for the share, hatching on the side of the limit that is not well.
pub(super) fn share(share: &Share, limit: Option<Limit>) -> Markup {
    let at = |share: f64| format!("{:.1}", ROOM + share * (WIDTH - 2.0 * ROOM));
    let middle = format!("{:.1}", HEIGHT / 2.0);
    html! {
        svg width=(WIDTH) height=(HEIGHT) viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) aria-hidden="true" {
            rect x="0.5" y="0.5" width=(WIDTH - 1.0) height=(HEIGHT - 1.0) fill="none" stroke="#999" {}
            @if let Some(limit) = limit {
                @let (from, to) = bad_side(limit);
                rect x=(at(from)) y="1" width=(format!("{:.1}", (to - from) * (WIDTH - 2.0 * ROOM))) height=(HEIGHT - 2.0) fill="#ddd" {}
                line x1=(at(limit.share)) x2=(at(limit.share)) y1="0" y2=(HEIGHT) stroke="#000" stroke-dasharray="3 2" {}
            }
            line x1=(at(share.low)) x2=(at(share.high)) y1=(middle) y2=(middle) stroke="#000" stroke-width="3" {}
            circle cx=(at(share.value())) cy=(middle) r="4" fill="#fff" stroke="#000" stroke-width="2" {}
        }
    }
}

fn bad_side(limit: Limit) -> (f64, f64) {
    match limit.kind {
        LimitKind::AtLeast => (0.0, limit.share),
        LimitKind::AtMost => (limit.share, 1.0),
    }
}
