//! Tar archives, as far as a file of checks needs them: the ustar format of POSIX.1-2017 (pax, “ustar Interchange Format”).
//! Regular files with short names are all there is.

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

/// The regular files of an archive, by name, in their order. `None` where it is none, or breaks off.
#[cfg(not(target_arch = "wasm32"))]
pub(crate) fn files(mut bytes: &[u8]) -> Option<Vec<(&str, &[u8])>> {
    let mut files = Vec::new();
    loop {
        let (head, rest) = bytes.split_at_checked(BLOCK_BYTES)?;
        if head.iter().all(|byte| *byte == 0) {
            return Some(files);
        }
        if octal(&head[SUM])? != sum(head) || !head[MAGIC].starts_with(b"ustar") {
            return None;
        }
        let size = usize::try_from(octal(&head[SIZE])?).ok()?;
        let (file, _) = rest.split_at_checked(size)?;
        if matches!(head[KIND], b'0' | 0) {
            files.push((text(&head[NAME])?, file));
        }
        bytes = rest.get(size.checked_next_multiple_of(BLOCK_BYTES)?..)?;
    }
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

    #[test]
    fn what_was_put_in_comes_out_and_what_breaks_off_is_no_archive() {
        let long = [7; 1300];
        let all: [(&str, &[u8]); 3] =
            [("a/check.json", b"{}"), ("a/empty", b""), ("a/long", &long)];
        let bytes = archive(&all);
        assert_eq!(files(&bytes).unwrap(), all);
        for end in [0, 100, 512, 1024 + 512 + 600, bytes.len() - 1024] {
            assert_eq!(files(&bytes[..end]), None, "{end}");
        }
        let mut other = bytes.clone();
        other[3] ^= 1;
        assert_eq!(files(&other), None);
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
