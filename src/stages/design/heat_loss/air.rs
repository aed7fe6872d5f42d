//! Ventilation and infiltration.

use super::VentilationIs;
use crate::list::Index;
use crate::methods::{Off, Workings, carried_heat, en_12831, part_load, sums};
use crate::survey::{Air, Exposure, Infiltration, Room, RoomAirKind, Survey};

/// What the air of every room has in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Common {
    /// Outside temperature (°C).
    outside_c: f64,
    /// Air changes at 50 Pa, where air flows by leakage (1/h).
    n50_per_h: f64,
    /// Mechanical ventilation.
    supply: Option<Supply>,
}

/// Air that is blown in, and air that passes from room to room where the job does not say which way it goes.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Supply {
    /// Temperature of the air that is blown in (°C).
    blown_in_c: f64,
    /// Temperature of the air that flows over from rooms with more supply than extract (°C).
    overflow_c: f64,
    /// Share of a room's want of air that flows over from other rooms; the rest comes from outside (0–1).
    overflow_share: f64,
}

/// A room's air.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct RoomFlow {
    /// Air that has to be warmed, wherever it comes from (m³/h).
    pub flow_m3_h: f64,
    /// Heat that it takes (W).
    pub loss_w: f64,
    /// Heat of infiltration by leakage, which does not strike all rooms at one time (W).
    pub infiltration_w: f64,
    /// Heat of the least air that hygiene asks for, where that goes beside leakage (W).
    pub least_w: f64,
    /// Heat of what flows for other causes (W).
    pub other_w: f64,
}

/// What rooms have in common: leakage of the dwelling, supply temperature behind heat recovery, overflow.
pub(super) fn common<W: Workings>(survey: &Survey, outside_c: f64, w: &mut W) -> Common {
    let mut w = w.at(|| "/heat_loss/dwelling/ventilation_w".to_owned());
    let n50_per_h = survey.air.leakage().map_or(0.0, |leakage| {
        let volume_m3: f64 = survey.rooms.iter().map(|room| room.floor_area_m2 * room.height_m).sum();
        en_12831::air_changes_at_50_pa(leakage.q50_m3_h_m2, leakage.envelope_m2, volume_m3, &mut w)
    });
    Common { outside_c, n50_per_h, supply: supply(survey, outside_c, &mut w) }
}

fn supply(survey: &Survey, outside_c: f64, w: &mut impl Workings) -> Option<Supply> {
    let Air::Mechanical { heat_recovery_efficiency, .. } = survey.air else { return None };
    let extract_c = mean_temperature(survey, |_, extract_m3_h| extract_m3_h);
    let blown_in = mean_temperature(survey, |supply_m3_h, _| supply_m3_h);
    let supply_c = match (extract_c, blown_in) {
        (Some((extract_c, extract_m3_h)), Some((_, supply_m3_h))) => {
            let flows_m3_h = [supply_m3_h, extract_m3_h];
            en_12831::supply_temperature(heat_recovery_efficiency, flows_m3_h, extract_c, outside_c, w)
        }
        (None, _) | (_, None) => outside_c,
    };
    let transferred =
        |room: &Room| matches!(&room.air.kind, RoomAirKind::Mechanical { transfers, .. } if !transfers.is_empty());
    let over = mean_temperature(survey, |supply_m3_h, extract_m3_h| (supply_m3_h - extract_m3_h).max(0.0));
    let wanted = mean_temperature(survey, |supply_m3_h, extract_m3_h| (extract_m3_h - supply_m3_h).max(0.0));
    let (overflow_c, overflow_share) = match (over, wanted) {
        // where the job says which way air goes, nothing is shared out beside it
        _ if survey.rooms.iter().any(transferred) => (outside_c, 0.0),
        (Some((over_c, over_m3_h)), Some((_, wanted_m3_h))) => {
            (over_c, en_12831::overflow_share(over_m3_h, wanted_m3_h, &mut Off))
        }
        (Some(_) | None, None) | (None, Some(_)) => (outside_c, 0.0),
    };
    Some(Supply { blown_in_c: supply_c, overflow_c, overflow_share })
}

/// Mean inside temperature weighted by a flow, and the sum of the flow; nothing where nothing flows.
fn mean_temperature(survey: &Survey, flow: impl Fn(f64, f64) -> f64) -> Option<(f64, f64)> {
    let flows = survey.rooms.iter().filter_map(|room| {
        let RoomAirKind::Mechanical { supply_m3_h, extract_m3_h, .. } = room.air.kind else { return None };
        Some((flow(supply_m3_h, extract_m3_h), room.inside_c))
    });
    carried_heat::mixed(flows, &mut Off).map(|mixed| (mixed.mean_c, mixed.whole))
}

