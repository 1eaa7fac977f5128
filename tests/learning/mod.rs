//! What a jaw set's history adds to the answer, through the public interface.

mod history;
mod known;
mod lessons;
mod photos;
mod shop;
mod simulation;
