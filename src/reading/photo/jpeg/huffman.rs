//! Huffman codes (T.81 Annex C), looked up together with the extra bits that follow them.

use super::bits::extend;

/// How many bits one look-up sees: codes up to this length, often with their extra bits.
const LOOKUP_BITS: u32 = 11;
/// How many bits of whole codes are passed over in one look-up.
const RUN_BITS: u32 = 13;

/// Coefficients in a block.
pub(super) const BLOCK: u8 = 64;

/// One code with its extra bits.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Symbol {
    /// Length of both; 0 where the code is not in the table.
    pub(super) bits: u8,
    /// How far an AC code moves on in the zigzag; an end of block moves on by [`BLOCK`].
    pub(super) advance: u8,
    /// The value of the extra bits.
    pub(super) level: i16,
}

/// A code alone: its length, and run and size as T.81 packs them; length 0 for none.
#[derive(Debug, Clone, Copy, Default)]
struct Code {
    length: u8,
    run_size: u8,
}

impl Code {
    /// Takes the extra bits from behind the code at the top of `window`.
    fn with_extra(self, window: u64) -> Symbol {
        let size = self.run_size & 15;
        let advance = match (self.run_size >> 4, size) {
            (15, 0) => 16,
            (_, 0) => BLOCK,
            (run, _) => run + 1,
        };
        let level = extend(window << self.length, size.into()) as i16;
        Symbol {
            bits: self.length + size,
            advance,
            level,
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
    /// Codes with extra bits that fit in the look-up.
    whole: Box<[Symbol; 1 << LOOKUP_BITS]>,
    /// Codes that fit alone.
    codes: Box<[Code; 1 << LOOKUP_BITS]>,
    symbols: Vec<u8>,
    /// Per length: the first code too large for it, and its symbols' indices less their codes.
    above: [u32; 17],
    index_less_code: [u32; 17],
}

impl Huffman {
    /// Builds a table from the number of codes per length and the symbols in order; `None` where
    /// there are more codes than fit.
    pub(super) fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let mut table = Self::empty(symbols);
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
        table.find_whole();
        Some(table)
    }

    fn empty(symbols: &[u8]) -> Self {
        Self {
            whole: Box::new([Symbol::default(); 1 << LOOKUP_BITS]),
            codes: Box::new([Code::default(); 1 << LOOKUP_BITS]),
            symbols: symbols.to_vec(),
            above: [0; 17],
            index_less_code: [0; 17],
        }
    }

    /// Enters the codes of one length; `None` where they do not fit.
    fn fill(&mut self, length: u32, first_code: u32, symbols: &[u8]) -> Option<()> {
        if first_code as usize + symbols.len() > 1 << length {
            return None;
        }
        if length <= LOOKUP_BITS {
            let each = 1 << (LOOKUP_BITS - length);
            let from = first_code as usize * each;
            for (slots, &run_size) in self.codes[from..].chunks_exact_mut(each).zip(symbols) {
                slots.fill(Code {
                    length: length as u8,
                    run_size,
                });
            }
        }
        Some(())
    }

    fn find_whole(&mut self) {
        for (start, (whole, code)) in self.whole.iter_mut().zip(self.codes.iter()).enumerate() {
            let symbol = code.with_extra((start as u64) << (64 - LOOKUP_BITS));
            if code.length > 0 && u32::from(symbol.bits) <= LOOKUP_BITS {
                *whole = symbol;
            }
        }
    }

    /// The code at the top of `window` with its extra bits.
    #[inline]
    pub(super) fn look_up(&self, window: u64) -> Symbol {
        let found = self.whole[(window >> (64 - LOOKUP_BITS)) as usize];
        if found.bits == 0 {
            self.look_up_long(window)
        } else {
            found
        }
    }

    #[cold]
    fn look_up_long(&self, window: u64) -> Symbol {
        let found = self.codes[(window >> (64 - LOOKUP_BITS)) as usize];
        let code = if found.length == 0 {
            self.find_long(window)
        } else {
            found
        };
        if code.length == 0 {
            Symbol::default()
        } else {
            code.with_extra(window)
        }
    }

    fn find_long(&self, window: u64) -> Code {
        for length in LOOKUP_BITS + 1..=16 {
            let code = (window >> (64 - length)) as u32;
            if code < self.above[length as usize] {
                let index = code.wrapping_add(self.index_less_code[length as usize]);
                let found = self.symbols.get(index as usize);
                return found.map_or_else(Code::default, |&run_size| Code {
                    length: length as u8,
                    run_size,
                });
            }
        }
        Code::default()
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
            let next = codes.whole[((window << run.bits) >> (64 - LOOKUP_BITS)) as usize];
            let (bits, advance) = (run.bits + next.bits, run.advance + next.advance);
            let past_block = next.advance < BLOCK && advance >= BLOCK;
            if next.bits == 0 || u32::from(bits) > RUN_BITS || past_block {
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
