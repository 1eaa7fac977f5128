//! Entropy-coded data: freed of byte stuffing, and cut at restart markers (T.81 B.1.1.5).

/// The data of one scan, one restart interval at a time.
pub(super) struct Intervals<'a> {
    bytes: &'a [u8],
    at: usize,
    /// The number that the next restart marker must have; `None` once the scan has ended.
    next_restart: Option<u8>,
    clean: Vec<u8>,
}

impl<'a> Intervals<'a> {
    pub(super) fn new(bytes: &'a [u8], at: usize) -> Self {
        Self {
            bytes,
            at,
            next_restart: Some(0),
            clean: Vec::new(),
        }
    }

    /// The next interval's data without stuffing; `None` after the scan's last, and after a
    /// restart marker out of turn, since what follows then belongs elsewhere in the picture.
    pub(super) fn next(&mut self) -> Option<&[u8]> {
        let expected = self.next_restart?;
        self.clean.clear();
        let marker = self.unstuff();
        self.next_restart = (marker == Some(0xd0 + expected)).then_some((expected + 1) % 8);
        if self.next_restart.is_some() {
            self.at += 2;
        }
        Some(&self.clean)
    }

    /// Where the marker that ended the last interval stands.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// Copies up to the next marker, and returns that.
    fn unstuff(&mut self) -> Option<u8> {
        loop {
            let ahead = self.bytes.get(self.at..).unwrap_or_default();
            let Some(plain) = memchr::memchr(0xff, ahead) else {
                self.clean.extend_from_slice(ahead);
                self.at = self.bytes.len();
                return None;
            };
            self.clean.extend_from_slice(&ahead[..plain]);
            self.at += plain;
            match ahead.get(plain + 1) {
                Some(0) => self.clean.push(0xff),
                Some(0xff) => {
                    self.at += 1;
                    continue;
                }
                marker => return marker.copied(),
            }
            self.at += 2;
        }
    }
}
