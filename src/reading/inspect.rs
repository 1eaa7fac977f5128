//! The whole reading of one photo; keeps every intermediate for reports, pictures and tests.

mod cues;
mod joined;
mod limits;
mod method;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::thread;

use crate::reading::compound::{self, CompoundMap};
use crate::reading::face::{self, Border, Face, FoundBy, Look, TipDirection};
use crate::reading::geometry::Quad;
use crate::reading::method::Method;
use crate::reading::network;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{self, Direction, Pattern};
use crate::reading::photo::UprightPhoto;
use crate::reading::profile;
use crate::reading::rectify::{self, RectifiedFace};
use crate::reading::refusal::{Reason, Refusal};

pub use cues::Cues;
pub use joined::{Joined, SetAside, join};

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
    /// What the photo says beside that map, where a face was found.
    pub cues: Option<Cues>,
    /// What the user said.
    pub request: Request,
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
    // What is no jaw is refused whatever its compound, and this network takes the longest.
    if look.jaw >= limits::LEAST_JAW {
        look.look_for_compound();
    }
    let (grid, turned) = beside(|| on_grid(&photo, &face, &look), || look.when_turned());
    let (rectified, compound) = grid;
    // A network that gives no second opinion leaves the tip, and the jaw, in doubt.
    let turned = turned.unwrap_or_default();
    face.weigh_tip(turned.tip);
    let Some(map) = &compound else {
        // Three corners lie on one line, which outlines nothing.
        return without_face(photo, request, Reason::NoFace);
    };
    let mut cues = Cues::of(&face, &look, turned, request);
    let (reading, reason) = weigh(map, &cues, request.method);
    let reason = reason.or_else(|| doubt_of_ends(&photo, &face, reading.pattern));
    let (reading, border) = settled((reading, reason), &cues, || {
        face::border(&photo, &face.corners)
    });
    cues.border = border;
    Inspection {
        photo,
        rectified,
        compound,
        reading: Reading {
            face: Some(face),
            ..reading
        },
        cues: Some(cues),
        request: request.clone(),
    }
}

/// Asked only where it may turn a cut or leave one out, since it takes another look.
fn doubt_of_ends(photo: &UprightPhoto, face: &Face, pattern: Pattern) -> Option<Reason> {
    let may_go_on = pattern::is_taper(pattern) && face.found_by == FoundBy::Search;
    let shift = may_go_on.then(|| face::shift_from_longer(photo, &face.corners));
    limits::of_ends(shift.flatten())
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
pub(crate) fn beside<A, B: Send>(
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
    let reading = refused(None, request.method, reason);
    Inspection {
        photo,
        rectified: None,
        compound: None,
        reading,
        cues: None,
        request: request.clone(),
    }
}

fn refused(face: Option<Face>, method: Method, reason: Reason) -> Reading {
    Reading {
        face,
        method,
        profile: None,
        bands: Vec::new(),
        pattern: Pattern::Unreadable,
        confidence: 0.0,
        refusal: Some(Refusal::of(reason)),
        warnings: Vec::new(),
        tip_contradicted: false,
        tip_unsaid: false,
        method_contradicted: false,
        evidence: Vec::new(),
    }
}

/// What the map and the cues say together, whether of one photo or of several of one jaw; and why it can't be
/// judged. The border is not asked yet.
fn weigh(map: &CompoundMap, cues: &Cues, method: Method) -> (Reading, Option<Reason>) {
    let profile = profile::profile(map);
    let judged = pattern::judge(map, method);
    // With the tip at the other end tip-only is base-only; every other pattern is what it is either way up.
    let turns = pattern::direction(judged.pattern) != Direction::None;
    let doubt = cues.tip.filter(|_| turns);
    let by_tip = doubt.map_or(1.0, |d| d.support);
    let reason = limits::of_photo(cues)
        .or_else(|| limits::of_map(map, cues, &profile, judged.pattern, method))
        .or_else(|| limits::of_tip(by_tip));
    let reading = Reading {
        bands: profile::bands(&profile),
        profile: Some(profile),
        pattern: judged.pattern,
        // Right only where the outline is right too.
        confidence: judged.confidence * cues.outline * by_tip,
        evidence: judged.evidence,
        tip_contradicted: doubt.is_some(),
        tip_unsaid: doubt.is_some_and(|d| d.unsaid),
        warnings: doubt.map(|d| d.words.to_owned()).into_iter().collect(),
        // For the other fields; its refusal is replaced by the one that holds, or by none.
        ..refused(None, method, Reason::Unclear)
    };
    (reading, reason)
}

/// The reading as it stands: refused for `reason` or for what the border says, or else judged.
fn settled(
    (mut reading, reason): (Reading, Option<Reason>),
    cues: &Cues,
    border: impl FnOnce() -> Border,
) -> (Reading, Option<Border>) {
    // Another look costs as much as the others; where the photo is refused already it settles nothing.
    let border = reason.is_none().then(border);
    let reason = reason.or(border.and_then(|b| limits::of_jaw(cues, b.jaw, reading.pattern)));
    reading.refusal = reason.map(Refusal::of);
    if reading.refusal.is_some() {
        reading.pattern = Pattern::Unreadable;
        reading.confidence = 0.0;
    } else if let Some(doubt) = border.and_then(|b| method::doubt(b.painted_seam, reading.method)) {
        reading.method_contradicted = true;
        reading.warnings.push(doubt.to_owned());
    }
    (reading, border)
}
