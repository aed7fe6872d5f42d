//! Water content of the system.

use crate::design::emitters::Emitters;
use crate::design::pipework::Pipework;
use crate::design::source::Source;
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::methods::Off;
use crate::methods::tube::{content_l, inside_diameter};
use crate::survey::{Survey, offer};

/// Water content, part by part (l).
#[expect(clippy::struct_field_names, reason = "the unit is in the name of every figure")]
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Content {
    /// Radiators and fan convectors.
    pub radiators_l: f64,
    /// Loops of heated floors.
    pub loops_l: f64,
    /// Runs, both legs.
    pub runs_l: f64,
    /// The circuits of the plant: primary and hot water, both legs.
    pub circuits_l: f64,
    /// A buffer vessel.
    pub buffer_l: f64,
    /// Manifolds.
    pub manifolds_l: f64,
    /// Heat source.
    pub heat_source_l: f64,
    /// Coil of the cylinder.
    pub coil_l: f64,
}

impl Content {
    /// The whole system (l).
    #[must_use]
    pub fn total_l(&self) -> f64 {
        let ends_l = self.radiators_l + self.loops_l + self.runs_l + self.manifolds_l;
        ends_l + self.circuits_l + self.buffer_l + self.heat_source_l + self.coil_l
    }
}

/// Adds the system up.
pub(super) fn content(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    pipework: &Pipework,
    cylinder: Option<Index<offer::Cylinder>>,
    manifolds: &List<Manifold, Option<Index<offer::Manifold>>>,
) -> Content {
    let offer = &survey.offer;
    let loops = emitters.floors().filter_map(|(at, floor, _)| {
        let tube = survey.emitter(at).floor()?.tube;
        Some(content_l(inside_diameter(tube.outside_m, tube.wall_m, &mut Off), floor.tube_m()))
    });
    let circuits = pipework.primary.iter().chain(pipework.hot_water.iter().map(|circuit| &circuit.section));
    let buffer = pipework.joining.way().buffer.map_or(0.0, |index| offer.buffers[index].volume_l);
    Content {
        radiators_l: emitters.radiators().map(|(.., radiator)| radiator.water_l).sum::<f64>()
            + emitters.fan_convectors().map(|(.., unit)| unit.water_l).sum::<f64>(),
        loops_l: loops.sum(),
        runs_l: pipework.sections.iter().map(|section| section.content_l).sum(),
        circuits_l: circuits.map(|section| section.content_l).sum(),
        buffer_l: buffer,
        manifolds_l: manifolds.iter().flatten().map(|&index| offer.manifolds[index].water_l).sum(),
        heat_source_l: source.reckoned().map_or(0.0, |index| offer.heat_sources[index].water_l),
        coil_l: cylinder.map_or(0.0, |index| offer.cylinders[index].coil_water_l),
    }
}
