//! An invented shop: jaw sets named after birds, checked over two years. Plumbing, no truth.

use seepline::{
    Action, Band, CheckLine, Contact, Grip, Id, Length, Method, Pattern, PerSide, PhotoLine, Reason,
};

const BIRDS: [&str; 12] = [
    "heron", "wren", "plover", "dunlin", "siskin", "kestrel", "avocet", "linnet", "curlew",
    "dipper", "merlin", "garganey",
];
const REFUSALS: [Reason; 5] = [
    Reason::Blurred,
    Reason::Glare,
    Reason::NoFace,
    Reason::Dark,
    Reason::NoSeam,
];

/// What a review found.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Shop {
    pub(crate) photos: Vec<PhotoLine>,
    pub(crate) checks: Vec<CheckLine>,
}

/// The same numbers each time: a linear congruential generator (Knuth, TAOCP 2, 3.3.4, line 26).
struct Draws(u64);

impl Draws {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }

    fn one_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }
}

pub(crate) fn thou(tenths: i64) -> PerSide {
    let text = format!("{}.{}thou", tenths.abs() / 10, tenths.abs() % 10);
    let length: Length = text.parse().expect("a length");
    if tenths < 0 {
        -PerSide::of(length)
    } else {
        PerSide::of(length)
    }
}

pub(crate) fn sha(number: u64) -> String {
    let half = Id::derived(&["photo", &number.to_string()]).to_string();
    half.clone() + &half
}

/// `days` after the start of 2024.
pub(crate) fn made(days: i64) -> String {
    let day = jiff::civil::date(2024, 1, 1).at(7, 30, 0, 0) + jiff::Span::new().hours(days * 24);
    day.strftime("%Y-%m-%dT%H:%M:%S").to_string()
}

pub(crate) fn photo(number: u64, check: &str, pattern: Pattern) -> PhotoLine {
    let edge = 0.55;
    let clean = |i: usize| {
        let at = (i as f64 + 0.5) / 64.0;
        let open = match pattern {
            Pattern::TipOnly => at > edge,
            Pattern::BaseOnly => at < 1.0 - edge,
            Pattern::EndsOnly => (0.3..0.7).contains(&at),
            _ => false,
        };
        // Some stations in the glare.
        if (50..54).contains(&i) {
            None
        } else {
            Some(if open { 0.07 } else { 0.97 })
        }
    };
    let bands = match pattern {
        Pattern::TipOnly => vec![Band {
            from: edge,
            to: 1.0,
        }],
        Pattern::BaseOnly => vec![Band {
            from: 0.0,
            to: 1.0 - edge,
        }],
        _ => Vec::new(),
    };
    PhotoLine {
        sha256: sha(number),
        file: format!("2024/north lathe/IMG_{number:05}.jpg"),
        same_as: Vec::new(),
        check: check.to_owned(),
        taken: Some(made(number as i64 / 9)),
        size_px: Some([3000, 4000]),
        corners_px: Some([
            [900.0, 2300.0],
            [2300.0, 2250.0],
            [2400.0, 3500.0],
            [850.0, 3550.0],
        ]),
        method: Method::Seep,
        pattern,
        confidence: 0.97,
        refusal: None,
        error: None,
        warnings: Vec::new(),
        profile: (0..64).map(clean).collect(),
        bands,
        contact: Some(Contact {
            tip: 0.98,
            middle: 0.61,
            base: 0.04,
        }),
        program: "0.1.0".into(),
    }
}

pub(crate) fn refused(number: u64, check: &str, reason: Reason) -> PhotoLine {
    PhotoLine {
        confidence: 0.0,
        refusal: Some(reason),
        profile: Vec::new(),
        bands: Vec::new(),
        contact: None,
        ..photo(number, check, Pattern::Unreadable)
    }
}

pub(crate) fn broken(number: u64) -> PhotoLine {
    PhotoLine {
        size_px: None,
        taken: None,
        refusal: None,
        error: Some("the file ends too early; copy it again from the phone".into()),
        ..refused(number, "", Reason::Unclear)
    }
}

