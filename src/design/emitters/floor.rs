//! One heated floor, type A, by EN 1264-2 and 1264-3: the widest spacing that carries its share within the limits.

use super::{Common, Emitter, Kind};
use crate::methods::en_1264_2::{self, TypeA};
use crate::methods::floor_loops::{self, Loops};
use crate::methods::{MethodError, Off, Workings, en_1264_3, iso_13370};
use crate::survey::{Faces, HeatedFloor, Underside};

/// A heated floor that was designed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floor {
    /// Spacing (m).
    pub spacing_m: f64,
    /// Heated area (m²).
    pub area_m2: f64,
    /// Output upward (W/m²).
    pub output_w_m2: f64,
    /// Greatest output that the standard's limit curve allows (W/m²).
    pub limit_w_m2: f64,
    /// Mean surface temperature (°C).
    pub surface_c: f64,
    /// Heat downward (W).
    pub downward_w: f64,
    /// Its loops.
    pub loops: Loops,
}

/// A spacing that was tried.
#[derive(Debug, Clone, Copy)]
struct Trial {
    spacing_m: f64,
    /// What the floor gives at the nominal drop, and no more than its limits allow (W/m²).
    capacity_w_m2: f64,
    limit_w_m2: f64,
}

/// Designs a floor and runs it at its duty.
pub(super) fn design<W: Workings>(
    common: &Common<'_>,
    room: usize,
    load_w: f64,
    floor: &HeatedFloor,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let room_c = common.survey.rooms[room].inside_c;
    let wanted_w_m2 = load_w / floor.area_m2;
    let excess_k = common.nominal_excess_k(room, &mut w.within("capacity_w"));
    let mut best: Option<Trial> = None;
    for &spacing_m in &floor.spacings_m {
        let trial = attempt(floor, spacing_m, excess_k.unwrap_or(0.0), room_c)?;
        if best.is_none_or(|best| trial.capacity_w_m2 > best.capacity_w_m2) {
            best = Some(trial);
        }
        if trial.capacity_w_m2 >= wanted_w_m2 {
            best = Some(trial);
            break;
        }
    }
    let chosen = best.ok_or(MethodError::Impossible { reason: "a heated floor needs a spacing" })?;
    run(common, room, load_w, floor, chosen, w)
}

fn type_a(floor: &HeatedFloor, spacing_m: f64) -> TypeA {
    TypeA {
        spacing_m,
        cover_m: floor.cover_m,
        cover_w_mk: floor.screed_w_mk,
        covering_m2k_w: floor.covering_m2k_w,
        pipe_outside_m: floor.tube.outside_m,
        pipe_wall_m: floor.tube.wall_m,
        pipe_w_mk: floor.tube.conductivity_w_mk,
        sheath: None,
    }
}

fn attempt(floor: &HeatedFloor, spacing_m: f64, excess_k: f64, room_c: f64) -> Result<Trial, MethodError> {
    let type_a = type_a(floor, spacing_m);
    let kh_w_m2k = en_1264_2::characteristic(&type_a, &mut Off)?.kh_w_m2k;
    if floor.surface_limit_c <= room_c {
        return Err(MethodError::Impossible { reason: "a floor that may be no warmer than its room gives nothing" });
    }
    let curve_w_m2 = en_1264_2::limit(&type_a, kh_w_m2k, floor.surface_limit_c, room_c, &mut Off)?.limit_w_m2;
    let surface_w_m2 = en_1264_2::output_at_surface_excess(floor.surface_limit_c - room_c, &mut Off);
    let limit_w_m2 = curve_w_m2.min(surface_w_m2);
    Ok(Trial { spacing_m, capacity_w_m2: (kh_w_m2k * excess_k).min(limit_w_m2), limit_w_m2 })
}

