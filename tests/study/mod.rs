//! `seepline study` as people use it: the folder that is made, sheets filled in, the report.

mod bad;
mod blind;
mod figures;
mod pages;
mod shop;
