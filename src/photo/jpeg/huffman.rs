//! Huffman codes (T.81 Annex C), looked up together with the extra bits that follow them.

/// Codes up to this length are found in one look-up; longer ones are rare.
const LOOKUP_BITS: u32 = 11;
/// How many bits of whole codes are passed over in one look-up.
const RUN_BITS: u32 = 13;

/// What one code says.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Symbol {
    /// Length of the code with its extra bits; 0 where the code is not in the table.
    pub(super) bits: u8,
    /// How many extra bits, 0 to 15.
    pub(super) size: u8,
    /// How far an AC code moves on in the zigzag; an end of block moves on by [`BLOCK`].
    pub(super) advance: u8,
}

/// Coefficients in a block.
pub(super) const BLOCK: u8 = 64;

impl Symbol {
    fn new(code_bits: u32, symbol: u8) -> Self {
        let size = symbol & 15;
        let advance = match (symbol >> 4, size) {
            (15, 0) => 16,
            (_, 0) => BLOCK,
            (run, _) => run + 1,
        };
        Self {
            bits: code_bits as u8 + size,
            size,
            advance,
        }
    }
}

/// Several AC codes in a row, for passing over them.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Run {
    /// Length of all of them with their extra bits; 0 where not even one fits.
    pub(super) bits: u8,
    /// How far they move on, below 64; plus 64 where the last is an end of block.
    pub(super) advance: u8,
}

/// A code table.
#[derive(Debug, Clone)]
pub(super) struct Huffman {
    lookup: Box<[Symbol; 1 << LOOKUP_BITS]>,
    symbols: Vec<u8>,
    /// Per length: the first code too large for it, and its symbols' indices less their codes.
    above: [u32; 17],
    index_less_code: [u32; 17],
}

impl Huffman {
    /// Builds a table from the number of codes per length and the symbols in order; `None` where
    /// there are more codes than fit.
    pub(super) fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let lookup = Box::new([Symbol::default(); 1 << LOOKUP_BITS]);
        let symbols_left = symbols.to_vec();
        let mut table = Self {
            lookup,
            symbols: symbols_left,
            above: [0; 17],
            index_less_code: [0; 17],
        };
        let (mut code, mut index) = (0_u32, 0_u32);
        for (length, &count) in (1..=16_u32).zip(counts) {
            let end = index + u32::from(count);
            table.index_less_code[length as usize] = index.wrapping_sub(code);
            table.fill(length, code, symbols.get(index as usize..end as usize)?)?;
            code += u32::from(count);
            table.above[length as usize] = code;
            index = end;
            code <<= 1;
        }
        Some(table)
    }

    /// Enters the codes of one length; `None` where they do not fit.
    fn fill(&mut self, length: u32, first_code: u32, symbols: &[u8]) -> Option<()> {
        if first_code as usize + symbols.len() > 1 << length {
            return None;
        }
        if length <= LOOKUP_BITS {
            let each = 1 << (LOOKUP_BITS - length);
            let from = first_code as usize * each;
            for (slots, &symbol) in self.lookup[from..].chunks_exact_mut(each).zip(symbols) {
                slots.fill(Symbol::new(length, symbol));
            }
        }
        Some(())
    }

    /// The code at the top of `window`; its `bits` are 0 where there is none.
    #[inline]
    pub(super) fn look_up(&self, window: u64) -> Symbol {
        let found = self.lookup[(window >> (64 - LOOKUP_BITS)) as usize];
        if found.bits == 0 {
            self.look_up_long(window)
        } else {
            found
        }
    }

    #[cold]
    fn look_up_long(&self, window: u64) -> Symbol {
        for length in LOOKUP_BITS + 1..=16 {
            let code = (window >> (64 - length)) as u32;
            if code < self.above[length as usize] {
                let index = code.wrapping_add(self.index_less_code[length as usize]);
                let symbol = self.symbols.get(index as usize);
                return symbol.map_or_else(Symbol::default, |&s| Symbol::new(length, s));
            }
        }
        Symbol::default()
    }
}

/// For passing over AC codes whose values are not needed, several at a time.
#[derive(Debug, Clone)]
pub(super) struct Runs(Box<[Run; 1 << RUN_BITS]>);

impl Runs {
    /// Follows the codes from every possible start.
    pub(super) fn new(codes: &Huffman) -> Self {
        let mut runs = Box::new([Run::default(); 1 << RUN_BITS]);
        for (start, run) in runs.iter_mut().enumerate() {
            *run = Self::follow(codes, (start as u64) << (64 - RUN_BITS));
        }
        Self(runs)
    }

    fn follow(codes: &Huffman, window: u64) -> Run {
        let mut run = Run::default();
        while run.advance < BLOCK {
            // Only as many bits are known as the start has; what follows them is not yet code.
            let next = codes.lookup[((window << run.bits) >> (64 - LOOKUP_BITS)) as usize];
            let (bits, advance) = (run.bits + next.bits, run.advance + next.advance);
            if next.bits == 0
                || u32::from(bits) > RUN_BITS
                || (next.advance < BLOCK && advance >= BLOCK)
            {
                break;
            }
            run = Run { bits, advance };
        }
        run
    }

    /// The codes at the top of `window`.
    #[inline]
    pub(super) fn look_up(&self, window: u64) -> Run {
        self.0[(window >> (64 - RUN_BITS)) as usize]
    }
}
