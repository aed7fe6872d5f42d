//! What layers rest on, and what of them does not count.

use super::{Fixings, Layer, Layered};
use crate::catalogue::provenance::{Provenance, Recalled};
use crate::intake::{Fault, FaultCode};
use crate::survey::Gathering;
use crate::survey::assumed::Fabric as Assumed;
use crate::survey::doubted::Doubted;

/// Where the corrections come from.
const CORRECTIONS: &str = "ISO 6946:2017, annex F, as open libraries of building physics carry it";
/// Where the resistances of air layers come from.
const AIR_LAYERS: &str = "ISO 6946:2007, as an open library of building physics carries its table";

impl Gathering<'_> {
    /// What rests on memory in the layers of a wall or roof, and what of them does not count.
    pub(super) fn note_layers(&mut self, at: &str, layered: &Layered) {
        let Layered { layers, taper, corrections } = layered;
        self.note_air(at, layers);
        let outermost = layered.well_ventilated();
        if let Some(index) = outermost {
            self.notes.add(&Assumed::VentilatedLayer { at: at.into(), layer: index });
        }
        let counts = |index: usize| outermost.is_none_or(|outermost| index > outermost);
        if let Some((index, ..)) = taper.filter(|(index, ..)| !counts(*index)) {
            self.notes.add(&Doubted::TaperOutside { at: at.into(), layer: index });
        }
        let Some(corrections) = corrections else { return };
        let origin = Provenance::published(CORRECTIONS);
        self.notes.add(&Assumed::Corrections { at: at.into(), origin, left_out: Recalled("ISO 6946") });
        if taper.is_some() {
            self.notes.add(&Doubted::CorrectionsWithTaper { at: at.into() });
        } else if !counts(corrections.insulation) {
            self.notes.add(&Doubted::CorrectedOutside { at: at.into() });
        }
        let insulation = layers.get(corrections.insulation);
        let no_thickness = insulation.is_some_and(|layer| layer.kind.thickness_m().is_none());
        if matches!(corrections.fixings, Some(Fixings::Section(..))) && no_thickness {
            let detail = "fixings by their section pass through insulation of known thickness, and this layer names none: give them by their point transmittance";
            self.faults.push(Fault::new(
                format!("{at}/corrections/fixings"),
                FaultCode::FixingsWithoutThickness,
                detail,
            ));
        }
    }

    /// The same for layers in the ground.
    pub(super) fn note_layers_below(&mut self, at: &str, layers: &[Layer]) {
        self.note_air(at, layers);
        let open = |layer: &Layer| layer.kind.openings_mm2_m().is_some_and(|mm2| mm2 > 0.0);
        if let Some(index) = layers.iter().position(open) {
            self.notes.add(&Doubted::OpenInTheGround { at: at.into(), layer: index });
        }
    }

    fn note_air(&mut self, at: &str, layers: &[Layer]) {
        if layers.iter().any(|layer| layer.kind.openings_mm2_m().is_some()) {
            self.notes.add(&Assumed::AirLayers { at: at.into(), origin: Provenance::published(AIR_LAYERS) });
        }
    }
}
