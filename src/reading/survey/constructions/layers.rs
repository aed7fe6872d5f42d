//! What layers rest on, and what of them does not count.

use super::{Fixings, Layer, Layered};
use crate::intake::Fault;
use crate::survey::Gathering;

impl Gathering<'_> {
    /// What rests on memory in the layers of a wall or roof, and what of them does not count.
    pub(super) fn note_layers(&mut self, at: &str, layered: &Layered) {
        let Layered { layers, taper, corrections } = layered;
        self.note_air(at, layers);
        let outermost = layered.well_ventilated();
        if let Some(index) = outermost {
            let detail =
                format!("a well ventilated layer of air: it and the {index} layers outside it do not count (ISO 6946)");
            self.notes.assume("ventilated_layer", format!("{at}/layers/{index}"), detail);
        }
        let counts = |index: usize| outermost.is_none_or(|outermost| index > outermost);
        let outside = "lies in or outside a well ventilated layer of air, and counts for nothing";
        if let Some((index, ..)) = taper.filter(|(index, ..)| !counts(*index)) {
            let detail = format!("the taper {outside}");
            self.notes.warn("layer_not_counted", format!("{at}/layers/{index}/taper"), detail);
        }
        let Some(corrections) = corrections else { return };
        let detail = "corrections for air gaps and fixings by ISO 6946 (from memory, confirm)";
        self.notes.assume("corrections", format!("{at}/corrections"), detail);
        if taper.is_some() {
            let detail = "corrections count for nothing in a construction with a tapered layer";
            self.notes.warn("layer_not_counted", format!("{at}/corrections"), detail);
        } else if !counts(corrections.insulation) {
            let detail = format!("the insulation that is corrected {outside}");
            self.notes.warn("layer_not_counted", format!("{at}/corrections"), detail);
        }
        let insulation = layers.get(corrections.insulation);
        let no_thickness = insulation.is_some_and(|layer| layer.kind.thickness_m().is_none());
        if matches!(corrections.fixings, Some(Fixings::Section(..))) && no_thickness {
            let detail = "fixings by their section pass through insulation of known thickness, and this layer names none: give them by their point transmittance";
            self.faults.push(Fault::new(format!("{at}/corrections/fixings"), "fixings_without_thickness", detail));
        }
    }

    /// The same for layers in the ground.
    pub(super) fn note_layers_below(&mut self, at: &str, layers: &[Layer]) {
        self.note_air(at, layers);
        let open = |layer: &Layer| layer.kind.openings_mm2_m().is_some_and(|mm2| mm2 > 0.0);
        if let Some(index) = layers.iter().position(open) {
            let detail = "openings of a layer of air count for nothing in the ground";
            self.notes.warn("layer_not_counted", format!("{at}/{index}/openings_mm2_m"), detail);
        }
    }

    fn note_air(&mut self, at: &str, layers: &[Layer]) {
        if layers.iter().any(|layer| layer.kind.openings_mm2_m().is_some()) {
            self.notes.assume("air_layers", at, "air layers by the table of ISO 6946 (from memory, confirm)");
        }
    }
}