/// `change` in tenths of a thousandth; its sign decides pattern and action.
pub(crate) fn check(set: Option<&str>, day: i64, taper: i64, change: i64) -> CheckLine {
    let (pattern, action, what) = match change {
        0 => (
            Pattern::FullLength,
            Action::Leave,
            "Leave the taper as it is",
        ),
        c if c < 0 => (Pattern::TipOnly, Action::Recut, "Cut again with less taper"),
        _ => (
            Pattern::BaseOnly,
            Action::Recut,
            "Cut again with more taper",
        ),
    };
    CheckLine {
        check: Id::derived(&["check", set.unwrap_or_default(), &day.to_string()]).to_string(),
        jaw_set: set.map(str::to_owned),
        made: Some(made(day)),
        photos: Vec::new(),
        grip: Grip::Outside,
        taper: Some(thou(taper)),
        pattern,
        action,
        confidence: 0.96,
        change: Some(thou(change)),
        low: Some(thou(change - 5)),
        high: Some(thou(change + 5)),
        next_taper: Some(thou(taper + change)),
        odd_jaw: None,
        what_to_do: format!("{what}, then check again."),
        why: "Compound got in from one end on all three jaws, so that end stands open under clamp. The edge of the compound says how far the taper is off.".into(),
        look_at_first: vec!["the seam: painted along the tip and both flanks".into(), "the pressure while checking".into()],
        done: None,
        rules: "1 (3f2a9c0d)".into(),
        jaws: Vec::new(),
        perhaps_one_jaw: Vec::new(),
        proof: None,
    }
}

impl Shop {
    /// A check with so many photos of its pattern.
    pub(crate) fn add(&mut self, mut check: CheckLine, photos: u64) -> &mut CheckLine {
        for _ in 0..photos {
            let number = self.photos.len() as u64;
            let photo = photo(number, &check.check, check.pattern);
            check.photos.push(photo.sha256.clone());
            self.photos.push(photo);
        }
        self.checks.push(check);
        self.checks.last_mut().expect("a check")
    }

    /// A photo that the latest check refused.
    pub(crate) fn refuse(&mut self, reason: Reason) {
        let number = self.photos.len() as u64;
        let check = self.checks.last_mut().expect("a check");
        let photo = refused(number, &check.check, reason);
        check.photos.push(photo.sha256.clone());
        self.photos.push(photo);
    }
}

/// So many checks of about three photos each, one in forty sets of `BIRDS` times a number.
pub(crate) fn shop(checks: usize) -> Shop {
    let mut shop = Shop::default();
    let mut draws = Draws(4);
    let sets = (checks / 40).max(3);
    for number in 0..checks {
        let set = number % sets;
        let round = (number / sets) as i64;
        let name = match set / BIRDS.len() {
            0 => BIRDS[set].to_owned(),
            n => format!("{} {}", BIRDS[set % BIRDS.len()], n + 1),
        };
        let day = round * 17 + set as i64 % 17;
        let change = change(set, round, &mut draws);
        let taper = 30 - 5 * (set as i64 % 3);
        let known = !draws.one_in(30);
        let mut line = check(known.then_some(name.as_str()), day, taper, change);
        line.check = Id::derived(&["check", &number.to_string()]).to_string();
        vary(&mut shop, line, &mut draws);
    }
    shop.photos.push(broken(shop.photos.len() as u64));
    shop
}

/// Every seventh set drifts; the others scatter.
fn change(set: usize, round: i64, draws: &mut Draws) -> i64 {
    let scatter = [0, 0, 0, 5, -5][draws.below(5) as usize];
    if set % 7 == 1 {
        (round / 5 * 5).min(20) + scatter.max(0)
    } else {
        scatter
    }
}

fn vary(shop: &mut Shop, mut line: CheckLine, draws: &mut Draws) {
    if draws.one_in(25) {
        line.confidence = 0.4 + draws.below(40) as f64 / 100.0;
    }
    if draws.one_in(12) {
        line.pattern = [
            Pattern::OneSide,
            Pattern::HeldOff,
            Pattern::EndsOnly,
            Pattern::CentreOnly,
        ][draws.below(4) as usize];
        line.action = Action::FixFirst;
        (line.change, line.low, line.high, line.next_taper) = (None, None, None, None);
        line.odd_jaw = Some(draws.below(3) as usize).filter(|_| line.pattern == Pattern::OneSide);
        line.what_to_do = "Seat the jaw, then check again.".into();
    }
    line.done = match (line.action, draws.below(8)) {
        (Action::Recut, 0) => None,
        (Action::Recut, 1) => Some("added taper, ran it".into()),
        (Action::Recut, _) => Some("recut as advised".into()),
        _ => None,
    };
    shop.add(line, 3);
    if draws.one_in(20) {
        let warned = shop.photos.last_mut().expect("a photo");
        warned
            .warnings
            .push("the tip may point the other way than said".into());
    }
    if draws.one_in(15) {
        shop.refuse(REFUSALS[draws.below(5) as usize]);
    }
}
