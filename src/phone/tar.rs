//! Tar archives, as far as a file of checks needs them: the ustar format of POSIX.1-2017 (pax, “ustar Interchange Format”).
//! Regular files with short names are all there is.

#[cfg(not(target_arch = "wasm32"))]
use std::io::{self, Read, Seek, SeekFrom};

/// Everything lies in blocks of so many bytes.
const BLOCK_BYTES: usize = 512;
/// Where the fields of a header lie, bytes from its start.
const NAME: std::ops::Range<usize> = 0..100;
const SIZE: std::ops::Range<usize> = 124..136;
const SUM: std::ops::Range<usize> = 148..156;
const KIND: usize = 156;
const MAGIC: std::ops::Range<usize> = 257..265;

/// What stands before a file's bytes; zeros fill its last block after them.
#[cfg_attr(not(target_arch = "wasm32"), cfg(test))]
pub(super) fn head(name: &str, bytes: u64) -> Vec<u8> {
    let mut head = vec![0; BLOCK_BYTES];
    let mut put =
        |from: usize, text: &str| head[from..from + text.len()].copy_from_slice(text.as_bytes());
    put(NAME.start, name);
    // Mode, owner and group; the time is left at 0, so that the same checks give the same bytes.
    put(100, "0000644\x000000000\x000000000\0");
    put(SIZE.start, &format!("{bytes:011o}\x0000000000000\0"));
    put(KIND, "0");
    put(MAGIC.start, "ustar\x0000");
    let sum = sum(&head);
    head[SUM].copy_from_slice(format!("{sum:06o}\0 ").as_bytes());
    head
}

/// Of all bytes of a header, those of the sum itself taken as blanks.
fn sum(head: &[u8]) -> u64 {
    let byte = |(at, byte): (usize, &u8)| u64::from(if SUM.contains(&at) { b' ' } else { *byte });
    head.iter().enumerate().map(byte).sum()
}

/// A regular file of an archive, and where in it its bytes lie.
#[cfg(not(target_arch = "wasm32"))]
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Part {
    pub(crate) name: String,
    pub(crate) bytes: u64,
    from: u64,
}

#[cfg(not(target_arch = "wasm32"))]
impl Part {
    pub(crate) fn read(&self, archive: &mut (impl Read + Seek)) -> io::Result<Vec<u8>> {
        archive.seek(SeekFrom::Start(self.from))?;
        let mut bytes = Vec::new();
        archive.take(self.bytes).read_to_end(&mut bytes)?;
        Ok(bytes)
    }
}

/// The regular files of an archive, in their order. `None` where it is none, breaks off, or has more than `most`: only their
/// names come into memory.
#[cfg(not(target_arch = "wasm32"))]
pub(crate) fn parts(
    archive: &mut (impl Read + Seek),
    most: usize,
) -> io::Result<Option<Vec<Part>>> {
    let end = archive.seek(SeekFrom::End(0))?;
    let (mut at, mut parts) = (0, Vec::new());
    loop {
        let from = at + BLOCK_BYTES as u64;
        if from > end {
            return Ok(None);
        }
        let mut head = [0; BLOCK_BYTES];
        archive.seek(SeekFrom::Start(at))?;
        archive.read_exact(&mut head)?;
        if head.iter().all(|byte| *byte == 0) {
            return Ok(Some(parts));
        }
        let Some((name, bytes)) = told(&head).filter(|_| parts.len() < most) else {
            return Ok(None);
        };
        // What the head says of its size may be anything.
        let next = bytes.checked_next_multiple_of(BLOCK_BYTES as u64);
        let Some(next) = next
            .and_then(|size| from.checked_add(size))
            .filter(|next| *next <= end)
        else {
            return Ok(None);
        };
        if matches!(head[KIND], b'0' | 0) {
            parts.push(Part { name, bytes, from });
        }
        at = next;
    }
}

/// Name and size; `None` where this is no header.
#[cfg(not(target_arch = "wasm32"))]
fn told(head: &[u8]) -> Option<(String, u64)> {
    if octal(&head[SUM])? != sum(head) || !head[MAGIC].starts_with(b"ustar") {
        return None;
    }
    Some((text(&head[NAME])?.to_owned(), octal(&head[SIZE])?))
}

/// Up to the first NUL.
#[cfg(not(target_arch = "wasm32"))]
fn text(field: &[u8]) -> Option<&str> {
    std::str::from_utf8(field.split(|byte| *byte == 0).next()?).ok()
}

#[cfg(not(target_arch = "wasm32"))]
fn octal(field: &[u8]) -> Option<u64> {
    u64::from_str_radix(text(field)?.trim(), 8).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut bytes = Vec::new();
        for (name, file) in files {
            bytes.extend(head(name, file.len() as u64));
            bytes.extend_from_slice(file);
            bytes.resize(bytes.len().next_multiple_of(BLOCK_BYTES), 0);
        }
        bytes.resize(bytes.len() + 2 * BLOCK_BYTES, 0);
        bytes
    }

    /// Names and bytes.
    fn files(bytes: &[u8], most: usize) -> Option<Vec<(String, Vec<u8>)>> {
        let mut archive = io::Cursor::new(bytes);
        let parts = parts(&mut archive, most).unwrap()?;
        let of = |part: Part| {
            let bytes = part.read(&mut archive).unwrap();
            (part.name, bytes)
        };
        Some(parts.into_iter().map(of).collect())
    }

    #[test]
    fn what_was_put_in_comes_out_and_what_breaks_off_is_no_archive() {
        let long = [7; 1300];
        let all: [(&str, &[u8]); 3] =
            [("a/check.json", b"{}"), ("a/empty", b""), ("a/long", &long)];
        let bytes = archive(&all);
        let owned = all.map(|(name, file)| (name.to_owned(), file.to_vec()));
        assert_eq!(files(&bytes, 3).unwrap(), owned);
        assert_eq!(files(&bytes, 2), None);
        for end in [0, 100, 512, 1024 + 512 + 600, bytes.len() - 1024] {
            assert_eq!(files(&bytes[..end], 3), None, "{end}");
        }
        let mut other = bytes.clone();
        other[3] ^= 1;
        assert_eq!(files(&other, 3), None);
        // A size beyond every file's: 8 gibibytes less one.
        let huge = [head("a", 0o77_777_777_777), bytes].concat();
        assert_eq!(files(&huge, 9), None);
    }

    #[test]
    fn a_header_is_as_gnu_tar_writes_it() {
        // GNU tar 1.34: `printf hello > f; tar --format=ustar --mtime=@0 --owner=:0 --group=:0 --mode=644 -cf - f`, which
        // names owner and group besides, and a device, which POSIX asks for in special files alone.
        let mut head = head("f", 5);
        assert_eq!(
            &head[100..148],
            b"0000644\x000000000\x000000000\x0000000000005\x0000000000000\0"
        );
        for at in [265, 297] {
            head[at..at + 4].copy_from_slice(b"root");
        }
        for at in [329, 337] {
            head[at..at + 7].copy_from_slice(b"0000000");
        }
        assert_eq!(sum(&head), 0o11160);
    }
}
