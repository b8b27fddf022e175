//! What the maker's page asks of the library: keys for its forms, specs read and changed, boxes seen, jobs made.
//!
//! Everything goes in and out as text or JSON; files as bytes.

mod engine;
mod form;
mod text;

pub use engine::Engine;
