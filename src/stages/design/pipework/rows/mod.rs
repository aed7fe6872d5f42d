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

use super::Pipework;
use crate::catalogue::products::Product;
use crate::list::Index;
use crate::methods::water::Liquid;
use crate::survey::{End, Survey};

impl Pipework {
    /// The circuit to the outdoor unit.
    pub(in crate::design) fn primary_row(&self, survey: &Survey, liquid: &Liquid) -> Option<SectionRow> {
        let (primary, section) = survey.pipes.primary.as_ref().zip(self.primary.as_ref())?;
        Some(sections::row(survey, liquid, &primary.run, "plant", section))
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
