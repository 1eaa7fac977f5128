//! The page that reads on the phone itself, without a server.
//!
//! - *Comes in*: calls of the page's worker (`worker.js`): a check as it was kept, photos' bytes, forms.
//! - *Goes out*: the check's page as a server for phones makes it, and the check to be kept again.
//! - *May not know*: where the browser keeps what it keeps. Here is neither disk nor network nor clock.
//!
//! ```text
//! page.js ── phone.js ── worker.js ── boundary ── under_way, reading, report
//! taps       messages    IndexedDB    calls       the same code as everywhere
//! ```
//!
//! A build for `wasm32-unknown-unknown` has the `boundary`; the program that is installed has the [`folder`], which that
//! build is a file of. `.ci/release-page` makes both. What always holds:
//!
//! - Nothing of a check is only in memory: what is said to be kept is in the browser's storage, and a worker that is begun
//!   anew reads it again.
//! - A photo that breaks the worker, or takes too long, leaves the check; a panic ends a worker, since nothing unwinds here.
//! - No photo leaves the phone but in a file that its user shares, or to a server that it is paired with, when its user hands the check
//!   over: the same file, taken in by the same code ([`crate::archive::from_phone`]). It is said to be handed over once the archive has it,
//!   and nothing is thrown away for that.
//! - What is said in practice is kept before anything is shown of what was right. Its photos come when they are first asked for, and stay
//!   in the browser's cache.
//! - Of a jaw set a phone knows facts alone ([`crate::under_way::SetFacts`]); what its history taught stays in the archive.

#[cfg(target_arch = "wasm32")]
mod before;
#[cfg(target_arch = "wasm32")]
mod beside;
#[cfg(target_arch = "wasm32")]
mod boundary;
#[cfg(not(target_arch = "wasm32"))]
pub(crate) mod folder;
#[cfg(any(target_arch = "wasm32", test))]
mod glimpse;
#[cfg(target_arch = "wasm32")]
mod pages;
#[cfg(target_arch = "wasm32")]
mod practice;
mod samples;
pub(crate) mod tar;
