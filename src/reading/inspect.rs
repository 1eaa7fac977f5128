//! The whole reading of one photo; keeps every intermediate for reports, pictures and tests.

mod method;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::thread;

use crate::reading::compound::{self, CompoundMap};
use crate::reading::face::{self, Face, FoundBy, Look, TipDirection};
use crate::reading::geometry::Quad;
use crate::reading::method::Method;
use crate::reading::network::{self, Quality};
use crate::reading::outcome::Reading;
use crate::reading::pattern::{self, Direction, Pattern};
use crate::reading::photo::UprightPhoto;
use crate::reading::profile::{self, ContactProfile};
use crate::reading::rectify::{self, RectifiedFace};
use crate::reading::refusal::{Reason, Refusal};

/// What the user says about one photo.
#[derive(Debug, Clone, Default)]
pub struct Request {
    /// Seep-in or transfer.
    pub method: Method,
    /// Where the tip points; taken to be up where the user did not say.
    pub tip: Option<TipDirection>,
    /// Corners, full-size upright pixels, in the order of [`Quad`]; searched for when `None`.
    pub corners: Option<Quad>,
}

/// Everything that was computed from one photo.
#[derive(Debug, Clone)]
pub struct Inspection {
    /// The decoded photo.
    pub photo: UprightPhoto,
    /// The face on its grid, where one was found.
    pub rectified: Option<RectifiedFace>,
    /// Compound on that grid.
    pub compound: Option<CompoundMap>,
    /// The result.
    pub reading: Reading,
}

/// Reads one photo. Never fails: what can't be judged is a refusal inside the reading.
pub fn inspect(photo: UprightPhoto, request: &Request) -> Inspection {
    let found = match request.corners {
        Some(corners) => face::given(&photo, corners),
        None => face::search(&photo, request.tip),
    };
    let (mut face, mut look) = match found {
        Ok(found) => found,
        Err(reason) => return without_face(photo, request, reason),
    };
    look.look_for_compound();
    let (grid, turned) = beside(|| on_grid(&photo, &face, &look), || look.tip_when_turned());
    let (rectified, compound) = grid;
    // A network that gives no second opinion leaves the tip in doubt.
    face.weigh_tip(turned.unwrap_or(0.0));
    let reading = match &compound {
        Some(map) => read(&photo, face, &look, map, request),
        // Three corners lie on one line, which outlines nothing.
        None => refused(None, request, Reason::NoFace),
    };
    Inspection {
        photo,
        rectified,
        compound,
        reading,
    }
}

fn on_grid(
    photo: &UprightPhoto,
    face: &Face,
    look: &Look,
) -> (Option<RectifiedFace>, Option<CompoundMap>) {
    let rectified = rectify::rectify(photo, face);
    let compound = rectified.as_ref().map(|r| compound::map_compound(r, look));
    (rectified, compound)
}

/// Both, side by side where there is more than one thread; a pass of the network takes as long as what is
/// beside it, and neither needs the other. `None` where the second panicked.
fn beside<A, B: Send>(
    first: impl FnOnce() -> A,
    second: impl FnOnce() -> B + Send,
) -> (A, Option<B>) {
    if network::is_on_one_thread() {
        let a = first();
        return (a, catch_unwind(AssertUnwindSafe(second)).ok());
    }
    thread::scope(|scope| {
        let second = scope.spawn(second);
        (first(), second.join().ok())
    })
}

fn without_face(photo: UprightPhoto, request: &Request, reason: Reason) -> Inspection {
    let reading = refused(None, request, reason);
    Inspection {
        photo,
        rectified: None,
        compound: None,
        reading,
    }
}

fn refused(face: Option<Face>, request: &Request, reason: Reason) -> Reading {
    Reading {
        face,
        method: request.method,
        profile: None,
        bands: Vec::new(),
        pattern: Pattern::Unreadable,
        confidence: 0.0,
        refusal: Some(Refusal {
            reason,
            advice: String::new(),
        }),
        warnings: Vec::new(),
        tip_contradicted: false,
        tip_unsaid: false,
        method_contradicted: false,
        evidence: Vec::new(),
    }
}

/// The picture must give the tip that the user named at least this probability, or the two contradict
/// each other.
const LEAST_TIP_SUPPORT: f64 = 0.5;
/// The same for a tip that nobody named: a film print, or a jaw without a shoulder in sight, looks much
/// the same either way up, and the wrong way up asks for the wrong change.
const LEAST_ASSUMED_TIP_SUPPORT: f64 = 0.97;

/// Where nobody named the tip, what the pattern says of the taper holds only if the tip is where the picture
/// shows it: less likely than not is no answer.
const LEAST_WITH_ASSUMED_TIP: f64 = 0.5;

fn is_named(request: &Request) -> bool {
    // The corners begin at the tip, so they name it too.
    request.tip.is_some() || request.corners.is_some()
}

