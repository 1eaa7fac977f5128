use ndarray::Array2;

use super::*;
use crate::reading::face::{Face, FoundBy};
use crate::reading::geometry::{Point, Quad};
use crate::reading::photo::UprightPhoto;
use crate::reading::rectify::{COLS, ROWS};

/// A photo of a face that is clean where `clean` says so, judged where `judged` says so.
fn seen(clean: impl Fn(usize, usize) -> bool, judged: impl Fn(usize, usize) -> bool) -> Inspection {
    let cover = Array2::from_shape_fn((ROWS, COLS), |(r, c)| if clean(r, c) { 0.02 } else { 0.97 });
    let judged = Array2::from_shape_fn((ROWS, COLS), |(r, c)| judged(r, c));
    let left = judged.iter().filter(|j| !**j).count() as f32 / (ROWS * COLS) as f32;
    let map = CompoundMap {
        // Grain as a film has, for the separation below.
        density: cover.mapv(|p| p * 0.5)
            + Array2::from_shape_fn((ROWS, COLS), |(r, c)| ((r + c) % 2) as f32 / 5.0),
        second: cover.clone(),
        cover,
        judged,
        separation: Some(5.0),
        hue_shift: Some(1.0),
        undecided: 0.0,
        burnt: left,
        black: 0.0,
        hidden: 0.0,
    };
    let cues = Cues {
        border: Some(Border {
            painted_seam: 0.95,
            jaw: 0.99,
        }),
        ..good()
    };
    let corners =
        Quad([[0.0, 0.0], [96.0, 0.0], [96.0, 128.0], [0.0, 128.0]].map(|[x, y]| Point::new(x, y)));
    let face = Face {
        corners,
        tip_middle: Point::new(48.0, 0.0),
        base_middle: Point::new(48.0, 128.0),
        found_by: FoundBy::Given,
        confidence: 0.99,
        tip_support: 0.99,
    };
    inspected(map, cues, face)
}

fn inspected(map: CompoundMap, cues: Cues, face: Face) -> Inspection {
    let weighed = weigh(&map, &cues, Method::Seep);
    let (reading, _) = settled(weighed, &cues, |_| (None, cues.border));
    Inspection {
        photo: UprightPhoto {
            pixels: image::RgbImage::new(1, 1),
            size_px: [1, 1],
            taken: None,
            focal_35mm: None,
            phone: None,
            sha256: String::new(),
        },
        rectified: None,
        compound: Some(map),
        reading: Reading {
            face: Some(face),
            ..reading
        },
        cues: Some(cues),
        request: crate::reading::inspect::Request::default(),
    }
}

fn good() -> Cues {
    Cues {
        quality: GOOD,
        jaw: 0.998,
        jaw_when_turned: Some(0.99),
        alike: 0.001,
        seam: 0.99,
        outline_seen: 0.99,
        outline: 1.0,
        sharpness: 0.3,
        unlike_ends: 0.03,
        opinions_apart: 0.0,
        beyond_base: 0.0,
        cut_off: false,
        tip: None,
        border: None,
    }
}

fn with(photo: &Inspection, change: impl Fn(&mut Cues)) -> Inspection {
    let mut cues = photo.cues.expect("cues");
    change(&mut cues);
    let face = photo.reading.face.clone().expect("a face");
    inspected(photo.compound.clone().expect("a map"), cues, face)
}

fn as_sure(reading: &Reading, confidence: f64) -> bool {
    (reading.confidence - confidence).abs() < 1e-9
}

/// Clean from the tip to just beyond the middle: tip-only.
fn open_base(r: usize, _: usize) -> bool {
    r < 70
}

fn whole(_: usize, _: usize) -> bool {
    true
}

#[test]
fn a_joined_reading_is_what_the_whole_face_would_say() {
    let by_itself = seen(open_base, whole);
    assert_eq!(by_itself.reading.pattern, Pattern::TipOnly);
    let halves = [
        seen(open_base, |r, _| r < 75),
        seen(open_base, |r, _| r > 45),
    ];
    for half in &halves {
        assert!(half.reading.refusal.is_some(), "{:?}", half.reading);
    }
    let joined = join(&[&halves[0], &halves[1]]);
    assert_eq!(joined.reading.pattern, Pattern::TipOnly);
    // Joined as well, since how far paint and metal lie apart is then measured anew.
    let whole = join(&[&by_itself, &by_itself]);
    assert!(as_sure(&joined.reading, whole.reading.confidence));
    assert_eq!(joined.reading.profile, by_itself.reading.profile);
    assert_eq!(joined.left_out, [None, None]);
    assert!(joined.reading.warnings.is_empty());
}

