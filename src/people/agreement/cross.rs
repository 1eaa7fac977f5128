//! Two readers' calls counted against each other.

/// A square table of counts: the first reader's category in rows, the second's in columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CrossTable {
    categories: usize,
    counts: Vec<u64>,
}

impl CrossTable {
    /// Nothing counted yet.
    pub fn new(categories: usize) -> Self {
        Self {
            categories,
            counts: vec![0; categories * categories],
        }
    }

    /// From rows of counts; `None` where they are not square.
    pub fn from_rows(rows: &[Vec<u64>]) -> Option<Self> {
        let categories = rows.len();
        let square = rows.iter().all(|r| r.len() == categories);
        square.then(|| Self {
            categories,
            counts: rows.concat(),
        })
    }

    /// Counts one item that the first reader called `row` and the second `column`; what is beyond the
    /// categories is not counted, and `false` says so.
    pub fn add(&mut self, row: usize, column: usize) -> bool {
        let inside = row < self.categories && column < self.categories;
        if inside {
            self.counts[row * self.categories + column] += 1;
        }
        inside
    }

    /// How many categories there are.
    pub fn categories(&self) -> usize {
        self.categories
    }

    /// One count; 0 beyond the table.
    pub fn count(&self, row: usize, column: usize) -> u64 {
        let inside = row < self.categories && column < self.categories;
        if inside {
            self.counts[row * self.categories + column]
        } else {
            0
        }
    }

    /// All that was counted.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// Those on which both agree.
    pub fn agreed(&self) -> u64 {
        (0..self.categories).map(|i| self.count(i, i)).sum()
    }

    /// Shares of the whole, cell by cell, with row and column: `p_ij`. Nothing where nothing was counted.
    pub(super) fn shares(&self) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        let (k, total) = (self.categories, self.total());
        let shares =
            move |(at, count): (usize, &u64)| (at / k, at % k, *count as f64 / total as f64);
        self.counts
            .iter()
            .enumerate()
            .filter(move |_| total > 0)
            .map(shares)
    }
}