/// Air of one room and what it costs.
pub(super) fn of_room<W: Workings>(survey: &Survey, index: Index<Room>, common: Common, w: &mut W) -> RoomFlow {
    let room = &survey.rooms[index];
    let mut w = w.at(|| format!("/heat_loss/rooms/{index}"));
    let mut flow = match &room.air.kind {
        RoomAirKind::AirChanges(air_changes_per_h) => {
            let flow_m3_h = by_changes(room, *air_changes_per_h, &mut w.within("air_flow_m3_h"));
            let loss_w = lost(survey, room, flow_m3_h, common.outside_c, &mut w.within("ventilation_w"));
            RoomFlow { flow_m3_h, loss_w, other_w: loss_w, ..RoomFlow::default() }
        }
        RoomAirKind::Natural { exposure, least_per_h } => {
            let mut to_flow = w.within("air_flow_m3_h");
            let volume_m3 = en_12831::volume(room.floor_area_m2, room.height_m, &mut to_flow);
            let Exposure { e, epsilon } = *exposure;
            let leaked_m3_h = en_12831::infiltration(volume_m3, common.n50_per_h, e, epsilon, &mut to_flow);
            let least_m3_h = en_12831::air_flow(*least_per_h, volume_m3, &mut to_flow);
            let flow_m3_h = en_12831::natural_air_flow(leaked_m3_h, least_m3_h, &mut to_flow);
            drop(to_flow);
            let by_flow = |flow_m3_h: f64| lost(survey, room, flow_m3_h, common.outside_c, &mut Off);
            RoomFlow {
                flow_m3_h,
                loss_w: lost(survey, room, flow_m3_h, common.outside_c, &mut w.within("ventilation_w")),
                infiltration_w: by_flow(leaked_m3_h),
                least_w: by_flow(least_m3_h),
                other_w: 0.0,
            }
        }
        RoomAirKind::Mechanical { supply_m3_h, extract_m3_h, infiltration, transfers } => {
            let fans = (*supply_m3_h, *extract_m3_h, transfers.as_slice());
            mechanical(survey, room, common, fans, *infiltration, &mut w)
        }
    };
    if room.air.flues_m3_h > 0.0 {
        let mut to_loss = w.within("ventilation_w");
        let loss_w = lost(survey, room, room.air.flues_m3_h, common.outside_c, &mut to_loss);
        flow.loss_w = sums::and_w(flow.loss_w, loss_w, &mut to_loss);
        drop(to_loss);
        flow.flow_m3_h = sums::and_m3_h(flow.flow_m3_h, room.air.flues_m3_h, &mut w.within("air_flow_m3_h"));
        flow.other_w += loss_w;
    }
    flow
}

fn mechanical<W: Workings>(
    survey: &Survey,
    room: &Room,
    common: Common,
    (supply_m3_h, extract_m3_h, transfers): (f64, f64, &[(Index<Room>, f64)]),
    infiltration: Infiltration,
    w: &mut W,
) -> RoomFlow {
    let Some(supply) = common.supply else { return RoomFlow::default() };
    let leaks = survey.air.leakage().is_some();
    let infiltration_m3_h = match infiltration {
        Infiltration::Flow(flow_m3_h) => flow_m3_h,
        Infiltration::AirChanges(air_changes_per_h) => {
            by_changes(room, air_changes_per_h, &mut w.within("air_flow_m3_h"))
        }
        Infiltration::Leakage(Exposure { e, epsilon }) => {
            let mut w = w.within("air_flow_m3_h");
            let volume_m3 = en_12831::volume(room.floor_area_m2, room.height_m, &mut w);
            en_12831::infiltration(volume_m3, common.n50_per_h, e, epsilon, &mut w)
        }
    };
    let mut flow = RoomFlow::default();
    let mut add = |flow_m3_h: f64, air_c: f64, by_leakage: bool| {
        if flow_m3_h > 0.0 {
            let mut to_loss = w.within("ventilation_w");
            let loss_w = lost(survey, room, flow_m3_h, air_c, &mut to_loss);
            flow.loss_w = sums::and_w(flow.loss_w, loss_w, &mut to_loss);
            drop(to_loss);
            flow.flow_m3_h = sums::and_m3_h(flow.flow_m3_h, flow_m3_h, &mut w.within("air_flow_m3_h"));
            if by_leakage {
                flow.infiltration_w += loss_w;
            } else {
                flow.other_w += loss_w;
            }
        }
    };
    add(infiltration_m3_h, common.outside_c, leaks);
    add(supply_m3_h, supply.blown_in_c, false);
    let mut wanted_m3_h = (extract_m3_h - supply_m3_h).max(0.0);
    for &(from, flow_m3_h) in transfers {
        add(flow_m3_h, survey.rooms[from].inside_c, false);
        wanted_m3_h = (wanted_m3_h - flow_m3_h).max(0.0);
    }
    let overflow_m3_h = part_load::part_of(supply.overflow_share, wanted_m3_h, &mut Off);
    add(overflow_m3_h, supply.overflow_c, false);
    add(wanted_m3_h - overflow_m3_h, common.outside_c, false);
    flow
}

fn lost(survey: &Survey, room: &Room, flow_m3_h: f64, air_c: f64, w: &mut impl Workings) -> f64 {
    en_12831::ventilation(survey.air_heat_wh_m3k, flow_m3_h, room.inside_c, air_c, w)
}

fn by_changes(room: &Room, air_changes_per_h: f64, w: &mut impl Workings) -> f64 {
    let volume_m3 = en_12831::volume(room.floor_area_m2, room.height_m, w);
    en_12831::air_flow(air_changes_per_h, volume_m3, w)
}

/// Ventilation of the dwelling: by the sum of its rooms, or by what leaks in at one time.
pub(super) fn of_dwelling<W: Workings>(survey: &Survey, rooms: RoomFlow, w: &mut W) -> (f64, VentilationIs) {
    let mut w = w.at(|| "/heat_loss/dwelling/ventilation_w".to_owned());
    let RoomFlow { loss_w, infiltration_w, least_w, other_w, .. } = rooms;
    if survey.air.leakage().is_none() {
        return (en_12831::ventilation_of_rooms(loss_w, &mut w), VentilationIs::SumOfRooms);
    }
    let half_leaks = 0.5 * infiltration_w >= least_w;
    let what = if half_leaks { VentilationIs::SimultaneousInfiltration } else { VentilationIs::LeastAir };
    (en_12831::simultaneous_ventilation(infiltration_w, least_w, other_w, &mut w), what)
}