#[test]
fn photos_that_contradict_each_other_are_refused_as_unclear() {
    let (open, full) = (seen(open_base, whole), seen(|_, _| true, whole));
    let joined = join(&[&open, &full]);
    let refusal = joined.reading.refusal.as_ref().expect("refused");
    assert_eq!(refusal.reason, Reason::Unclear);
    assert!(as_sure(&joined.reading, 0.0));
    assert!(joined.contradicted > 0.3, "{}", joined.contradicted);
    let said = &joined.reading.warnings[0];
    assert!(said.contains("the two photos disagree about"), "{said}");
}

#[test]
fn photos_that_ask_for_opposite_changes_are_refused_and_the_tip_is_asked_for() {
    let (one, turned) = (seen(open_base, whole), seen(|r, _| r >= ROWS - 70, whole));
    assert_eq!(turned.reading.pattern, Pattern::BaseOnly);
    let joined = join(&[&one, &turned]);
    assert_eq!(joined.reading.pattern, Pattern::Unreadable);
    assert!(joined.reading.tip_in_doubt());
}

#[test]
fn a_photo_that_says_nothing_is_left_out_and_the_other_stands_as_it_is() {
    let fine = seen(open_base, whole);
    let shaken = with(&seen(open_base, whole), |c| c.sharpness = 0.05);
    let joined = join(&[&shaken, &fine]);
    assert_eq!(
        joined.left_out,
        [Some(SetAside::Refused(Reason::Blurred)), None]
    );
    assert_eq!(joined.reading.pattern, fine.reading.pattern);
    assert!(as_sure(&joined.reading, fine.reading.confidence));
    let none = join(&[&shaken, &shaken]);
    let reason = none.reading.refusal.map(|r| r.reason);
    assert_eq!(reason, Some(Reason::Blurred));
}

#[test]
fn a_photo_whose_tip_nobody_said_is_left_out_where_the_other_settles_it() {
    let unsaid = |support: f64| {
        with(&seen(open_base, whole), |c| {
            c.tip = Some(TipDoubt {
                words: "say it",
                unsaid: true,
                support,
            });
        })
    };
    let joined = join(&[&unsaid(0.7), &seen(open_base, whole)]);
    assert_eq!(joined.left_out, [Some(SetAside::Tip), None]);
    assert!(!joined.reading.tip_contradicted);
    // One that is spoilt settles nothing by itself, and what does not hang on the tip is read.
    let spoilt = with(&seen(open_base, |r, _| r < 75), |_| ());
    let joined = join(&[&spoilt, &unsaid(0.7)]);
    assert_eq!(joined.left_out, [None, None]);
    assert!(joined.reading.tip_unsaid);
    // Where none settles it, it stays asked for, and the less likely one counts.
    let joined = join(&[&unsaid(0.7), &unsaid(0.6)]);
    assert!(joined.reading.tip_contradicted && joined.reading.tip_unsaid);
    assert_eq!(joined.left_out, [None, None]);
}

#[test]
fn a_tip_or_a_method_that_one_photo_contradicts_is_contradicted_by_the_jaw() {
    let fine = seen(open_base, whole);
    let turned = with(&fine, |c| {
        c.tip = Some(TipDoubt {
            words: "say it",
            unsaid: false,
            support: 1.0,
        });
    });
    assert!(join(&[&fine, &turned]).reading.tip_contradicted);
    // One that is spoilt besides is no witness, and is left out.
    let spoilt = with(&turned, |c| c.quality = [0.1, 0.0, 0.0, 0.0, 0.9, 0.0, 0.0]);
    let joined = join(&[&fine, &spoilt]);
    assert_eq!(joined.left_out, [None, Some(SetAside::Tip)]);
    assert!(!joined.reading.tip_contradicted);
    let print = with(&fine, |c| {
        c.border = Some(Border {
            painted_seam: 0.55,
            jaw: 0.99,
        });
    });
    assert!(print.reading.method_contradicted);
    assert!(join(&[&fine, &print]).reading.method_contradicted);
}

