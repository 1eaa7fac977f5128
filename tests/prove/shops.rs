//! A thousand shops with a program of which it is known how often it goes the wrong way: does what they claim at the
//! end hold as often as is said?

use seepline::prove::{Judged, Plan, Progress, Proof, Verdict};

use super::support::{at, ended, judged, prove_out};
use crate::support::draws::Draws;

const SHOPS: usize = 1000;
/// Of 1000 shops with one chance in twenty each, more than this many with less than 1 in 1000 (binomial).
const BY_CHANCE: usize = 73;

/// Checks of a shop in the order in which it becomes known what was right, which is another one than that of their
/// answers.
fn checks(draws: &mut Draws, wrong_way: f64) -> impl FnMut(usize) -> Judged {
    move |number| {
        let verdict = match draws.uniform() {
            u if u < wrong_way => Verdict::WrongWay,
            u if u < wrong_way + 0.05 => Verdict::ForNothing,
            u if u < wrong_way + 0.10 => Verdict::Unanswered,
            _ => Verdict::Right,
        };
        Judged {
            at: at(number + (draws.uniform() * 40.0) as usize),
            ..judged(number, verdict)
        }
    }
}

/// A shop that looks after every check, and ends when `stop` says so; gives the end, or that it went wrong.
fn shop(
    draws: &mut Draws,
    plan: Plan,
    wrong_way: f64,
    mut stop: impl FnMut(&Proof) -> bool,
) -> Proof {
    let record = prove_out(plan);
    let mut next = checks(draws, wrong_way);
    let mut seen = Vec::new();
    for number in 1.. {
        seen.push(next(number));
        let proof = Proof::of(std::slice::from_ref(&record), seen.clone()).unwrap();
        if matches!(proof.progress, Progress::WentWrong(_)) || stop(&proof) {
            return Proof::of(&[ended(&record, &seen)], seen).unwrap();
        }
    }
    unreachable!("every plan comes to an end")
}

fn passed(seed: u64, plan: Plan, wrong_way: f64) -> Vec<Proof> {
    let mut draws = Draws::new(seed);
    let fulfilled = |p: &Proof| p.progress == Progress::Fulfilled;
    let shops = (0..SHOPS).map(|_| shop(&mut draws, plan, wrong_way, fulfilled));
    shops.filter(Proof::is_proven).collect()
}

#[test]
fn a_program_twice_as_bad_as_the_claim_is_let_through_in_few_shops() {
    let plan = Plan::to_show(0.01, false).unwrap();
    let let_through = passed(1, plan, 0.02).len();
    println!("2 % the wrong way passes as “at most 1 %” in {let_through} of {SHOPS} shops");
    // One in twenty of the answers is none, so of the answers a little more goes wrong.
    assert!(let_through <= SHOPS / 20, "{let_through}");
}

#[test]
fn at_the_limit_of_the_claim_one_shop_in_twenty_passes() {
    let plan = Plan::of_checks(20, true).unwrap();
    // Of what is answered, nineteen in twenty, this share goes the wrong way.
    let limit = plan.at_most() * 0.95;
    for worse in [1.0, 1.2, 2.0] {
        let let_through = passed(2, plan, limit * worse).len();
        println!("{worse} times the limit: {let_through} of {SHOPS} pass");
        assert!(let_through <= BY_CHANCE, "{worse}: {let_through}");
    }
}

#[test]
fn a_good_program_passes_in_twenty_checks() {
    let plan = Plan::of_checks(20, false).unwrap();
    let passed = passed(3, plan, 0.002);
    let mut taken: Vec<u32> = passed.iter().map(|p| p.counts.answered).collect();
    taken.sort_unstable();
    let median = taken[taken.len() / 2];
    println!(
        "a good program passes in {} of {SHOPS} shops, in {median} checks (median)",
        passed.len()
    );
    assert!(median <= 20, "{median}");
    // 0.998^20 = 0.961.
    assert!(passed.len() > SHOPS * 9 / 10, "{}", passed.len());
}

/// A lead who looks after each check and stops whenever it looks best, or at random, claims no more than holds.
#[test]
fn looking_often_and_stopping_at_will_does_not_spoil_the_claim() {
    let plan = Plan::of_checks(300, false).unwrap();
    let mut draws = Draws::new(4);
    let mut dice = Draws::new(5);
    for wrong_way in [0.02, 0.05, 0.14, 0.3] {
        let mut false_claims = 0;
        for _ in 0..SHOPS {
            let least = 1 + (dice.uniform() * 200.0) as u32;
            let proof = shop(&mut draws, plan, wrong_way, |p| {
                let claim = p.counts.wrong_way_at_most(plan.confidence);
                // The worst that a lead can do: to stop as soon as the claim is false, or at some number.
                claim < wrong_way || p.counts.answered >= least.max(150)
            });
            let clean = proof.counts.wrong_way == 0;
            let claim = proof.counts.wrong_way_at_most(plan.confidence);
            false_claims += usize::from(clean && claim < wrong_way);
        }
        println!("{wrong_way}: {false_claims} of {SHOPS} shops claim too much");
        assert!(false_claims <= BY_CHANCE, "{wrong_way}: {false_claims}");
    }
}
