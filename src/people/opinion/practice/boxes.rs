//! Leitner's boxes, replayed from the answers that were filed.

use std::collections::BTreeMap;

use crate::people::records::Item;
use crate::taper::records::Id;

/// Boxes; what is in the last one stays there while it is answered right.
const BOXES: u32 = 5;

/// One answer of a round.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// The round.
    pub round: Id,
    /// What was asked.
    pub item: Item,
    /// Whether it was known.
    pub known: bool,
}

/// Where an item stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// 1 to 5.
    pub number: u32,
    /// Rounds since it was asked; 1 where it was in the last round.
    pub rounds_ago: u32,
}

impl Place {
    /// Box 1 comes back in every round, each box after it half as often: every 2nd, 4th, 8th and 16th.
    pub fn is_due(self) -> bool {
        self.rounds_ago >= 1 << (self.number - 1)
    }
}

/// Where each item stands after these answers, oldest first.
pub fn boxes(answers: &[Answered]) -> BTreeMap<Item, Place> {
    let mut last: BTreeMap<Item, (u32, u32)> = BTreeMap::new();
    let (mut round, mut current) = (0, None);
    for answer in answers {
        if current != Some(answer.round) {
            current = Some(answer.round);
            round += 1;
        }
        let before = last.get(&answer.item).map_or(1, |(place, _)| *place);
        let now = if answer.known {
            (before + 1).min(BOXES)
        } else {
            1
        };
        last.insert(answer.item.clone(), (now, round));
    }
    let place = |(number, at)| Place {
        number,
        rounds_ago: round - at + 1,
    };
    last.into_iter()
        .map(|(item, seen)| (item, place(seen)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(name: &str) -> Item {
        Item::Photo(name.to_owned())
    }

    fn answers(of: &[(u8, &str, bool)]) -> Vec<Answered> {
        let one = |(round, name, known): &(u8, &str, bool)| Answered {
            round: Id::derived(&[&round.to_string()]),
            item: item(name),
            known: *known,
        };
        of.iter().map(one).collect()
    }

    // Leitner 1972, from memory: right goes a box on, wrong back to the first.
    #[test]
    fn right_goes_on_and_wrong_goes_back() {
        let mut of = Vec::new();
        for round in 1..=6 {
            of.push((round, "a", true));
            of.push((round, "b", round != 6));
        }
        let places = boxes(&answers(&of));
        assert_eq!(
            places[&item("a")],
            Place {
                number: 5,
                rounds_ago: 1
            }
        );
        assert_eq!(
            places[&item("b")],
            Place {
                number: 1,
                rounds_ago: 1
            }
        );
    }

    #[test]
    fn a_box_comes_back_half_as_often_as_the_one_before() {
        for (number, every) in [(1, 1), (2, 2), (3, 4), (4, 8), (5, 16)] {
            let due: Vec<bool> = (1..=every)
                .map(|rounds_ago| Place { number, rounds_ago }.is_due())
                .collect();
            assert_eq!(due.iter().filter(|d| **d).count(), 1, "box {number}");
            assert!(due[every as usize - 1]);
        }
    }
}