#[test]
fn a_seam_that_one_photo_hides_is_asked_of_the_other() {
    let half = |edge: fn(usize) -> bool, seam: f64| {
        let photo = seen(open_base, move |r, _| edge(r));
        with(&photo, |c| {
            c.seam = seam;
            c.border = Some(Border {
                painted_seam: seam,
                jaw: 0.9,
            });
        })
    };
    let joined = join(&[&half(|r| r < 75, 0.2), &half(|r| r > 45, 0.95)]);
    assert_eq!(joined.reading.pattern, Pattern::TipOnly);
    assert!(!joined.reading.method_contradicted);
    let never = join(&[&half(|r| r < 75, 0.2), &half(|r| r > 45, 0.3)]);
    assert_eq!(
        never.reading.refusal.map(|r| r.reason),
        Some(Reason::NoSeam)
    );
}

/// Half a face in glare shows less plainly that it is one.
#[test]
fn one_photo_that_plainly_shows_a_jaw_speaks_for_all() {
    let lukewarm = |c: &mut Cues| {
        (c.jaw, c.jaw_when_turned) = (0.7, Some(0.8));
        c.border = Some(Border {
            painted_seam: 0.95,
            jaw: 0.6,
        });
    };
    let good = seen(open_base, whole);
    let weak = with(&good, lukewarm);
    // Too little for anything to rest on.
    assert!(weak.reading.confidence <= 0.7, "{:?}", weak.reading);
    for photos in [[&good, &weak], [&weak, &good]] {
        let joined = join(&photos);
        assert_eq!(joined.reading.pattern, Pattern::TipOnly, "{joined:?}");
        assert!(as_sure(&joined.reading, good.reading.confidence));
        assert_eq!(joined.left_out, [None, None]);
    }
    assert!(join(&[&weak, &weak]).reading.confidence <= 0.7);
}

#[test]
fn glare_that_the_other_photo_makes_up_for_spoils_neither() {
    let glared = |judged: fn(usize, usize) -> bool| {
        with(&seen(open_base, judged), |c| {
            c.quality = [0.1, 0.0, 0.0, 0.0, 0.9, 0.0, 0.0];
        })
    };
    let (tip, base) = (glared(|r, _| r < 75), glared(|r, _| r > 45));
    assert_eq!(
        tip.reading.refusal.as_ref().map(|r| r.reason),
        Some(Reason::Glare)
    );
    assert_eq!(join(&[&tip, &base]).reading.pattern, Pattern::TipOnly);
    // A part that neither shows is as hidden as before.
    let narrow = glared(|r, c| r < 120 && c < 70);
    let both = join(&[&narrow, &narrow]).reading;
    assert_eq!(both.refusal.map(|r| r.reason), Some(Reason::Glare));
}

#[test]
fn three_photos_that_each_see_a_third_less_give_the_whole() {
    let thirds = [0, 1, 2].map(|t| seen(open_base, move |r, _| r * 3 / ROWS != t));
    let joined = join(&thirds.each_ref());
    assert_eq!(joined.reading.pattern, Pattern::TipOnly);
}

/// A photo cannot be chosen so that it lies between the limits, so they are asked themselves.
#[test]
fn what_is_likelier_wrong_than_right_is_not_named() {
    use crate::reading::inspect::limits::of_trust;
    let named = seen(open_base, whole).reading;
    let of = |right, reading: &Reading| of_trust(right, &[], 0.2, &good(), reading);
    assert_eq!(of(0.51, &named), None);
    assert_eq!(of(0.49, &named), Some(Reason::TooAlike));
    let plain = of_trust(0.49, &[], 0.1, &good(), &named);
    assert_eq!(plain, Some(Reason::Unclear));
    let apart = Cues {
        opinions_apart: 0.2,
        ..good()
    };
    let apart = of_trust(0.49, &[], 0.1, &apart, &named);
    assert_eq!(apart, Some(Reason::TooAlike));
    let unseen = Cues {
        seam: 0.8,
        ..good()
    };
    assert_eq!(
        of_trust(0.49, &[], 0.1, &unseen, &named),
        Some(Reason::NoSeam)
    );
    let tip = |unsaid| Reading {
        tip_contradicted: true,
        tip_unsaid: unsaid,
        ..named.clone()
    };
    assert_eq!(of(0.49, &tip(true)), Some(Reason::Unclear));
    assert_eq!(of(0.49, &tip(false)), None);
}

