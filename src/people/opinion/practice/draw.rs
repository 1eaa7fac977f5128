//! Which items a round asks: every pattern alike, what was missed first.

use std::collections::BTreeMap;

use super::boxes::Place;
use crate::people::records::Item;
use crate::reading::pattern::Pattern;
use crate::taper::rules::name;

/// Something that can be asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What it is.
    pub item: Item,
    /// What is right.
    pub pattern: Pattern,
    /// How plain the photo is, larger is plainer; only compared within a pattern.
    pub quality: f64,
}

/// Where a candidate stands in the order of its pattern; smaller comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Turn {
    /// Missed the last time.
    Missed,
    /// Its box is due.
    Due(u32),
    /// Never asked.
    New,
    /// Comes later, unless there is nothing else.
    NotYet,
}

/// Indices of `count` candidates, or of all where there are fewer, in the order in which to ask them. Up to
/// half are those that were missed the last time; beyond that the pattern asked least comes next, so that
/// the patterns are asked alike as far as there are candidates. Within a pattern plain and less plain photos
/// take turns. The same seed gives the same.
pub fn draw(
    candidates: &[Candidate],
    places: &BTreeMap<Item, Place>,
    count: usize,
    seed: u64,
) -> Vec<usize> {
    let mut random = Random(seed);
    let mut queues = queues(candidates, places, &mut random);
    let mut chosen = Vec::new();
    let mut asked: BTreeMap<String, usize> = BTreeMap::new();
    while chosen.len() < count {
        let missed_first = chosen.len() < count.div_ceil(2);
        let Some(at) = next_queue(&queues, &asked, missed_first) else {
            break;
        };
        let (pattern, queue) = &mut queues[at];
        let (_, index) = queue.remove(0);
        *asked.entry(pattern.clone()).or_default() += 1;
        chosen.push(index);
    }
    random.shuffle(&mut chosen);
    chosen
}

type Queue = Vec<(Turn, usize)>;

/// A queue per pattern, the patterns in random order.
fn queues(
    candidates: &[Candidate],
    places: &BTreeMap<Item, Place>,
    random: &mut Random,
) -> Vec<(String, Queue)> {
    let mut of: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, candidate) in candidates.iter().enumerate() {
        of.entry(name(candidate.pattern)).or_default().push(index);
    }
    let mut queues: Vec<(String, Queue)> = Vec::new();
    for (pattern, indices) in of {
        let mut queue: Queue = mixed(indices, candidates, random)
            .into_iter()
            .map(|i| (turn(places.get(&candidates[i].item)), i))
            .collect();
        // Stable: plain and less plain photos keep taking turns.
        queue.sort_by_key(|(turn, _)| *turn);
        queues.push((pattern, queue));
    }
    random.shuffle(&mut queues);
    queues
}

fn turn(place: Option<&Place>) -> Turn {
    match place {
        None => Turn::New,
        Some(p) if p.number == 1 => Turn::Missed,
        Some(p) if p.is_due() => Turn::Due(p.number),
        Some(_) => Turn::NotYet,
    }
}

/// In random order, but the plainer and the less plain half take turns.
fn mixed(mut indices: Vec<usize>, candidates: &[Candidate], random: &mut Random) -> Vec<usize> {
    indices.sort_by(|a, b| candidates[*a].quality.total_cmp(&candidates[*b].quality));
    let mut plain = indices.split_off(indices.len() / 2);
    random.shuffle(&mut indices);
    random.shuffle(&mut plain);
    let mut all = Vec::new();
    let (mut plain, mut rough) = (plain.into_iter(), indices.into_iter());
    loop {
        let pair = [plain.next(), rough.next()];
        if pair == [None, None] {
            return all;
        }
        all.extend(pair.into_iter().flatten());
    }
}

/// Of the queues whose first has the earliest kind of turn, the one asked least.
fn next_queue(
    queues: &[(String, Queue)],
    asked: &BTreeMap<String, usize>,
    missed_first: bool,
) -> Option<usize> {
    let rank = |turn: Turn| match turn {
        Turn::Missed if missed_first => 0,
        Turn::Missed | Turn::Due(_) | Turn::New => 1,
        Turn::NotYet => 2,
    };
    let key = |(at, (pattern, queue)): (usize, &(String, Queue))| {
        let (turn, _) = queue.first()?;
        Some((rank(*turn), asked.get(pattern).copied().unwrap_or(0), at))
    };
    queues
        .iter()
        .enumerate()
        .filter_map(key)
        .min()
        .map(|(_, _, at)| at)
}

/// Splitmix64 (Steele, Lea and Flood, “Fast splittable pseudorandom number generators”, OOPSLA 2014).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Fisher and Yates's; the bias of the remainder is nothing at these lengths.
    fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, (self.next() % (last as u64 + 1)) as usize);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // First outputs for the seed 1234567, as in Vigna's splitmix64.c and the tests of other languages'
    // generators (from memory).
    #[test]
    fn the_random_numbers_are_splitmix64s() {
        let mut random = Random(1_234_567);
        let expected = [6_457_827_717_110_365_317, 3_203_168_211_198_807_973];
        assert_eq!([random.next(), random.next()], expected);
    }

    fn candidates(of: &[(Pattern, usize)]) -> Vec<Candidate> {
        let one = |(pattern, n): &(Pattern, usize)| {
            let pattern = *pattern;
            (0..*n).map(move |k| Candidate {
                item: Item::Photo(format!("{pattern:?}{k}")),
                pattern,
                quality: k as f64,
            })
        };
        of.iter().flat_map(one).collect()
    }

    fn count(chosen: &[usize], all: &[Candidate], pattern: Pattern) -> usize {
        chosen
            .iter()
            .filter(|i| all[**i].pattern == pattern)
            .count()
    }

    #[test]
    fn patterns_are_asked_alike_however_many_photos_each_has() {
        let all = candidates(&[
            (Pattern::TipOnly, 50),
            (Pattern::EdgesOnly, 3),
            (Pattern::OneSide, 3),
        ]);
        for seed in 0..50 {
            let chosen = draw(&all, &BTreeMap::new(), 9, seed);
            for pattern in [Pattern::TipOnly, Pattern::EdgesOnly, Pattern::OneSide] {
                assert_eq!(count(&chosen, &all, pattern), 3, "{seed}");
            }
            assert_eq!(chosen, draw(&all, &BTreeMap::new(), 9, seed));
            // Plain and less plain photos take turns.
            let rough = chosen
                .iter()
                .filter(|i| all[**i].pattern == Pattern::TipOnly);
            let rough = rough.filter(|i| all[**i].quality < 25.0).count();
            assert!((1..=2).contains(&rough), "{seed}: {rough}");
        }
    }

    #[test]
    fn what_was_missed_comes_back_and_what_is_not_due_waits() {
        let all = candidates(&[(Pattern::TipOnly, 20), (Pattern::EdgesOnly, 20)]);
        let mut places = BTreeMap::new();
        let place = |number, rounds_ago| Place { number, rounds_ago };
        places.insert(all[0].item.clone(), place(1, 1));
        places.insert(all[25].item.clone(), place(1, 3));
        for candidate in &all[1..20] {
            places.insert(candidate.item.clone(), place(3, 1));
        }
        for seed in 0..50 {
            let chosen = draw(&all, &places, 4, seed);
            assert!(chosen.contains(&0) && chosen.contains(&25), "{seed}");
            let early = chosen.iter().filter(|i| (1..20).contains(*i)).count();
            assert_eq!(early, 0, "{seed}");
        }
        // Where there is nothing else, they come early.
        assert_eq!(draw(&all, &places, 100, 1).len(), 40);
    }
}
