//! The plan against the published numbers.

use seepline::prove::Plan;

/// Wilks' first-order one-sided numbers (Wilks, Ann. Math. Stat. 12:91, 1941), as the table of Guba, Makai and Pál,
/// Reliability Engineering and System Safety 80:217, 2003, has them for confidences of 90, 95 and 99 %.
#[test]
fn it_takes_as_many_checks_as_wilks_says() {
    let table = [
        (0.10, [22, 29, 44]),
        (0.05, [45, 59, 90]),
        (0.01, [230, 299, 459]),
    ];
    for (share, numbers) in table {
        for (confidence, number) in [0.90, 0.95, 0.99].into_iter().zip(numbers) {
            assert_eq!(
                Plan::needed(share, confidence),
                number,
                "{share} {confidence}"
            );
            assert!(Plan::bears(number, confidence) <= share);
            assert!(Plan::bears(number - 1, confidence) > share);
        }
    }
}

#[test]
fn a_claim_is_what_the_checks_can_bear() {
    let twenty = Plan::of_checks(20, false).unwrap();
    // 1 − 0.05^(1/20), by hand: ln 0.05 / 20 = −0.149787, whose exponential is 0.860891.
    assert!((twenty.at_most() - 0.139_109).abs() < 1e-6);
    let one = Plan::to_show(0.01, true).unwrap();
    assert_eq!((one.checks, one.held), (299, true));
    // The operating curve at the claim is what the confidence leaves.
    assert!((twenty.passes(twenty.at_most()) - 0.05).abs() < 1e-12);
    assert!((twenty.passes(0.0) - 1.0).abs() < 1e-12);
    // 0.98^299, by logarithms.
    assert!((one.passes(0.02) - 0.002_38).abs() < 1e-5);
    assert!((Plan::bears(0, 0.95) - 1.0).abs() < 1e-12);
}

#[test]
fn plans_that_are_none_are_refused() {
    for checks in [0, 5001, u32::MAX] {
        assert!(Plan::of_checks(checks, false).is_err(), "{checks}");
    }
    for share in [0.0, -0.1, 1.0, 2.0, f64::NAN, 0.0005] {
        assert!(Plan::to_show(share, false).is_err(), "{share}");
    }
}
