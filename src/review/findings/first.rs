//! The first few of many, which need not be held all.

/// Rows of a list on the overview.
const ROWS: usize = 8;

/// The first of all that were offered, by their keys.
#[derive(Debug)]
pub(crate) struct First<K, T>(Vec<(K, T)>);

impl<K, T> Default for First<K, T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<K: Ord, T> First<K, T> {
    pub(super) fn offer(&mut self, key: K, value: T) {
        let at = self.0.partition_point(|(k, _)| *k <= key);
        if at < ROWS {
            self.0.insert(at, (key, value));
            self.0.truncate(ROWS);
        }
    }
}

impl<K, T> First<K, T> {
    pub(crate) fn iter(&self) -> impl Iterator<Item = &T> {
        self.0.iter().map(|(_, value)| value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_keys_stay_whatever_the_order_they_are_offered_in() {
        let mut first = First::default();
        // 7 and 101 have no common factor: every number below 101 once.
        for i in 0..101_u32 {
            let key = i * 7 % 101;
            first.offer(key, key);
        }
        let kept: Vec<u32> = first.iter().copied().collect();
        assert_eq!(kept, (0..ROWS as u32).collect::<Vec<_>>());
    }
}