fn run<W: Workings>(
    common: &Common<'_>,
    room: usize,
    load_w: f64,
    floor: &HeatedFloor,
    chosen: Trial,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let room_c = common.survey.rooms[room].inside_c;
    let area_m2 = floor.area_m2;
    // the chosen floor once more, for its workings
    let type_a = type_a(floor, chosen.spacing_m);
    let kh_w_m2k = en_1264_2::characteristic(&type_a, &mut w.within("capacity_w"))?.kh_w_m2k;
    en_1264_2::limit(&type_a, kh_w_m2k, floor.surface_limit_c, room_c, &mut w.within("limit_w_m2"))?;
    let output_w_m2 = (load_w / area_m2).min(chosen.capacity_w_m2);
    let mut to_downward = w.within("downward_w");
    let upward_m2k_w =
        en_1264_3::upward_resistance(floor.covering_m2k_w, floor.cover_m, floor.screed_w_mk, &mut to_downward);
    let downward_w_m2 =
        if output_w_m2 > 0.0 { downward(common, room, output_w_m2, upward_m2k_w, &mut to_downward)? } else { 0.0 };
    drop(to_downward);
    let loops = floor_loops::divide(
        area_m2,
        chosen.spacing_m,
        floor.tail_m,
        floor.loop_max_m,
        &mut w.within("loops/0/length_m"),
    )?;
    let (surface_c, return_c, flow_kg_s) = if output_w_m2 > 0.0 {
        let surface_c = room_c + en_1264_2::surface_excess(output_w_m2, &mut w.within("floor_surface_c"));
        let mut to_return = w.within("return_temperature_c");
        let excess_k = en_1264_2::excess_for(output_w_m2, kh_w_m2k, &mut to_return);
        let return_c = en_1264_3::return_temperature(common.flow_c(), room_c, excess_k, &mut to_return)?.return_c;
        let (heat, drop_k) = (common.water.specific_heat_j_kgk, common.flow_c() - return_c);
        drop(to_return);
        let to_flow = &mut w.within("flow_l_h");
        (surface_c, return_c, en_1264_3::circuit_mass_flow(area_m2, output_w_m2, downward_w_m2, heat, drop_k, to_flow))
    } else {
        // nothing to carry: the water stands and cools to the room
        (room_c, room_c, 0.0)
    };
    let found = Floor {
        spacing_m: chosen.spacing_m,
        area_m2,
        output_w_m2,
        limit_w_m2: chosen.limit_w_m2,
        surface_c,
        downward_w: downward_w_m2 * area_m2,
        loops,
    };
    let (output_w, capacity_w) = (output_w_m2 * area_m2, chosen.capacity_w_m2 * area_m2);
    // a load that the floor carries to the last bit is carried
    let output_w = if output_w_m2 >= load_w / area_m2 { load_w } else { output_w };
    Ok(Emitter { load_w, output_w, capacity_w, return_c, flow_kg_s, kind: Kind::Floor(found) })
}

/// Heat that the floor gives downward, as a mean over what lies under it (W/m²).
fn downward<W: Workings>(
    common: &Common<'_>,
    room: usize,
    output_w_m2: f64,
    upward_m2k_w: f64,
    w: &mut W,
) -> Result<f64, MethodError> {
    let survey = common.survey;
    let room_c = survey.rooms[room].inside_c;
    let mut sum_w_m2 = 0.0;
    for &Underside { share, usage, faces, .. } in &survey.rooms[room].undersides {
        let u_value_w_m2k = common.loss.u_values_w_m2k[usage];
        if u_value_w_m2k <= 0.0 {
            continue; // a slab without exposed edge loses nothing in the steady state
        }
        let below_c = below(common, room, faces, w);
        let inside_m2k_w = iso_13370::INSIDE_SURFACE_M2K_W;
        let downward_m2k_w = en_1264_3::downward_resistance_below(u_value_w_m2k, inside_m2k_w, w)?;
        sum_w_m2 +=
            share * en_1264_3::downward_flux(output_w_m2, upward_m2k_w, downward_m2k_w, room_c, below_c, w).max(0.0);
    }
    Ok(sum_w_m2)
}

/// Temperature on the far side of a floor (°C): the annual mean under a slab on the ground.
fn below(common: &Common<'_>, room: usize, faces: Faces, w: &mut impl Workings) -> f64 {
    if faces == Faces::Ground {
        return common.survey.climate.annual_mean_c;
    }
    let difference_k = crate::design::heat_loss::difference(
        common.survey,
        &common.survey.rooms[room],
        faces,
        common.loss.outside(),
        w,
    );
    common.survey.rooms[room].inside_c - difference_k
}
