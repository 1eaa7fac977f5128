//! In which order each reader sees the photos.

use rand::SeedableRng;
use rand::rngs::Xoshiro256PlusPlus;
use rand::seq::SliceRandom;

/// What a reader sees, from the first to the last: indices of photos. A photo's second place is its second
/// round.
pub(crate) type Order = Vec<usize>;

/// An order for each reader: every round holds all photos once, shuffled anew, and the same photo never
/// comes twice in a row where there are two or more. The same seed gives the same orders.
pub(crate) fn orders(readers: usize, photos: usize, rounds: u32, seed: u64) -> Vec<Order> {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut order = || {
        let mut order = Order::new();
        for _ in 0..rounds {
            let mut round: Vec<usize> = (0..photos).collect();
            round.shuffle(&mut rng);
            if photos > 1 && order.last() == round.first() {
                round.swap(0, 1);
            }
            order.extend(round);
        }
        order
    };
    (0..readers).map(|_| order()).collect()
}

/// Least digits of a number, so that files stand in their order in every list.
const DIGITS: usize = 3;

/// A number as pages, files and sheets write it, among so many: `007`.
pub(crate) fn written(number: usize, of: usize) -> String {
    let digits = of.to_string().len().max(DIGITS);
    format!("{number:0digits$}")
}

/// An order's places with their number on the sheet, from 1, the photo and the round, from 1.
pub(crate) fn numbered(order: &[usize]) -> impl Iterator<Item = (u32, usize, u32)> + '_ {
    (1..).zip(order).enumerate().map(|(at, (number, photo))| {
        let before = order[..at].iter().filter(|p| *p == photo).count();
        (number, *photo, before as u32 + 1)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reader_sees_every_photo_once_a_round_in_another_order() {
        let orders = orders(3, 20, 2, 7);
        assert_eq!(orders, super::orders(3, 20, 2, 7));
        assert_ne!(orders, super::orders(3, 20, 2, 8));
        for order in &orders {
            for round in order.chunks(20) {
                let mut seen = round.to_vec();
                seen.sort_unstable();
                assert_eq!(seen, (0..20).collect::<Vec<_>>());
            }
            assert_ne!(order[..20], order[20..]);
        }
        assert!(orders[0] != orders[1] && orders[1] != orders[2]);
    }

    #[test]
    fn a_photo_never_follows_itself() {
        for seed in 0..200 {
            let order = &orders(1, 2, 4, seed)[0];
            assert!(order.windows(2).all(|w| w[0] != w[1]), "{order:?}");
        }
        assert_eq!(orders(1, 1, 2, 0), [[0, 0]]);
        assert_eq!(orders(1, 0, 2, 0), [Order::new()]);
    }

    #[test]
    fn the_second_place_is_the_second_round() {
        let places: Vec<_> = numbered(&[1, 0, 0, 1]).collect();
        assert_eq!(places, [(1, 1, 1), (2, 0, 1), (3, 0, 2), (4, 1, 2)]);
    }
}