/// Why the tip may lie elsewhere. A film print has no painted seam to tell the tip by, so there the
/// picture alone never settles it.
fn doubt_about_tip(face: &Face, request: &Request) -> Option<&'static str> {
    if is_named(request) {
        if request.tip.is_some_and(|tip| face.is_turned_from(tip)) {
            return Some(
                "the corners begin at the other end than the tip that was named: begin them at the tip's left, or say where it points with --tip",
            );
        }
        let contradicted = face.tip_support < LEAST_TIP_SUPPORT;
        return contradicted.then_some(
            "the picture contradicts the direction of the tip: say where it points with --tip",
        );
    }
    if face.tip_direction() != TipDirection::default() {
        return Some(
            "nobody said where the tip points and the picture shows it elsewhere than up: say where it points with --tip",
        );
    }
    let settled = request.method == Method::Seep && face.tip_support >= LEAST_ASSUMED_TIP_SUPPORT;
    (!settled).then_some(
        "the tip was taken to point up and the picture does not settle it: say where it points with --tip",
    )
}

fn read(
    photo: &UprightPhoto,
    face: Face,
    look: &Look,
    map: &CompoundMap,
    request: &Request,
) -> Reading {
    let corners = face.corners;
    let unlike_ends = face.unlike_ends();
    let searched = face.found_by == FoundBy::Search;
    let profile = profile::profile(map);
    let judged = pattern::judge(map, request.method);
    // With the tip at the other end tip-only is base-only; every other pattern is what it is either way up.
    let turns = pattern::direction(judged.pattern) != Direction::None;
    let doubt = doubt_about_tip(&face, request).filter(|_| turns);
    let by_tip = if doubt.is_some() && !is_named(request) {
        face.tip_support
    } else {
        1.0
    };
    let mut reading = Reading {
        bands: profile::bands(&profile),
        pattern: judged.pattern,
        // Right only where the outline is right too.
        confidence: judged.confidence * face.confidence * by_tip,
        evidence: judged.evidence,
        tip_contradicted: doubt.is_some(),
        tip_unsaid: doubt.is_some() && !is_named(request),
        // For the other fields; its refusal is replaced below by the one that holds, or by none.
        ..refused(Some(face), request, Reason::Unclear)
    };
    reading.warnings.extend(doubt.map(str::to_owned));
    let is_taper = pattern::is_taper(judged.pattern);
    // Read inside out, ends-only is middle-only and centre-only edges-only, which ask for the same; tip-only is base-only.
    let inside_out = turns && map.hue_shift.is_some_and(|hue| hue < LEAST_HUE_SHIFT);
    // Read inside out, a face that is covered all over is full-length.
    let doubly_seen =
        judged.pattern != Pattern::FullLength || look.opinions_apart() <= MOST_APART_ON_FULL_LENGTH;
    let unseen = is_taper && pattern::least_judged(map) < LEAST_JUDGED_OF_A_PART;
    let reason = reason_to_refuse(look, map, &profile, request.method)
        .or((inside_out || !doubly_seen).then_some(Reason::TooAlike))
        .or(unseen.then(|| too_dark_or_bright(map)))
        .or((unlike_ends > MOST_UNLIKE_ENDS).then_some(Reason::Hidden))
        .or((by_tip < LEAST_WITH_ASSUMED_TIP).then_some(Reason::Unclear))
        .or_else(|| {
            let ends_elsewhere = is_taper && searched && ends_elsewhere(photo, look, &corners);
            ends_elsewhere.then_some(Reason::Hidden)
        });
    // Another look costs as much as the others; where the photo is refused already it settles nothing.
    let border = reason.is_none().then(|| face::border(photo, &corners));
    let no_jaw = border.is_some_and(|b| b.jaw < LEAST_JAW);
    let reason = reason.or(no_jaw.then_some(Reason::NoFace));
    reading.refusal = reason.map(|reason| Refusal {
        reason,
        advice: String::new(),
    });
    if reading.refusal.is_some() {
        reading.pattern = Pattern::Unreadable;
        reading.confidence = 0.0;
    } else if let Some(doubt) = border.and_then(|b| method::doubt(b.painted_seam, request.method)) {
        reading.method_contradicted = true;
        reading.warnings.push(doubt.to_owned());
    }
    reading.profile = Some(profile);
    reading
}

/// Whether the face may go on beyond the outline that was found.
fn ends_elsewhere(photo: &UprightPhoto, look: &Look, corners: &Quad) -> bool {
    face::compound_beyond_base(look, corners) > MOST_BEYOND_BASE
        || face::shift_from_longer(photo, corners).is_some_and(|s| s > MOST_SHIFT_OF_AN_END)
}

