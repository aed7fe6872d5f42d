//! What the survey fills in where the job says nothing, as it is told: one table for each part of a house.

mod air;
mod commercial;
mod emitters;
mod fabric;
mod floors;
mod pipes;
mod plant;

pub(super) use air::Air;
pub(super) use commercial::{Money, NotInThePrice};
pub(super) use emitters::Emitters;
pub(super) use fabric::Fabric;
pub(super) use floors::{FilledFloor, Floors};
pub(super) use pipes::{By, FilledPipework, Pipes};
pub(super) use plant::Plant;

use super::doubted::Doubted;
use crate::notes::{Finding, Registered};

/// The entries of all that the survey notes in the register of codes.
#[must_use]
pub fn registered() -> Vec<Registered> {
    [
        <Fabric as Finding<()>>::registered(),
        <Air as Finding<()>>::registered(),
        <Emitters as Finding<()>>::registered(),
        <Floors as Finding<()>>::registered(),
        <Plant as Finding<()>>::registered(),
        <Pipes as Finding<()>>::registered(),
        <Money as Finding<()>>::registered(),
        <Doubted as Finding<()>>::registered(),
    ]
    .concat()
}
