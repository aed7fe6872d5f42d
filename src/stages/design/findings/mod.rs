//! What a stage finds beside its figures: needs that cannot be met, and what looks wrong. Found as plain data
//! while computing, put into words once.

mod pipe_words;
mod unmet;
mod unmet_words;
mod warning;

pub use unmet::{Breaks, Pipe, Place, Pointed, Unmet, UnmetRow, Wanted, Why};
pub use unmet_words::rows;
pub use warning::{Untold, Warning};
