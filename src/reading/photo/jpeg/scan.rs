//! Scans → one plane of samples per component, all of them at the output's scale.

use super::bits::Bits;
use super::block::{self, BadCode, Basis, Coder, Transforms};
use super::entropy::Intervals;
use super::header::{Component, END, Frame, Header, SCAN, Tables, next_segment};
use super::huffman::Runs;
use super::{MAX_SCANS, Refused};

/// The components' planes: equal in size, since each block is decoded to as many samples as its
/// component's share of the picture needs.
pub(super) struct Planes {
    pub(super) samples: Vec<Vec<u8>>,
    pub(super) stride: usize,
    /// Share of the picture that was decoded, 0 to 1.
    pub(super) decoded: f64,
}

/// How the frame is cut into blocks at this scale.
struct Layout {
    /// Minimum coded units across and down.
    units: [usize; 2],
    most: [usize; 2],
    eighths: usize,
    stride: usize,
}

impl Layout {
    fn new(frame: &Frame, eighths: usize) -> Self {
        let most = frame.most_samples();
        let side = |px: u16, most: usize| usize::from(px).div_ceil(8 * most);
        let units = [side(frame.width, most[0]), side(frame.height, most[1])];
        Self {
            units,
            most,
            eighths,
            stride: units[0] * most[0] * eighths,
        }
    }

    fn plane_len(&self) -> usize {
        self.stride * self.units[1] * self.most[1] * self.eighths
    }

    /// Samples per block, across and down, of a component.
    fn block_side(&self, c: &Component) -> [usize; 2] {
        [
            self.eighths * self.most[0] / c.across,
            self.eighths * self.most[1] / c.down,
        ]
    }

    fn fits(&self, c: &Component) -> bool {
        let whole = |most: usize, own: usize| own > 0 && (self.eighths * most).is_multiple_of(own);
        whole(self.most[0], c.across)
            && whole(self.most[1], c.down)
            && self.block_side(c).iter().all(|&n| n <= block::MAX_SIDE)
    }
}

/// What one component needs in one scan.
struct Lane<'t> {
    index: usize,
    /// Blocks per minimum coded unit, across and down.
    blocks: [usize; 2],
    coder: Coder<'t>,
    side: [usize; 2],
    bases: [Basis; 2],
    transforms: Transforms,
    mean: i32,
}

/// Decodes all scans at `eighths` / 8 of the full size.
pub(super) fn decode(bytes: &[u8], header: &Header, eighths: usize) -> Result<Planes, Refused> {
    let frame = &header.frame;
    let layout = Layout::new(frame, eighths);
    if !matches!(frame.components.len(), 1 | 3) || !frame.components.iter().all(|c| layout.fits(c))
    {
        return Err(Refused::OtherKind);
    }
    let count = frame.components.len();
    let mut out = Planes {
        // Mid grey is what a part that is missing shows.
        samples: vec![vec![128; layout.plane_len()]; count],
        stride: layout.stride,
        decoded: 0.0,
    };
    let mut shares = vec![0.0; count];
    read_scans(bytes, header, &layout, &mut out.samples, &mut shares)?;
    out.decoded = shares.into_iter().fold(1.0, f64::min);
    Ok(out)
}

fn read_scans(
    bytes: &[u8],
    header: &Header,
    layout: &Layout,
    planes: &mut [Vec<u8>],
    shares: &mut [f64],
) -> Result<(), Refused> {
    let mut tables = header.tables.clone();
    let mut from = header.scans_at;
    let mut scans = 0;
    while let Some(segment) = next_segment(bytes, from) {
        from = segment.next;
        match segment.marker {
            END => break,
            SCAN if scans == MAX_SCANS => break,
            SCAN => {
                scans += 1;
                let mut lanes = lanes(segment.content, &header.frame, layout, &tables)
                    .ok_or(Refused::OtherKind)?;
                let mut intervals = Intervals::new(bytes, segment.next);
                let share = read_scan(
                    &mut intervals,
                    &header.frame,
                    layout,
                    &tables,
                    &mut lanes,
                    planes,
                );
                for lane in &lanes {
                    shares[lane.index] = share;
                }
                from = intervals.at();
                // A sequential file has each component in one scan: nothing that follows is of this picture.
                if shares.iter().all(|&s| s > 0.0) {
                    break;
                }
            }
            marker => {
                tables.update(marker, segment.content);
            }
        }
    }
    Ok(())
}

/// The lanes that a scan header asks for; `None` where it, or a table that it names, is missing.
fn lanes<'t>(
    scan: &[u8],
    frame: &Frame,
    layout: &Layout,
    tables: &'t Tables,
) -> Option<Vec<Lane<'t>>> {
    let (&count, listed) = scan.split_first().filter(|(count, _)| **count > 0)?;
    let listed = listed.get(..2 * usize::from(count))?;
    listed
        .chunks_exact(2)
        .map(|entry| lane(entry[0], entry[1], frame, layout, tables))
        .collect()
}

