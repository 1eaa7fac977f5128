//! Pairing: who has scanned the code in the terminal may use the page.
//!
//! One key per archive. Code and cookie are both derived from it, each its own way, so that the code, which
//! may end up in a browser's history, is not what the cookie holds.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use anyhow::{Context, bail};
use axum::http::{HeaderMap, header};
use subtle::ConstantTimeEq;

use crate::taper::records::Id;

/// The key's file in the archive's folder.
const FILE: &str = "pairing.key";
const COOKIE: &str = "seepline-paired";
/// As long as browsers keep a cookie at all: 400 days (RFC 6265bis, section 5.5).
const KEPT_S: u32 = 400 * 24 * 60 * 60;

/// What a request must show: 128 bits each, as 32 hexadecimal digits.
#[derive(Debug)]
pub(super) struct Pairing {
    code: String,
    cookie: String,
}

impl Pairing {
    /// The archive's own, made where there is none.
    pub(super) fn of(archive: &Path, renew: bool) -> anyhow::Result<Self> {
        let file = archive.join(FILE);
        if renew {
            remove(&file).with_context(|| format!("{} could not be replaced", file.display()))?;
        }
        let key = match fs::read_to_string(&file) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => make(&file)?,
            Err(error) => return Err(error).with_context(|| unreadable(&file)),
        };
        let Ok(key) = key.trim().parse::<Id>() else {
            bail!(
                "{} holds no pairing key; start once with --unpair to make a new one",
                file.display()
            );
        };
        // Elsewhere it lies in a folder that is its owner's.
        #[cfg(unix)]
        only_for_owner(&file)?;
        Ok(Self::derived(&key.to_string()))
    }

    fn derived(key: &str) -> Self {
        Self {
            code: Id::derived(&["pairing code", key]).to_string(),
            cookie: Id::derived(&["pairing cookie", key]).to_string(),
        }
    }

    /// For the address that the QR code holds, and for programs.
    pub(super) fn code(&self) -> &str {
        &self.code
    }

    /// Takes as long whatever is wrong with it.
    pub(super) fn is_code(&self, given: &str) -> bool {
        same(given, &self.code)
    }

    /// Whether the request comes from a paired phone.
    pub(super) fn has_cookie(&self, headers: &HeaderMap) -> bool {
        cookies(headers).any(|(name, value)| name == COOKIE && same(value, &self.cookie))
    }

    /// Whether the request comes from a program that was given the code.
    pub(super) fn has_code(&self, headers: &HeaderMap) -> bool {
        let given = headers
            .get(header::AUTHORIZATION)
            .and_then(|v| v.to_str().ok());
        given
            .and_then(|v| v.strip_prefix("Bearer "))
            .is_some_and(|v| self.is_code(v.trim()))
    }

    /// The cookie of a paired phone; through TLS it never goes without.
    pub(super) fn set_cookie(&self, tls: bool) -> String {
        set_cookie(COOKIE, &self.cookie, tls)
    }
}

/// Of this site alone, out of reach of scripts.
pub(super) fn set_cookie(name: &str, value: &str, tls: bool) -> String {
    // Over plain HTTP a browser would not keep a `Secure` cookie.
    let secure = if tls { "; Secure" } else { "" };
    format!("{name}={value}; Path=/; Max-Age={KEPT_S}; HttpOnly; SameSite=Strict{secure}")
}

/// Names and values of all cookies that came.
pub(super) fn cookies(headers: &HeaderMap) -> impl Iterator<Item = (&str, &str)> {
    let all = headers.get_all(header::COOKIE).into_iter();
    all.filter_map(|v| v.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
}

fn same(given: &str, right: &str) -> bool {
    given.as_bytes().ct_eq(right.as_bytes()).into()
}

fn remove(file: &Path) -> io::Result<()> {
    match fs::remove_file(file) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

fn unreadable(file: &Path) -> String {
    let file = file.display();
    format!(
        "the pairing key {file} could not be read; change its permissions, or start with --unpair"
    )
}

fn make(file: &Path) -> anyhow::Result<String> {
    let key = crate::archive::shelf::new_id()?.to_string();
    let mut options = OpenOptions::new();
    // Never over a key that is there: phones are paired by it.
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let write = || {
        let mut opened = options.open(file)?;
        opened.write_all(key.as_bytes())?;
        opened.sync_all()
    };
    write().with_context(|| {
        let file = file.display();
        format!(
            "the pairing key {file} could not be written; check the folder's permissions and space"
        )
    })?;
    Ok(key)
}

/// A key that was copied may have got other permissions on the way.
#[cfg(unix)]
fn only_for_owner(file: &Path) -> anyhow::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(file, fs::Permissions::from_mode(0o600)).with_context(|| unreadable(file))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_lasts_until_it_is_renewed() {
        let folder = tempfile::tempdir().unwrap();
        let first = Pairing::of(folder.path(), false).unwrap();
        let again = Pairing::of(folder.path(), false).unwrap();
        assert_eq!(first.code, again.code);
        assert_ne!(first.code, first.cookie);
        assert!(first.is_code(&again.code) && !first.is_code(""));
        assert!(!first.is_code(&first.cookie));
        let other = Pairing::of(folder.path(), true).unwrap();
        assert_ne!(first.code, other.code);
        std::fs::write(folder.path().join(FILE), "no key").unwrap();
        assert!(Pairing::of(folder.path(), false).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn the_key_is_for_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(FILE);
        Pairing::of(folder.path(), false).unwrap();
        let mode = || fs::metadata(&file).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(), 0o600);
        fs::set_permissions(&file, fs::Permissions::from_mode(0o644)).unwrap();
        Pairing::of(folder.path(), false).unwrap();
        assert_eq!(mode(), 0o600);
    }
}
