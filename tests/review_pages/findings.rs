//! What stands first on the overview, from hand-made histories.

use seepline::{Action, Pattern, Reason};

use super::folder;
use super::shop::{Shop, check, shop, thou};

/// The overview's section of one matter.
fn section(shop: &Shop, word: &str) -> String {
    let index = &folder(shop)["index.html"];
    let start = index
        .find(&format!("<section id=\"{word}\">"))
        .expect("a section");
    let rest = &index[start..];
    rest[..rest.find("</section>").expect("its end")].to_owned()
}

fn changes(taper: i64, changes: &[i64]) -> Shop {
    let mut shop = Shop::default();
    for (i, change) in changes.iter().enumerate() {
        shop.add(check(Some("heron"), i as i64 * 7, taper, *change), 3);
    }
    shop
}

#[test]
fn low_confidence_comes_least_certain_first() {
    let mut shop = Shop::default();
    for (day, confidence) in [(1, 0.79), (2, 0.5), (3, 0.96), (4, 0.0)] {
        shop.add(check(Some("heron"), day, 30, 0), 1).confidence = confidence;
    }
    let text = section(&shop, "low-confidence");
    assert!(text.contains("Low confidence: 2 checks"), "{text}");
    assert!(text.find("50 %") < text.find("79 %"), "{text}");
}

#[test]
fn refusals_say_their_reason() {
    let mut shop = changes(30, &[0, 0]);
    shop.refuse(Reason::Glare);
    let text = section(&shop, "refused");
    assert!(
        text.contains(": 1 check<") && text.contains("glare covers too much"),
        "{text}"
    );
}

#[test]
fn a_cut_the_other_way_stands_against_the_advice() {
    let mut shop = Shop::default();
    shop.add(check(Some("wren"), 1, 30, -10), 3);
    shop.add(check(Some("wren"), 2, 40, -20), 3);
    shop.add(check(Some("wren"), 3, 20, 0), 3).done = Some("left it".into());
    let text = section(&shop, "against");
    assert!(
        text.contains(": 1 check<") && text.contains("lies the other way"),
        "{text}"
    );
    let text = section(&shop, "not-noted");
    assert!(text.contains(": 2 checks<"), "{text}");
}

#[test]
fn where_nobody_keeps_notes_none_is_missed() {
    let index = &folder(&changes(30, &[-10, 0]))["index.html"];
    assert!(index.contains("No check says what was done"));
    assert!(!index.contains("Recut advised, nothing noted: "));
}

#[test]
fn four_cuts_until_the_taper_was_left_are_more_than_three_passes() {
    let history = |tapers: &[(i64, i64)]| {
        let mut shop = Shop::default();
        for (i, (taper, change)) in tapers.iter().enumerate() {
            shop.add(check(Some("plover"), i as i64, *taper, *change), 3);
        }
        section(&shop, "passes")
    };
    let four = history(&[(30, -10), (20, -5), (15, 5), (20, 0)]);
    assert!(
        four.contains("4 passes, 2024-01-01 to 2024-01-04"),
        "{four}"
    );
    // The same cut checked twice is one pass; and what was left begins anew.
    for three in [
        history(&[(30, -10), (30, -10), (20, -5), (15, 0)]),
        history(&[(30, -10), (20, -5), (15, 0), (15, 5), (20, 5), (25, 0)]),
    ] {
        assert!(three.contains("None."), "{three}");
    }
}

#[test]
fn a_place_that_disagrees_twice_in_five_checks_is_named() {
    let mut shop = changes(30, &[0; 7]);
    let odd =
        |shop: &mut Shop, at: &[usize]| at.iter().for_each(|i| shop.checks[*i].odd_jaw = Some(1));
    // The first two are not among the latest five.
    odd(&mut shop, &[0, 1, 4]);
    assert!(section(&shop, "odd-jaw").contains("None."));
    odd(&mut shop, &[6]);
    let text = section(&shop, "odd-jaw");
    assert!(
        text.contains("jaw 2 disagreed in 2 of the latest 5 checks"),
        "{text}"
    );
}

#[test]
fn of_places_that_disagree_equally_often_the_later_is_named() {
    let mut shop = changes(30, &[0; 7]);
    for (check, place) in [(2, 1), (3, 1), (5, 0), (6, 0)] {
        shop.checks[check].odd_jaw = Some(place);
    }
    let text = section(&shop, "odd-jaw");
    assert!(
        text.contains("jaw 1 disagreed in 2 of the latest 5 checks"),
        "{text}"
    );
}

#[test]
fn a_drift_is_named_at_one_taper_only() {
    let falling = [0, 0, 0, 0, -5, -5, -5, -10, -10, -10, -15, -15];
    let text = section(&changes(30, &falling), "drift");
    assert!(
        text.contains("in 12 checks") && text.contains("less taper is needed"),
        "{text}"
    );
    // Medians of the first and the last four: 0 and -1.0 or -1.5, the lower of the two in the middle.
    assert!(
        text.contains("from 0.0 to -1.5 thou (0.000 to -0.038 mm) per side"),
        "{text}"
    );
    let rising = falling.map(|c| -c);
    assert!(section(&changes(30, &rising), "drift").contains("more taper is needed"));
    // Too few, none, and another taper in the middle.
    assert!(section(&changes(30, &falling[..9]), "drift").contains("None."));
    assert!(
        section(
            &changes(30, &[0, 5, 0, -5, 0, 5, 0, -5, 0, 5, 0, 0]),
            "drift"
        )
        .contains("None.")
    );
    let mut recut = changes(30, &falling);
    recut.checks[6..]
        .iter_mut()
        .for_each(|c| c.taper = Some(thou(25)));
    assert!(section(&recut, "drift").contains("None."));
}

#[test]
fn sets_without_a_drift_are_rarely_said_to_drift() {
    let index = &folder(&shop(3300))["index.html"];
    let start = index.find("<section id=\"drift\">").expect("a section");
    let heading = index[start..].split_once("Drift: ").expect("a heading").1;
    let count: usize = heading[..heading.find(' ').expect("a word")]
        .parse()
        .expect("a number");
    // Every seventh of 82 sets drifts upwards, by construction: twelve.
    assert!((10..=13).contains(&count), "{count}");
    let named: Vec<&str> = index[start..].split("<li>").skip(1).take(8).collect();
    assert!(named.iter().all(|n| n.contains("more taper is needed")));
}

#[test]
fn counts_are_those_of_the_lines() {
    let mut shop = changes(30, &[0, 0, -10]);
    shop.refuse(Reason::Blurred);
    shop.refuse(Reason::Blurred);
    let seat = shop.add(check(None, 9, 30, 0), 2);
    (seat.pattern, seat.action, seat.change) = (Pattern::OneSide, Action::FixFirst, None);
    let index = &folder(&shop)["index.html"];
    let count = |name: &str| -> String {
        let row = index
            .split("<tr>")
            .find(|r| r.contains(&format!(">{name}</a>")))
            .expect(name);
        let cell = row.split("<td class=\"number\">").nth(1).expect("a number");
        cell.split('<').next().unwrap_or_default().to_owned()
    };
    assert_eq!(count("full-length"), "2");
    assert_eq!(count("tip-only"), "1");
    assert_eq!(count("one-side"), "1");
    assert_eq!(count("the photo is blurred"), "2");
    assert!(index.contains(
        "<strong>13 photos</strong> in <strong>4 checks</strong> of <strong>1 jaw set</strong>"
    ));
}
