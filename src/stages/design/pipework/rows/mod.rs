//! Pipes as they are answered.

mod balance;
mod choice;
mod circuits;
mod coils;
mod sections;

pub use balance::SettingRow;
pub use choice::ChoiceRow;
pub use circuits::{CircuitRow, HiddenPumpRow, HiddenRow, HotWaterCircuitRow};
pub use coils::CoilRow;
pub use sections::SectionRow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Pipework;
use crate::catalogue::products::Product;
use crate::list::Index;
use crate::methods::water::Liquid;
use crate::survey::{End, Survey};

/// A loop of a floor by its names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct IndexLoopRow {
    /// Id of the room.
    pub room: String,
    /// Id of the floor among its emitters.
    pub emitter: String,
    /// Its number within the floor, from 1.
    #[schema(value_type = i32)]
    pub number: usize,
}

impl Pipework {
    /// The circuit to the outdoor unit.
    pub(in crate::design) fn primary_row(&self, survey: &Survey, liquid: &Liquid) -> Option<SectionRow> {
        let (primary, section) = survey.pipes.primary.as_ref().zip(self.primary.as_ref())?;
        Some(sections::row(survey, liquid, &primary.run, "plant", section))
    }

    /// The loop that takes the most of those on the manifold that the index circuit serves.
    pub(in crate::design) fn index_loop_row(&self, survey: &Survey) -> Option<IndexLoopRow> {
        let End::Manifold(manifold) = self.circuits[self.index_circuit?].end else { return None };
        let loops = self.loops.iter().filter(|one| one.manifold == manifold);
        let worst =
            loops.max_by(|a, b| a.drop_pa.total_cmp(&b.drop_pa).then(b.at.cmp(&a.at)).then(b.number.cmp(&a.number)))?;
        let (room, emitter) = survey.names.emitter(worst.at);
        Some(IndexLoopRow { room: room.to_owned(), emitter: emitter.to_owned(), number: worst.number })
    }

    /// What the index circuit serves.
    pub(in crate::design) fn index_row(&self, survey: &Survey) -> Option<String> {
        self.index_circuit.map(|index| serves(survey, self.circuits[index].end))
    }
}

/// What an end is called.
pub(in crate::design) fn serves(survey: &Survey, end: End) -> String {
    match end {
        End::Manifold(manifold) => survey.names.manifolds[manifold].clone(),
        End::Radiator(at) => {
            let (room, emitter) = survey.names.emitter(at);
            format!("{room}/{emitter}")
        }
    }
}

/// Code of a product of the book.
pub(in crate::design) fn code(survey: &Survey, product: Index<Product>) -> String {
    survey.book.product(product).0.to_owned()
}
