//! What the commands of the command line do.

mod demo;
mod price;
mod serve;

pub use demo::demo;
pub use price::price;
pub use serve::serve;
