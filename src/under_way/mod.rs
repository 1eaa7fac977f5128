//! A check under way, and what is asked before it, wherever it is read: at a server for phones, or on a phone itself.
//!
//! - *Comes in*: fields of forms, photos' bytes.
//! - *Goes out*: the check's state, its answer, and its page as HTML.
//! - *May not know*: where a check is kept, how a page gets to whoever looks at it, archives, requests.
//!
//! | module | what |
//! | --- | --- |
//! | `check`, `settings` | what is said about a check, its photos, what was read of them |
//! | `facts`, `elsewhere` | a jaw set as a check knows it away from its archive; a check that comes from elsewhere, trusted no further than a form |
//! | `practised` | answers of practice on their way from a phone to an archive, trusted no further either |
//! | `change`, `call` | what a tap changes; the call that comes before the reading |
//! | `reading` | a photo → what is kept of its reading; all readings → the answer of a check without a jaw set |
//! | `questions` | what a check leaves open that words can settle: a tip, the method |
//! | `before`, `form` | fields → what is given for a first taper, and for a set that is mounted again |
//! | `pages`, `addresses`, `words` | the page of a check, its style and its script; texts of the command line as a page says them |
//! | `fault` | what can go wrong, in words that say what to do |
//!
//! Begin with [`UnderWay`], then `pages/check.rs`.

pub(crate) mod addresses;
pub(crate) mod before;
mod call;
mod change;
mod check;
mod elsewhere;
mod facts;
mod fault;
pub(crate) mod form;
pub(crate) mod pages;
pub(crate) mod practised;
pub(crate) mod questions;
mod reading;
pub(crate) mod settings;
pub(crate) mod words;

pub(crate) use call::KeptBack;
#[cfg(target_arch = "wasm32")]
pub(crate) use call::called;
pub(crate) use change::{Change, goes};
#[cfg(target_arch = "wasm32")]
pub(crate) use check::Handed;
pub(crate) use check::{
    Filed, Goes, JAWS, MOST_PHOTOS, Photo, Pictures, Read, Sheet, UnderWay, quad,
};
pub(crate) use facts::{JawSets, SetFacts};
pub(crate) use fault::Fault;
pub(crate) use settings::{Fields, Settings};