/// Least share of the face that must be judged (assumption).
const LEAST_JUDGED: f64 = 0.6;
/// Where the taper may be changed or left for it, so much of each third and of each end must be judged, since
/// the pattern is told by comparing them. A quarter is a strip along it, by which the rest can be told
/// (assumption).
const LEAST_JUDGED_OF_A_PART: f64 = 0.25;
/// Least probability, by the reader, that a seam was painted. High, since a clean face that was never
/// painted looks like one that grips along its whole length.
const LEAST_SEAM: f64 = 0.85;
/// Least probability, by the reader, that nothing spoils the face; low, since what spoils it is measured below
/// as well (assumption).
const LEAST_GOOD: f64 = 0.35;
/// Least probability that this is a jaw's face, by each of the two networks that are asked: likelier than not. A
/// network that has never seen the like may be sure of a pattern all the same, so this is asked by itself.
const LEAST_JAW: f64 = 0.5;
/// Most probability that compound and metal are too alike (likelier than not).
const MOST_ALIKE: f64 = 0.5;
/// Largest share of the face where the reader can't tell compound from metal. Of 400 readings of rendered photos whose
/// pattern was right one in fifty came near it; of those in hard light that were wrong, more than half lie above.
const MOST_UNDECIDED: f32 = 0.3;
/// Least distance of the hues of compound and bare metal. Where they differ in lightness alone (white paint on dark
/// metal, black on bright), nothing in the picture says which is which, and taking one for the other turns the cut
/// round: all such turned cuts that were seen lie below 0.4, and of 260 right readings of coloured compound two in a
/// hundred below 0.53.
const LEAST_HUE_SHIFT: f32 = 0.5;
/// How far two networks' opinions on where compound lies may differ on average where the answer is that it lies nowhere. Of 224
/// right readings in hard light one in nine lies above, of 24 wrong ones half; on plain renders the largest was 0.07.
const MOST_APART_ON_FULL_LENGTH: f32 = 0.15;
/// Most compound beyond the base, on average. Of 241 right readings one in a hundred lies above.
const MOST_BEYOND_BASE: f32 = 0.3;
/// How far an end may settle elsewhere, as a share of the length, from an outline that is longer. Of 241 right readings one
/// lies above, of 24 wrong ones three: films whose border across the face passed for its end.
const MOST_SHIFT_OF_AN_END: f64 = 0.2;
/// How much further one end of a face may seem to bulge along it than the other, as a share of the length: both are cuts
/// across the same cylinder, so they are curved much alike. Of 573 rendered faces the largest true difference is
/// 0.108; where something plain covers an end and passes for it, its edge lies elsewhere.
const MOST_UNLIKE_ENDS: f64 = 0.12;
/// Corners given by hand must enclose something whose outline the reader can make out as a face's (assumption:
/// low, so that only what is none is refused).
const LEAST_OUTLINE_SEEN: f64 = 0.1;
/// Edges must be this strong in every direction. Of 240 rendered photos the readable ones had 0.17 or
/// more and the shaken ones 0.14 or less; the limit lies between.
const LEAST_SHARPNESS: f64 = 0.145;

/// Largest share of the face that may be burnt out, and that something in front of it may hide (assumptions).
const MOST_BURNT: f32 = 0.5;
/// See [`MOST_BURNT`].
const MOST_HIDDEN: f32 = 0.25;

fn reason_to_refuse(
    look: &Look,
    map: &CompoundMap,
    profile: &ContactProfile,
    method: Method,
) -> Option<Reason> {
    if look.jaw < LEAST_JAW {
        return Some(Reason::NoFace);
    }
    if look.quality[0] < LEAST_GOOD {
        return worst_quality(look);
    }
    if look.outline_confidence() < LEAST_OUTLINE_SEEN {
        return Some(Reason::NoFace);
    }
    if look.sharpness() < LEAST_SHARPNESS {
        return Some(Reason::Blurred);
    }
    if map.burnt > MOST_BURNT {
        return Some(Reason::Glare);
    }
    if map.hidden > MOST_HIDDEN {
        return Some(Reason::Hidden);
    }
    if profile.judged < LEAST_JUDGED {
        return Some(too_dark_or_bright(map));
    }
    if look.alike > MOST_ALIKE || map.undecided > MOST_UNDECIDED {
        return Some(Reason::TooAlike);
    }
    // Last: what is burnt or blurred hides the seam too, and then painting again would not help. A print has no
    // seam to ask for.
    (method == Method::Seep && look.seam < LEAST_SEAM).then_some(Reason::NoSeam)
}

fn too_dark_or_bright(map: &CompoundMap) -> Reason {
    if map.black > map.burnt {
        Reason::Dark
    } else {
        Reason::Glare
    }
}

fn worst_quality(look: &Look) -> Option<Reason> {
    let (worst, _) = look
        .quality
        .iter()
        .enumerate()
        // `Good`, which was found too unlikely.
        .skip(1)
        .max_by(|a, b| a.1.total_cmp(b.1))?;
    match Quality::ALL[worst] {
        Quality::Good => None,
        Quality::Blurred => Some(Reason::Blurred),
        Quality::Dark => Some(Reason::Dark),
        Quality::BurntOut => Some(Reason::BurntOut),
        Quality::Glare => Some(Reason::Glare),
        Quality::Hidden => Some(Reason::Hidden),
        Quality::Smeared => Some(Reason::Smeared),
    }
}
