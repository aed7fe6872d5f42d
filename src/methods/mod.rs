//! Pure engineering: one file per published method, figures in and figures out.
//!
//! No serde, no input or output, no clock. Every public function says what it computes and gives its
//! source, units, validity, errors and an example that runs.

/// Outside design temperature of a site.
pub mod climate;
/// Design heat loss of rooms, EN 12831.
pub mod en_12831;
pub mod error;
/// Slabs on the ground, ISO 13370.
pub mod iso_13370;
/// Resistance of layers, ISO 6946.
pub mod iso_6946;
pub mod math;
pub mod workings;

pub use error::{MethodError, Range};
pub use workings::{Book, Off, Step, Workings};