/// Likewise.
#[test]
fn in_doubt_a_pattern_is_named_where_it_is_plainly_right() {
    use crate::reading::inspect::doubt;
    use crate::reading::inspect::limits::of_trust;
    let cues = |change: fn(&mut Cues)| {
        let mut cues = good();
        change(&mut cues);
        cues
    };
    let unpainted = cues(|c| c.seam = 0.8);
    // Each of the three passes for a jaw by itself.
    let lukewarm = cues(|c| (c.jaw, c.jaw_when_turned) = (0.9, Some(0.9)));
    let lukewarm_print = cues(|c| c.jaw_when_turned = Some(0.7));
    // Whoever gives the corners has seen a jaw.
    let given = cues(|c| c.jaw_when_turned = None);
    let cut_off = cues(|c| c.cut_off = true);
    let beyond = cues(|c| c.beyond_base = 0.4);
    let (seep, print) = (Method::Seep, Method::Transfer);
    let doubts =
        |cues: &Cues, hue, pattern, method| doubt::all(cues, Some(hue), 0.9, pattern, method);
    let named = seen(open_base, whole).reading;
    let refused_below = |least: f64, reason, cues: &Cues, hue, pattern, method| {
        let found = doubts(cues, hue, pattern, method);
        let of = |right| of_trust(right, &found, 0.1, cues, &named);
        assert_eq!(of(least - 0.01), Some(reason), "{pattern:?}");
        assert_eq!(of(least + 0.01), None, "{pattern:?}");
    };
    let (clean, tip, base) = (Pattern::FullLength, Pattern::TipOnly, Pattern::BaseOnly);
    refused_below(0.8, Reason::NoSeam, &unpainted, 1.0, clean, seep);
    refused_below(0.8, Reason::NoFace, &lukewarm, 1.0, tip, seep);
    refused_below(
        0.8,
        Reason::NoFace,
        &lukewarm_print,
        1.0,
        Pattern::OneSide,
        print,
    );
    refused_below(
        0.8,
        Reason::OutOfPicture,
        &cut_off,
        1.0,
        Pattern::EndsOnly,
        seep,
    );
    refused_below(0.8, Reason::Hidden, &beyond, 1.0, tip, seep);
    refused_below(0.9, Reason::TooAlike, &good(), 0.3, base, seep);
    for (cues, hue, pattern, method) in [
        (good(), 1.0, tip, seep),
        (unpainted, 1.0, tip, seep),
        (unpainted, 1.0, clean, print),
        (lukewarm, 1.0, Pattern::OneSide, seep),
        (lukewarm_print, 1.0, Pattern::OneSide, seep),
        (given, 1.0, Pattern::OneSide, print),
        (beyond, 1.0, Pattern::OneSide, seep),
        (good(), 0.3, Pattern::EndsOnly, seep),
    ] {
        let found = doubts(&cues, hue, pattern, method);
        assert!(found.is_empty(), "{pattern:?} {method:?}: {found:?}");
    }
}

#[test]
fn a_map_that_nothing_bears_out_is_refused() {
    let plain = seen(open_base, whole);
    assert_eq!(plain.reading.pattern, Pattern::TipOnly);
    let mut torn = plain.compound.clone().expect("a map");
    torn.second = torn.cover.mapv(|p| 1.0 - p);
    torn.undecided = 0.8;
    torn.separation = Some(0.8);
    torn.hue_shift = Some(0.41);
    let doubted = Cues {
        opinions_apart: 0.4,
        alike: 0.49,
        jaw: 0.6,
        outline_seen: 0.5,
        outline: 0.5,
        sharpness: 0.15,
        ..plain.cues.expect("cues")
    };
    let face = plain.reading.face.clone().expect("a face");
    let reading = inspected(torn, doubted, face).reading;
    let refusal = reading.refusal.as_ref().map(|r| r.reason);
    assert_eq!(refusal, Some(Reason::TooAlike), "{reading:?}");
}

#[test]
fn nothing_rests_on_a_face_that_is_not_plainly_clean() {
    let clean = seen(|_, _| true, whole);
    assert_eq!(clean.reading.pattern, Pattern::FullLength);
    let doubted = with(&clean, |cues| cues.opinions_apart = 0.07).reading;
    assert_eq!(doubted.pattern, Pattern::FullLength);
    assert!(doubted.confidence <= 0.7, "{}", doubted.confidence);
    assert_eq!(doubted.warnings.len(), 1 + clean.reading.warnings.len());
}
