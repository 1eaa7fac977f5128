//! The archive, through the public interface.
mod backup;
mod bad;
mod child;
mod exchange;
mod filing;
mod finding;
mod full_disk;
mod hiding;
mod kill;
mod layouts;
mod lessons;
mod merging;
mod outside;
mod round_trip;
mod together;