fn lane<'t>(
    id: u8,
    codes: u8,
    frame: &Frame,
    layout: &Layout,
    tables: &'t Tables,
) -> Option<Lane<'t>> {
    let index = frame.components.iter().position(|c| c.id == id)?;
    let component = &frame.components[index];
    let side = layout.block_side(component);
    let ac = tables.ac.get(usize::from(codes & 15))?.as_ref()?;
    let coder = Coder {
        dc: tables.dc.get(usize::from(codes >> 4))?.as_ref()?,
        ac,
        runs: Runs::new(ac),
        quantiser: tables.quantisers.get(component.quantiser)?.as_ref()?,
        last: block::last_position(side[0], side[1]),
    };
    Some(Lane {
        index,
        blocks: [component.across, component.down],
        coder,
        side,
        bases: side.map(block::basis),
        transforms: block::transforms_for(side),
        mean: 0,
    })
}

/// Units across and down of a scan. A scan of one component has one block per unit, and leaves out
/// the blocks beyond the picture's edge (T.81 A.2.2).
fn scan_units(lanes: &mut [Lane], frame: &Frame, layout: &Layout) -> [usize; 2] {
    let [only] = lanes else { return layout.units };
    let blocks = |px: u16, own: usize, most: usize| (usize::from(px) * own).div_ceil(8 * most);
    let units = [
        blocks(frame.width, only.blocks[0], layout.most[0]),
        blocks(frame.height, only.blocks[1], layout.most[1]),
    ];
    only.blocks = [1, 1];
    units
}

/// Decodes a scan into the planes; returns the share of it that was there.
fn read_scan(
    intervals: &mut Intervals,
    frame: &Frame,
    layout: &Layout,
    tables: &Tables,
    lanes: &mut [Lane],
    planes: &mut [Vec<u8>],
) -> f64 {
    let units = scan_units(lanes, frame, layout);
    let total = units[0] * units[1];
    let per_interval = if tables.restart_every == 0 {
        total
    } else {
        tables.restart_every
    };
    let (mut start, mut done) = (0, 0);
    while start < total {
        let Some(data) = intervals.next() else { break };
        let end = total.min(start + per_interval);
        done += read_interval(data, start..end, units[0], layout.stride, lanes, planes);
        start = end;
    }
    done as f64 / total as f64
}

/// Decodes units up to the first that is broken; returns how many were whole.
fn read_interval(
    data: &[u8],
    units: std::ops::Range<usize>,
    units_across: usize,
    stride: usize,
    lanes: &mut [Lane],
    planes: &mut [Vec<u8>],
) -> usize {
    let mut bits = Bits::new(data);
    for lane in &mut *lanes {
        // Each interval predicts from nothing, so that one that is lost does not tint the next.
        lane.mean = 0;
    }
    let first = units.start;
    for unit in units.clone() {
        let at = [unit % units_across, unit / units_across];
        for lane in &mut *lanes {
            let plane = &mut planes[lane.index];
            // Beyond their end the data are zeros, which decode to something: what used them is not whole.
            if read_unit(&mut bits, lane, at, plane, stride).is_err() || bits.overdrawn() {
                return unit - first;
            }
        }
    }
    units.len()
}

fn read_unit(
    bits: &mut Bits,
    lane: &mut Lane,
    at: [usize; 2],
    plane: &mut [u8],
    stride: usize,
) -> Result<(), BadCode> {
    let [across, down] = lane.blocks;
    for row in 0..down {
        for column in 0..across {
            let x = (at[0] * across + column) * lane.side[0];
            let y = (at[1] * down + row) * lane.side[1];
            read_block(bits, lane, &mut plane[y * stride + x..], stride)?;
        }
    }
    Ok(())
}

fn read_block(
    bits: &mut Bits,
    lane: &mut Lane,
    out: &mut [u8],
    stride: usize,
) -> Result<(), BadCode> {
    let mut coefficients = [0.0; 64];
    let last = lane.coder.read(bits, &mut lane.mean, &mut coefficients)?;
    if last > 0 {
        let transform = block::for_last(&lane.transforms, last);
        transform(
            &coefficients,
            [&lane.bases[0], &lane.bases[1]],
            lane.side,
            out,
            stride,
        );
    } else {
        // The zero frequency is eight times the block's mean (T.81 A.3.3): no transform is needed for a flat
        // one.
        let mean = (coefficients[0] / 8.0 + 128.5) as u8;
        out.chunks_mut(stride)
            .take(lane.side[1])
            .for_each(|row| row[..lane.side[0]].fill(mean));
    }
    Ok(())
}
