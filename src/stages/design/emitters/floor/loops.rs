//! The loops of a zone: how many, how long, what they cost in pressure and what they give on their way.

use super::characteristic::{Characteristic, Way, slope};
use super::site::Site;
use crate::design::emitters::Common;
use crate::methods::floor_circuit::Line;
use crate::methods::friction::{self, Bore};
use crate::methods::handbook_zeta::{self, Named};
use crate::methods::{MethodError, Off, Workings, fittings, floor_loops, sums, tube};
use crate::survey::{FloorSystem, FloorTube, HeatedFloor, Survey};

/// The inside of a floor tube.
pub(in crate::design) fn bore(tube: &FloorTube) -> Bore {
    let inside_m = tube::inside_diameter(tube.outside_m, tube.wall_m, &mut Off);
    Bore { inside_diameter_mm: inside_m * 1000.0, roughness_mm: tube.roughness_m * 1000.0 }
}

/// Pressure drop of one loop with its bends and its two valves at the manifold (Pa).
pub(in crate::design) fn loop_drop<W: Workings>(
    survey: &Survey,
    floor: &HeatedFloor,
    (length_m, flow_kg_s): (f64, f64),
    water: &crate::methods::water::Liquid,
    w: &mut W,
) -> Result<f64, MethodError> {
    let friction = friction::in_tube(bore(&floor.tube), water, flow_kg_s, w)?;
    let kv_m3_h = survey.pipes.manifold_loop_kv_m3_h[floor.laying.manifold];
    let flow_l_h = friction::volume_flow(flow_kg_s, water.density_kg_m3, w);
    let valves_pa = fittings::kv_drop(flow_l_h, kv_m3_h, water.density_kg_m3, w)?;
    let straight_pa = friction::drop_over(friction.gradient_pa_m, length_m, w);
    if floor.laying.loop_bends <= 0.0 {
        return Ok(sums::and_pa(straight_pa, valves_pa, w));
    }
    let bend_zeta = handbook_zeta::zeta(Named::LongBend, bore(&floor.tube).inside_diameter_mm);
    let zeta = floor.laying.loop_bends * bend_zeta;
    let bends_pa = fittings::zeta_drop(zeta, water.density_kg_m3, friction.velocity_m_s, w);
    let bent_pa = sums::and_pa(straight_pa, bends_pa, w);
    Ok(sums::and_pa(bent_pa, valves_pa, w))
}

/// The lines of so many loops through other rooms, one way. They lie in the floor that they lead to, which goes on under
/// the rooms that they pass, side by side.
pub(super) fn lines(
    common: &Common<'_>,
    floor: &HeatedFloor,
    site: &Site,
    characteristic: &Characteristic,
    (way, loops): (Way, f64),
) -> Result<Vec<Line>, MethodError> {
    if floor.laying.passes.is_empty() {
        return Ok(Vec::new());
    }
    let (apart_m, kh_w_m2k) = match floor.system {
        FloorSystem::InScreed(_) => {
            let spacing_m = common.survey.defaults.lines_apart_mm.value / 1000.0;
            let at_lines = slope(floor, Way { spacing_m, ..way }, &mut Off);
            // where the tables end, lines count as the floor that they lead to
            let kh_w_m2k = if characteristic.beyond.is_some() { Ok(characteristic.kh_w_m2k) } else { at_lines }?;
            (spacing_m, kh_w_m2k)
        }
        FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection | FloorSystem::TestedBoards { .. } => {
            (way.spacing_m, characteristic.kh_w_m2k)
        }
    };
    let each = floor.laying.passes.iter().map(|&(room, length_m)| {
        let room_c = common.survey.rooms[room].inside_c;
        let strip_m2 = floor_loops::strip(length_m, apart_m, loops, &mut Off);
        Line::along(room_c, strip_m2, kh_w_m2k, characteristic.upward_m2k_w, &site.below)
    });
    Ok(each.collect())
}
