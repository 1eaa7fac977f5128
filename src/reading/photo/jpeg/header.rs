//! Markers and their segments (T.81 Annex B).

use super::huffman::Huffman;

/// How the coefficients are coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// Baseline or extended sequential, Huffman, 8 bits.
    Sequential,
    /// Progressive, or 12 bits: for the general decoder.
    Other,
    /// What neither decoder knows, as a reason why.
    Unknown(&'static str),
}

impl Coding {
    /// By the frame's marker (T.81, table B.1) and its bits per sample.
    fn of(marker: u8, bits: u8) -> Self {
        match marker {
            0xc0 | 0xc1 if bits == 8 => Self::Sequential,
            0xc0..=0xc2 => Self::Other,
            0xc9..=0xcb | 0xcd..=0xcf => Self::Unknown("its data are coded arithmetically"),
            0xc3 | 0xc7 => Self::Unknown("it is coded without loss, as phones do not"),
            _ => Self::Unknown("it is coded in steps of several sizes, as phones do not"),
        }
    }
}

/// One colour component of the frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Component {
    pub(super) id: u8,
    /// Horizontal and vertical sampling factor, 1 to 4.
    pub(super) across: usize,
    pub(super) down: usize,
    pub(super) quantiser: usize,
}

/// The frame header.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    pub(super) coding: Coding,
    pub(super) width: u16,
    pub(super) height: u16,
    pub(super) components: Vec<Component>,
}

/// The tables in force; each may be replaced between scans.
#[derive(Debug, Clone, Default)]
pub(super) struct Tables {
    /// Quantiser steps in zigzag order.
    pub(super) quantisers: [Option<[f32; 64]>; 4],
    pub(super) dc: [Option<Huffman>; 4],
    pub(super) ac: [Option<Huffman>; 4],
    /// Minimum coded units between restart markers; 0 for none.
    pub(super) restart_every: usize,
}

/// All that precedes the first scan.
pub(super) struct Header {
    pub(super) frame: Frame,
    pub(super) tables: Tables,
    /// The transform that an Adobe segment names: 0 for plain RGB.
    pub(super) adobe_transform: Option<u8>,
    pub(super) has_jfif: bool,
    /// Where the first scan's marker stands.
    pub(super) scans_at: usize,
}

pub(super) const SCAN: u8 = 0xda;
pub(super) const END: u8 = 0xd9;

/// A marker, its segment's content, and where the next one is sought.
pub(super) struct Segment<'a> {
    pub(super) marker: u8,
    pub(super) content: &'a [u8],
    pub(super) at: usize,
    pub(super) next: usize,
}

/// Finds the next marker with its segment; whatever stands before it is skipped.
pub(super) fn next_segment(bytes: &[u8], mut from: usize) -> Option<Segment<'_>> {
    loop {
        let at = from + memchr::memchr(0xff, bytes.get(from..)?)?;
        let marker = *bytes.get(at + 1)?;
        match marker {
            0xff => from = at + 1,
            0x00 | 0x01 | 0xd0..=0xd8 => from = at + 2,
            END => {
                return Some(Segment {
                    marker,
                    content: &[],
                    at,
                    next: at + 2,
                });
            }
            _ => return with_content(bytes, marker, at),
        }
    }
}

fn with_content(bytes: &[u8], marker: u8, at: usize) -> Option<Segment<'_>> {
    let length = usize::from(u16::from_be_bytes(*bytes.get(at + 2..)?.first_chunk()?));
    let content = bytes.get(at + 4..at + 2 + length)?;
    Some(Segment {
        marker,
        content,
        at,
        next: at + 2 + length,
    })
}

/// Counts the scans from the first one on, and tells whether an end marker follows them.
pub(super) fn count_scans(bytes: &[u8], mut from: usize) -> (usize, bool) {
    let mut scans = 0;
    while let Some(segment) = next_segment(bytes, from) {
        match segment.marker {
            END => return (scans, true),
            SCAN => scans += 1,
            _ => {}
        }
        from = segment.next;
    }
    (scans, false)
}

