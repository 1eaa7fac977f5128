//! What is asked before a check.

use wasm_bindgen::prelude::wasm_bindgen;

use super::super::before;
use super::{Answered, parsed};
use crate::under_way::{Fault, Fields};

/// Page and answer in one: what was typed stands in the address, and which page it is under `before`.
#[wasm_bindgen]
pub fn before_page(fields: &str) -> Answered<String> {
    let mut typed: Fields = parsed(fields)?;
    let which = typed.remove("before").unwrap_or_default();
    Ok(before::page(&which, &typed).ok_or(Fault::NotHere)?)
}
