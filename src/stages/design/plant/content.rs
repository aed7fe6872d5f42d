//! Water content of the system.

use crate::catalogue::offer;
use crate::design::emitters::Emitters;
use crate::design::pipework::Pipework;
use crate::design::source::Source;
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::methods::tube::{content_l, inside_diameter};
use crate::methods::{Off, Workings, sums};
use crate::survey::Survey;

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
        sums::sum(self.parts_l(), sums::and_l, &mut Off)
    }

    fn parts_l(&self) -> [f64; 8] {
        let Self { radiators_l, loops_l, runs_l, circuits_l, buffer_l, manifolds_l, heat_source_l, coil_l } = *self;
        [radiators_l, loops_l, runs_l, manifolds_l, circuits_l, buffer_l, heat_source_l, coil_l]
    }
}

/// Adds the system up.
pub(super) fn content<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    source: &Source,
    pipework: &Pipework,
    cylinder: Option<Index<offer::Cylinder>>,
    manifolds: &List<Manifold, Option<Index<offer::Manifold>>>,
    w: &mut W,
) -> Content {
    let offer = &survey.offer;
    let loops = emitters.floors().filter_map(|(at, floor, _)| {
        let tube = survey.emitter(at).floor()?.tube;
        Some(content_l(inside_diameter(tube.outside_m, tube.wall_m, &mut Off), floor.tube_m(), &mut Off))
    });
    let circuits = pipework.primary.iter().chain(pipework.hot_water.iter().map(|circuit| &circuit.section));
    let buffer = pipework.joining.way().buffer.map_or(0.0, |index| offer.buffers[index].volume_l);
    let hung = emitters.radiators().map(|(.., radiator)| radiator.water_l);
    let hung = hung.chain(emitters.fan_convectors().map(|(.., unit)| unit.water_l));
    let runs = pipework.sections.iter().map(|section| section.content_l);
    let distributing = manifolds.iter().flatten().map(|&index| offer.manifolds[index].water_l);
    let circuits = circuits.map(|section| section.content_l);
    let radiators_l = sums::sum(hung, sums::and_l, &mut w.within("radiators_l"));
    let loops_l = sums::sum(loops, sums::and_l, &mut w.within("loops_l"));
    let runs_l = sums::sum(runs, sums::and_l, &mut w.within("runs_l"));
    let circuits_l = sums::sum(circuits, sums::and_l, &mut w.within("circuits_l"));
    let manifolds_l = sums::sum(distributing, sums::and_l, &mut w.within("manifolds_l"));
    let content = Content {
        radiators_l,
        loops_l,
        runs_l,
        circuits_l,
        buffer_l: buffer,
        manifolds_l,
        heat_source_l: source.reckoned().map_or(0.0, |index| offer.heat_sources[index].water_l),
        coil_l: cylinder.map_or(0.0, |index| offer.cylinders[index].coil_water_l),
    };
    sums::sum(content.parts_l(), sums::and_l, &mut w.within("total_l"));
    content
}