impl Header {
    /// Reads up to the first scan; `None` where there is no frame header or no scan.
    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        let mut frame = None;
        let mut tables = Tables::default();
        let (mut adobe_transform, mut has_jfif) = (None, false);
        let mut from = 2;
        loop {
            let segment = next_segment(bytes, from)?;
            match segment.marker {
                SCAN => {
                    let frame = frame?;
                    return Some(Self {
                        frame,
                        tables,
                        adobe_transform,
                        has_jfif,
                        scans_at: segment.at,
                    });
                }
                END => return None,
                0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf => {
                    frame = Frame::read(segment.marker, segment.content);
                }
                0xee if segment.content.starts_with(b"Adobe") => {
                    adobe_transform = segment.content.get(11).copied();
                }
                0xe0 if segment.content.starts_with(b"JFIF\0") => has_jfif = true,
                marker => {
                    tables.update(marker, segment.content);
                }
            }
            from = segment.next;
        }
    }
}

impl Frame {
    fn read(marker: u8, content: &[u8]) -> Option<Self> {
        let (start, listed) = content.split_first_chunk::<6>()?;
        let [bits, h1, h0, w1, w0, count] = *start;
        let components: Vec<_> = listed
            .chunks_exact(3)
            .take(count.into())
            .map(Component::read)
            .collect();
        (components.len() == usize::from(count)).then_some(Self {
            coding: Coding::of(marker, bits),
            width: u16::from_be_bytes([w1, w0]),
            height: u16::from_be_bytes([h1, h0]),
            components,
        })
    }

    /// Whether every sampling factor is from 1 to 4 (T.81, B.2.2).
    pub(super) fn is_sampled_as_allowed(&self) -> bool {
        let allowed = |c: &Component| (1..=4).contains(&c.across) && (1..=4).contains(&c.down);
        self.components.iter().all(allowed)
    }

    /// The largest sampling factors, across and down.
    pub(super) fn most_samples(&self) -> [usize; 2] {
        let most = |of: fn(&Component) -> usize| self.components.iter().map(of).max().unwrap_or(1);
        [most(|c| c.across), most(|c| c.down)]
    }
}

impl Component {
    fn read(entry: &[u8]) -> Self {
        Self {
            id: entry[0],
            across: usize::from(entry[1] >> 4),
            down: usize::from(entry[1] & 15),
            quantiser: usize::from(entry[2]),
        }
    }
}

impl Tables {
    /// Takes in a segment that defines tables; others, and broken ones, change nothing.
    pub(super) fn update(&mut self, marker: u8, content: &[u8]) -> Option<()> {
        match marker {
            0xdb => self.read_quantisers(content),
            0xc4 => self.read_codes(content),
            0xdd => {
                self.restart_every = u16::from_be_bytes(*content.first_chunk()?).into();
                Some(())
            }
            _ => Some(()),
        }
    }

    fn read_quantisers(&mut self, mut content: &[u8]) -> Option<()> {
        while let Some((&head, rest)) = content.split_first() {
            let bytes_each = 1 + usize::from(head >> 4 != 0);
            let (steps, rest) = rest.split_at_checked(64 * bytes_each)?;
            let mut table = [0.0; 64];
            for (out, step) in table.iter_mut().zip(steps.chunks_exact(bytes_each)) {
                *out = step
                    .iter()
                    .fold(0.0, |high, &low| high * 256.0 + f32::from(low));
            }
            *self.quantisers.get_mut(usize::from(head & 15))? = Some(table);
            content = rest;
        }
        Some(())
    }

    fn read_codes(&mut self, mut content: &[u8]) -> Option<()> {
        while let Some((&head, rest)) = content.split_first() {
            let (counts, rest) = rest.split_first_chunk::<16>()?;
            let total = counts.iter().map(|&n| usize::from(n)).sum();
            let (symbols, rest) = rest.split_at_checked(total)?;
            let kind = if head >> 4 == 0 {
                &mut self.dc
            } else {
                &mut self.ac
            };
            *kind.get_mut(usize::from(head & 15))? = Huffman::new(counts, symbols);
            content = rest;
        }
        Some(())
    }
}
