//! Ventilation and infiltration.

use crate::methods::{Workings, en_12831};
use crate::survey::{Air, Infiltration, Room, RoomAir, Survey};

/// Air that passes from room to room, and its temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Supply {
    /// Temperature of the air that is blown in (°C).
    blown_in_c: f64,
    /// Temperature of the air that flows over from rooms with more supply than extract (°C).
    overflow_c: f64,
    /// Share of a room's want of air that flows over from other rooms; the rest comes from outside (0–1).
    overflow_share: f64,
}

/// A room's air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RoomFlow {
    /// Air that has to be warmed, wherever it comes from (m³/h).
    pub flow_m3_h: f64,
    /// Heat that it takes (W).
    pub loss_w: f64,
}

/// Supply temperature behind heat recovery, from the mean of what is extracted; and what rooms with more extract
/// than supply draw from the others.
pub(super) fn supply<W: Workings>(survey: &Survey, outside_c: f64, w: &mut W) -> Option<Supply> {
    let Air::Mechanical { heat_recovery_efficiency } = survey.air else { return None };
    let extract_c = mean_temperature(survey, |_, extract_m3_h| extract_m3_h);
    let mut w = w.at(|| "/heat_loss/dwelling/ventilation_w".to_owned());
    let supply_c = extract_c.map_or(outside_c, |(extract_c, _)| {
        en_12831::supply_temperature(heat_recovery_efficiency, extract_c, outside_c, &mut w)
    });
    let over = mean_temperature(survey, |supply_m3_h, extract_m3_h| (supply_m3_h - extract_m3_h).max(0.0));
    let wanted = mean_temperature(survey, |supply_m3_h, extract_m3_h| (extract_m3_h - supply_m3_h).max(0.0));
    let (overflow_c, overflow_share) = match (over, wanted) {
        (Some((over_c, over_m3_h)), Some((_, wanted_m3_h))) => (over_c, (over_m3_h / wanted_m3_h).min(1.0)),
        (Some(_) | None, None) | (None, Some(_)) => (outside_c, 0.0),
    };
    Some(Supply { blown_in_c: supply_c, overflow_c, overflow_share })
}

/// Mean inside temperature weighted by a flow, and the sum of the flow; nothing where nothing flows.
fn mean_temperature(survey: &Survey, flow: impl Fn(f64, f64) -> f64) -> Option<(f64, f64)> {
    let (mut sum_m3_h, mut weighted) = (0.0, 0.0);
    for room in &survey.rooms {
        if let RoomAir::Mechanical { supply_m3_h, extract_m3_h, .. } = room.air {
            let flow_m3_h = flow(supply_m3_h, extract_m3_h);
            sum_m3_h += flow_m3_h;
            weighted += flow_m3_h * room.inside_c;
        }
    }
    (sum_m3_h > 0.0).then(|| (weighted / sum_m3_h, sum_m3_h))
}

/// Air of one room and what it costs.
pub(super) fn of_room<W: Workings>(
    survey: &Survey,
    index: usize,
    outside_c: f64,
    supply: Option<Supply>,
    w: &mut W,
) -> RoomFlow {
    let room = &survey.rooms[index];
    let mut w = w.at(|| format!("/heat_loss/rooms/{index}/ventilation_w"));
    let heat = survey.air_heat_wh_m3k;
    match (room.air, supply) {
        (RoomAir::AirChanges(air_changes_per_h), _) => {
            let flow_m3_h = by_changes(room, air_changes_per_h, &mut w);
            RoomFlow { flow_m3_h, loss_w: en_12831::ventilation(heat, flow_m3_h, room.inside_c, outside_c, &mut w) }
        }
        (RoomAir::Mechanical { supply_m3_h, extract_m3_h, infiltration }, Some(supply)) => {
            let infiltration_m3_h = match infiltration {
                Infiltration::Flow(flow_m3_h) => flow_m3_h,
                Infiltration::AirChanges(air_changes_per_h) => by_changes(room, air_changes_per_h, &mut w),
            };
            let wanted_m3_h = (extract_m3_h - supply_m3_h).max(0.0);
            let overflow_m3_h = wanted_m3_h * supply.overflow_share;
            let outside_m3_h = infiltration_m3_h + wanted_m3_h - overflow_m3_h;
            let parts =
                [(outside_m3_h, outside_c), (supply_m3_h, supply.blown_in_c), (overflow_m3_h, supply.overflow_c)];
            let mut flow = RoomFlow { flow_m3_h: 0.0, loss_w: 0.0 };
            for (flow_m3_h, air_c) in parts.into_iter().filter(|(flow_m3_h, _)| *flow_m3_h > 0.0) {
                flow.flow_m3_h += flow_m3_h;
                flow.loss_w += en_12831::ventilation(heat, flow_m3_h, room.inside_c, air_c, &mut w);
            }
            flow
        }
        // mechanical flows stand only in a dwelling that is ventilated mechanically
        (RoomAir::Mechanical { .. }, None) => RoomFlow { flow_m3_h: 0.0, loss_w: 0.0 },
    }
}

fn by_changes(room: &Room, air_changes_per_h: f64, w: &mut impl Workings) -> f64 {
    let volume_m3 = en_12831::volume(room.floor_area_m2, room.height_m, w);
    en_12831::air_flow(air_changes_per_h, volume_m3, w)
}
