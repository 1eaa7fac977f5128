//! Bits of entropy-coded data, most significant first.

/// Reads bits from data freed of stuffing; beyond their end there are zeros without end.
pub(super) struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    /// The next bits, left-aligned; below `held` bits they may be there already, or zero.
    window: u64,
    held: u32,
}

impl<'a> Bits<'a> {
    pub(super) fn new(data: &'a [u8]) -> Self {
        Self {
            data,
            at: 0,
            window: 0,
            held: 0,
        }
    }

    /// Sees to it that at least 56 bits are held.
    #[inline]
    pub(super) fn refill(&mut self) {
        let ahead = self.data.get(self.at..).unwrap_or_default();
        let word = ahead
            .first_chunk::<8>()
            .map_or_else(|| last_word(ahead), |w| u64::from_be_bytes(*w));
        self.window |= word >> self.held;
        let taken = (63 - self.held) >> 3;
        self.at += taken as usize;
        self.held += taken * 8;
    }

    /// Refills where fewer bits are held than a code with its extra bits can have (16 + 15).
    #[inline]
    pub(super) fn refill_if_low(&mut self) {
        if self.held < 32 {
            self.refill();
        }
    }

    /// The next bits, left-aligned.
    #[inline]
    pub(super) fn window(&self) -> u64 {
        self.window
    }

    /// Moves on by at most as many bits as are held.
    #[inline]
    pub(super) fn skip(&mut self, count: u32) {
        self.window <<= count;
        self.held -= count;
    }

    /// Whether more bits were used than there are.
    pub(super) fn overdrawn(&self) -> bool {
        self.at * 8 > self.data.len() * 8 + self.held as usize
    }
}

/// Fewer than eight bytes, as a word padded with zeros.
#[cold]
fn last_word(bytes: &[u8]) -> u64 {
    let mut word = [0; 8];
    word.iter_mut().zip(bytes).for_each(|(w, b)| *w = *b);
    u64::from_be_bytes(word)
}

/// The signed value of `size` extra bits, 0 to 15, at the top of `window` (T.81 figure F.12).
#[inline]
pub(super) fn extend(window: u64, size: u32) -> i32 {
    let value = (window >> 1 >> (63 - size)) as i32;
    let starts_with_zero = window >> 63 == 0;
    value - (i32::from(starts_with_zero) * ((1 << size) - 1))
}
