//! Whether the picture shows the method that the user named: a seep-in check leaves the paint of the
//! seam along the face's edges and beside them, a print leaves none.

use crate::reading::method::Method;

/// From this probability on a painted seam is seen. Of 336 readable rendered photos that the network was not
/// trained on, each read with both methods, no cut by the wrong one is left with 0.58 to 0.62; of the readings
/// that ask for a change (zero included), 1 of 217 with the right method is stopped and 2 of 117 with the
/// wrong one are not: a print that hardly shows, and one in strips along the flanks.
const SEAM_SEEN: f64 = 0.6;

/// Why the check may have been made by the other method, with which the same picture says the opposite.
pub(super) fn doubt(painted_seam: f64, method: Method) -> Option<&'static str> {
    let seen = painted_seam >= SEAM_SEEN;
    match method {
        Method::Seep if !seen => Some(
            "no painted seam is seen along the face's edges, as after a transfer check, but the check is read as seep-in: say how the check was made with --method",
        ),
        Method::Transfer if seen => Some(
            "a painted seam is seen along the face's edges, as after a seep-in check, but the check is read as transfer: say how the check was made with --method",
        ),
        _ => None,
    }
}
