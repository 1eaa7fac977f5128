use proptest::prelude::*;

use super::*;
use crate::units::Length;

fn length(text: &str) -> Length {
    text.parse().unwrap()
}

fn taper(text: &str) -> PerSide {
    PerSide::of(length(text))
}

fn pressures(boring: &str, production: &str) -> Pressures {
    Pressures {
        boring: boring.parse().unwrap(),
        production: production.parse().unwrap(),
    }
}

fn felt(thickness: &str, depth: Option<&str>) -> FeelerReading {
    FeelerReading {
        thickness: length(thickness),
        depth: depth.map(length),
        face_length: length("2in"),
        too_thick: None,
        open_end: FeltAt::Tip,
        present: PerSide::ZERO,
    }
}

fn from(reading: FeelerReading) -> Result<StartingTaper, StartError> {
    from_feeler(&reading, Rules::built_in())
}

// Common practice: 0.004 in under a feeler gauge at the open end asks for a taper of 0.004 in per side,
// 0.008 in on the diameter.
#[test]
fn a_feeler_at_the_open_end_is_the_taper_per_side() {
    for depth in [None, Some("0in")] {
        let start = from(felt("4thou", depth)).unwrap();
        assert_eq!(start.taper, taper("4thou"));
        assert_eq!(start.taper.on_diameter().length(), length("8thou"));
        assert_eq!(start.low, taper("4thou"), "the gap is at least the feeler");
        assert!(start.assumed.iter().any(|a| a.contains("next thicker")));
        assert!(!start.cautions.is_empty());
    }
    assert_eq!(from(felt("4thou", None)).unwrap().high, None);
}

// Similar triangles: a wedge that is 0.002 in thick half-way along is 0.004 in thick at its end.
#[test]
fn half_way_in_the_open_end_is_twice_as_wide() {
    let start = from(felt("2thou", Some("1in"))).unwrap();
    assert_eq!(
        (start.needed, start.taper),
        (taper("4thou"), taper("4thou"))
    );
    // Read 0.05 in wrong either way: 2 × 2/(2 − 0.95) and 2 × 2/(2 − 1.05).
    assert!((start.low.thou() - 4.0 / 1.05).abs() < 1e-6);
    assert!((start.high.unwrap().thou() - 4.0 / 0.95).abs() < 1e-6);
}

#[test]
fn the_next_thicker_feeler_bounds_the_gap() {
    let with = |depth, too_thick: &str| {
        from(FeelerReading {
            too_thick: Some(length(too_thick)),
            ..felt("2thou", depth)
        })
    };
    assert_eq!(with(None, "3thou").unwrap().high, Some(taper("3thou")));
    let held = with(Some("1in"), "3.9thou").unwrap();
    assert_eq!(
        (held.needed, held.high),
        (taper("3.9thou"), Some(taper("3.9thou")))
    );
    assert!(matches!(
        with(Some("1in"), "3thou"),
        Err(StartError::NoWedge { .. })
    ));
    assert!(matches!(
        with(None, "2thou"),
        Err(StartError::FeelersContradict { .. })
    ));
    // So deep that the wedge alone says nothing, yet the thicker feeler does.
    assert!(with(Some("1.96in"), "70thou").is_ok());
}

#[test]
fn a_feeler_at_the_base_takes_taper_off_but_never_below_none() {
    let with = |present: &str| {
        from(FeelerReading {
            open_end: FeltAt::Base,
            present: taper(present),
            ..felt("2thou", None)
        })
    };
    let start = with("5thou").unwrap();
    assert_eq!(start.taper, taper("3thou"));
    assert_eq!(
        (start.low, start.high),
        (PerSide::ZERO, Some(taper("3thou")))
    );
    assert!(matches!(with("1thou"), Err(StartError::BelowZero { .. })));
    let tip = from(FeelerReading {
        present: taper("1thou"),
        ..felt("2thou", None)
    });
    assert_eq!(tip.unwrap().taper, taper("3thou"));
}

#[test]
fn nonsense_from_a_feeler_is_refused_with_the_remedy() {
    let error = |reading| from(reading).unwrap_err().to_string();
    assert!(error(felt("0thou", None)).contains("above zero"));
    assert!(error(felt("-1thou", None)).contains("above zero"));
    assert!(error(felt("2thou", Some("2in"))).contains("whole length"));
    assert!(error(felt("2thou", Some("3in"))).contains("whole length"));
    assert!(error(felt("2thou", Some("1.96in"))).contains("thicker feeler"));
    assert!(error(felt("2thou", Some("-1in"))).contains("depth"));
    let mut no_face = felt("2thou", None);
    no_face.face_length = Length::ZERO;
    assert!(error(no_face).contains("face's length"));
}

fn learned() -> TaperPerStep {
    TaperPerStep {
        taper: taper("1.2thou"),
        low: taper("1thou"),
        high: taper("1.5thou"),
        step: "100psi".parse().unwrap(),
        sister: None,
    }
}

// Jaws spring in proportion to the pressure (common practice): 1.2 thou per 100 psi is 4.2 over 350 psi.
#[test]
fn a_compliance_scales_with_the_pressure() {
    let start = from_compliance(&learned(), &pressures("50psi", "400psi"), Rules::built_in());
    let start = start.unwrap();
    assert!((start.needed.thou() - 4.2).abs() < 1e-6);
    assert_eq!(start.taper, taper("4thou"), "rounded to half thousandths");
    assert!((start.low.thou() - 3.5).abs() < 1e-6);
    assert!((start.high.unwrap().thou() - 5.25).abs() < 1e-6);
    assert!(!start.is_rough());
}

