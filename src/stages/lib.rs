//! The stages, and the only place that runs them in order.

/// The stages up to the plant.
pub mod design;
/// From a design to money and days.
pub mod estimate;
/// The only place that runs stages in order.
pub mod proposal;

use tundish_engine::{methods, sources};
use tundish_reading::{catalogue, findings, intake, job, list, money, notes, survey, terms};
