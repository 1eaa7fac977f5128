//! The whole reading of one photo; keeps every intermediate for reports, pictures and tests.

mod cues;
mod doubt;
mod joined;
mod limits;
mod method;
mod trust;

use crate::reading::compound::{self, CompoundMap};
use crate::reading::face::{self, Border, Face, FoundBy, TipDirection};
use crate::reading::geometry::Quad;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{self, Direction, Pattern};
use crate::reading::photo::UprightPhoto;
use crate::reading::profile;
use crate::reading::rectify::{self, RectifiedFace};
use crate::reading::refusal::{Reason, Refusal};
use crate::reading::threads::{self, beside};

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
    let asks_for_compound = look.jaw >= limits::LEAST_JAW;
    let (film, seen) = beside(
        || asks_for_compound.then(|| look.film()),
        || (look.when_turned(), rectify::rectify(&photo, &face)),
    );
    let (turned, rectified) = seen;
    if let Some(film) = film {
        look.set_compound(film);
    }
    face.weigh_tip(turned.tip);
    let Some(map) = rectified.as_ref().map(|r| compound::map_compound(r, &look)) else {
        // Three corners lie on one line, which outlines nothing.
        return without_face(photo, request, Reason::NoFace);
    };
    let mut cues = Cues::of(&photo, &face, &look, turned, request);
    let weighed = weigh(&map, &cues, request.method);
    let (reading, border) = settled(weighed, &cues, |pattern| last_looks(&photo, &face, pattern));
    cues.border = border;
    Inspection {
        photo,
        rectified,
        compound: Some(map),
        reading: Reading {
            face: Some(face),
            ..reading
        },
        cues: Some(cues),
        request: request.clone(),
    }
}

/// Whether the outline ends where the face does, and what the border says; the latter only where the former does not
/// refuse the photo. The ends are asked about only where they may turn a cut or leave one out: each is another look.
fn last_looks(
    photo: &UprightPhoto,
    face: &Face,
    pattern: Pattern,
) -> (Option<Reason>, Option<Border>) {
    let border = || face::border(photo, &face.corners);
    let ends = || of_ends(photo, face, pattern);
    if !pattern::is_taper(pattern) || face.found_by != FoundBy::Search {
        return (None, Some(border()));
    }
    if threads::count() < 2 {
        let reason = ends();
        return (reason, reason.is_none().then(border));
    }
    let (reason, border) = beside(ends, border);
    (reason, reason.is_none().then_some(border))
}

/// What the outline's ends leave open for this pattern.
fn of_ends(photo: &UprightPhoto, face: &Face, pattern: Pattern) -> Option<Reason> {
    let from = |longer| face::settled_from(photo, &face.corners, longer);
    match pattern {
        Pattern::TipOnly => limits::of_longer(from(face::AT_THE_TIP)),
        Pattern::BaseOnly => limits::of_longer(from(face::AT_BOTH_ENDS))
            .or_else(|| limits::of_shorter_base(from(face::SHORT_OF_THE_BASE))),
        _ => limits::of_longer(from(face::AT_BOTH_ENDS)),
    }
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

/// A reading before the last looks.
struct Weighed {
    reading: Reading,
    /// Why it can't be judged.
    reason: Option<Reason>,
    /// What its probability rests on.
    seen: trust::Seen,
    /// See [`CompoundMap::hue_shift`].
    hue_shift: Option<f32>,
    /// See [`CompoundMap::undecided`].
    undecided: f32,
    /// Most that it is given, whatever they say.
    most: f64,
    /// The probability that the tip is where it was taken to be.
    by_tip: f64,
}

/// What the map and the cues say together, whether of one photo or of several of one jaw. The border is not asked yet.
fn weigh(map: &CompoundMap, cues: &Cues, method: Method) -> Weighed {
    let profile = profile::profile(map);
    let judged = pattern::judge(map, method);
    // With the tip at the other end tip-only is base-only; every other pattern is what it is either way up.
    let turns = pattern::direction(judged.pattern) != Direction::None;
    let tip = cues.tip.filter(|_| turns);
    let by_tip = tip.map_or(1.0, |d| d.support);
    let reason = limits::of_photo(cues)
        .or_else(|| limits::of_map(map, cues, &profile, judged.pattern, method))
        .or_else(|| limits::of_tip(by_tip));
    let seen = trust::Seen::of(map, cues, &profile, &judged, method);
    let most = if judged.contradicted {
        judged.confidence
    } else {
        1.0
    };
    let reading = Reading {
        bands: profile::bands(&profile),
        profile: Some(profile),
        pattern: judged.pattern,
        evidence: judged.evidence,
        tip_contradicted: tip.is_some(),
        tip_unsaid: tip.is_some_and(|d| d.unsaid),
        warnings: tip.map(|d| d.words.to_owned()).into_iter().collect(),
        // For the other fields; its refusal is replaced by the one that holds, or by none.
        ..refused(None, method, Reason::Unclear)
    };
    Weighed {
        reading,
        reason,
        seen,
        hue_shift: map.hue_shift,
        undecided: map.undecided,
        most,
        by_tip,
    }
}

/// The reading as it stands: refused, for what the map, the ends or the border say or since it is likelier wrong than right,
/// or else judged.
fn settled(
    weighed: Weighed,
    cues: &Cues,
    last_looks: impl FnOnce(Pattern) -> (Option<Reason>, Option<Border>),
) -> (Reading, Option<Border>) {
    let Weighed {
        mut reading,
        reason,
        seen,
        hue_shift,
        undecided,
        most,
        by_tip,
    } = weighed;
    // They cost as much as the others; where the photo is refused already they settle nothing.
    let (reason, border) = match reason {
        Some(reason) => (Some(reason), None),
        None => last_looks(reading.pattern),
    };
    let Some(border) = border else {
        return (
            without_pattern(reading, reason.unwrap_or(Reason::Unclear)),
            None,
        );
    };
    let right = seen.chance(border);
    let (pattern, method) = (reading.pattern, reading.method);
    let doubts = doubt::all(cues, hue_shift, border.jaw, pattern, method);
    let reason = reason
        .or_else(|| limits::of_jaw(border.jaw))
        .or_else(|| limits::of_trust(right, &doubts, undecided, cues, &reading));
    if let Some(reason) = reason {
        return (without_pattern(reading, reason), Some(border));
    }
    reading.refusal = None;
    let most = if doubts.is_empty() {
        most
    } else {
        most.min(doubt::MOST_IN_DOUBT)
    };
    reading.confidence = right.min(most) * by_tip;
    let of_method = method::doubt(border.painted_seam, reading.method);
    reading.method_contradicted = of_method.is_some();
    let words = doubts.iter().map(|d| d.words).chain(of_method);
    reading.warnings.extend(words.map(str::to_owned));
    (reading, Some(border))
}

fn without_pattern(reading: Reading, reason: Reason) -> Reading {
    Reading {
        refusal: Some(Refusal::of(reason)),
        pattern: Pattern::Unreadable,
        confidence: 0.0,
        ..reading
    }
}