#[test]
fn a_sisters_compliance_names_her() {
    let sister = TaperPerStep {
        sister: Some("wren".into()),
        ..learned()
    };
    let start = from_compliance(&sister, &pressures("50psi", "400psi"), Rules::built_in());
    assert!(start.unwrap().assumed.iter().any(|a| a.contains("wren")));
}

#[test]
fn pressures_the_wrong_way_round_are_refused_and_equal_ones_need_no_taper() {
    let with = |b, p| from_compliance(&learned(), &pressures(b, p), Rules::built_in());
    assert!(
        with("400psi", "50psi")
            .unwrap_err()
            .to_string()
            .contains("production pressure")
    );
    let none = with("300psi", "300psi").unwrap();
    assert_eq!(none.taper, PerSide::ZERO);
    assert!(none.what_to_do[0].contains("straight"));
    let mut broken = learned();
    broken.step = "0psi".parse().unwrap();
    let error = from_compliance(&broken, &pressures("50psi", "400psi"), Rules::built_in());
    assert!(matches!(error, Err(StartError::NoPressure(_))));
    broken = TaperPerStep {
        low: taper("2thou"),
        ..learned()
    };
    let error = from_compliance(&broken, &pressures("50psi", "400psi"), Rules::built_in());
    assert!(matches!(error, Err(StartError::NoCompliance { .. })));
}

fn jaw() -> JawGeometry {
    JawGeometry {
        material: Material::Aluminium,
        height: length("3in"),
        face_length: length("2in"),
        tip_below_top: Length::ZERO,
        width: length("1.5in"),
        thickness: length("2.5in"),
    }
}

fn rating() -> ChuckRating {
    ChuckRating {
        total_force: "90kN".parse().unwrap(),
        at: "350psi".parse().unwrap(),
        jaws: 3,
    }
}

fn rough(jaw: &JawGeometry, rating: &ChuckRating) -> Result<StartingTaper, StartError> {
    from_geometry(
        jaw,
        rating,
        &pressures("100psi", "300psi"),
        None,
        Rules::built_in(),
    )
}

#[test]
fn an_estimate_from_geometry_says_that_it_is_rough_and_what_it_assumed() {
    let start = rough(&jaw(), &rating()).unwrap();
    assert!(start.is_rough());
    assert!(start.low < start.needed && start.needed < start.high.unwrap());
    assert!(
        start
            .assumed
            .iter()
            .any(|a| a.contains("nothing published states it"))
    );
    assert!(start.what_to_do.iter().any(|s| s.contains("rough")));
}

#[test]
fn nonsense_geometry_is_refused_with_the_remedy() {
    let error =
        |jaw: JawGeometry, rating: ChuckRating| rough(&jaw, &rating).unwrap_err().to_string();
    let flat = JawGeometry {
        thickness: Length::ZERO,
        ..jaw()
    };
    assert!(error(flat, rating()).contains("thickness"));
    let long = JawGeometry {
        tip_below_top: length("1.5in"),
        ..jaw()
    };
    assert!(error(long, rating()).contains("does not fit"));
    let none = ChuckRating {
        jaws: 0,
        ..rating()
    };
    assert!(error(jaw(), none).contains("2 to 8"));
    let unpressed = ChuckRating {
        at: "0bar".parse().unwrap(),
        ..rating()
    };
    assert!(error(jaw(), unpressed).contains("zero pressure"));
    for newton_m_per_rad in [0.0, -1.0, f64::NAN] {
        let spring = RootSpring {
            newton_m_per_rad,
            factor: 2.0,
        };
        let at = pressures("100psi", "300psi");
        let error = from_geometry(&jaw(), &rating(), &at, Some(spring), Rules::built_in());
        assert!(matches!(error, Err(StartError::NoSpring { .. })));
    }
}

proptest! {
    /// Whatever a feeler says, the taper is a whole step, not below zero, near what was needed, and the
    /// open end is no narrower than the feeler.
    #[test]
    fn a_feelers_taper_is_sound(t_um in 1i32..2000, d_um in 0i32..60_000, l_um in 1i32..60_000) {
        let reading = FeelerReading {
            thickness: Length::from_micrometres(t_um),
            depth: Some(Length::from_micrometres(d_um)),
            face_length: Length::from_micrometres(l_um),
            ..felt("1thou", None)
        };
        match from(reading) {
            Err(_) => prop_assert!(d_um + 1270 >= l_um),
            Ok(start) => {
                let step = start.increment;
                prop_assert!(start.taper >= PerSide::ZERO);
                prop_assert_eq!(start.taper.rounded_to(step), start.taper);
                prop_assert!((start.taper - start.needed).abs().thou() <= step.thou() / 2.0 + 1e-9);
                prop_assert!(start.low <= start.needed && start.needed <= start.high.unwrap());
                prop_assert!(start.low >= PerSide::of(reading.thickness));
            }
        }
    }

    /// More pressure, a longer face, a taller or thinner jaw: never less taper.
    #[test]
    fn a_jaw_that_yields_more_needs_more(face in 200i32..1500, more in 1i32..1000) {
        let base = JawGeometry { face_length: Length::from_tenths(10 * face), ..jaw() };
        let needed = |jaw: &JawGeometry| rough(jaw, &rating()).unwrap().needed;
        let longer = JawGeometry { face_length: Length::from_tenths(10 * (face + more)), ..base };
        let taller = JawGeometry { height: base.height + Length::from_tenths(10 * more), ..base };
        let thinner = JawGeometry { thickness: base.thickness - Length::from_tenths(10 * more), ..base };
        for jaw in [longer, taller, thinner] {
            prop_assert!(needed(&jaw) > needed(&base));
        }
    }
}
