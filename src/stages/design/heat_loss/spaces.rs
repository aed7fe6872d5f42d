//! Temperatures of unheated spaces by their own balance.

use super::fabric::allowance;
use crate::design::DesignError;
use crate::list::{List, indexed};
use crate::methods::iso_13789::{self, Exchange};
use crate::methods::{Off, Workings, en_12831, sums};
use crate::survey::{Faces, SpaceSide, Survey, UnheatedSpace, Use};

/// One unheated space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Space {
    /// Its temperature (°C).
    pub temperature_c: f64,
    /// What it exchanges heat with.
    pub exchange: Exchange,
}

/// Temperature of every unheated space.
pub(super) fn spaces<W: Workings>(
    survey: &Survey,
    outside_c: f64,
    u_values_w_m2k: &List<Use, f64>,
    w: &mut W,
) -> Result<List<UnheatedSpace, Space>, DesignError> {
    let mut exchanges = survey.spaces.filled(Exchange::default());
    for room in &survey.rooms {
        let mut give = |faces: Faces, area_m2: f64, u_value_w_m2k: f64| {
            if let Faces::UnheatedSpace(space) = faces {
                let mut w = w.at(|| format!("/heat_loss/unheated_spaces/{space}/to_rooms_w_k"));
                let conductance_w_k = iso_13789::conductance(area_m2, u_value_w_m2k, &mut w);
                sums::and_w_k(exchanges[space].rooms_w_k, conductance_w_k, &mut w);
                exchanges[space].add_room(conductance_w_k, room.inside_c);
            }
        };
        let bridging_w_m2k = allowance(survey, room).unwrap_or(0.0);
        for element in &room.elements {
            give(element.faces, element.area_m2, u_values_w_m2k[element.usage] + bridging_w_m2k);
        }
        // what lies under a heated floor takes at least what it would from the room
        for underside in &room.undersides {
            let heated_m2 = room.heated_floor_m2 * underside.share;
            give(underside.faces, heated_m2, u_values_w_m2k[underside.usage]);
        }
    }
    let spaces = indexed(survey.spaces.iter().zip(exchanges));
    spaces
        .map(|(index, (space, exchange))| {
            let mut w = w.at(|| format!("/heat_loss/unheated_spaces/{index}"));
            let exchange = outer(survey, space, exchange, u_values_w_m2k, outside_c, &mut w);
            let id = &survey.names.spaces[index];
            let temperature_c = iso_13789::unheated_temperature(exchange, outside_c, &mut w.within("temperature_c"))
                .map_err(DesignError::at(format!("/unheated_spaces/{id}")))?;
            Ok(Space { temperature_c, exchange })
        })
        .collect()
}

/// What a space exchanges heat with beside its rooms. The ground takes what it takes from a room of that temperature; where
/// the space would be colder than it without it, the ground gives, and no correction for losses raises that.
fn outer<W: Workings>(
    survey: &Survey,
    space: &UnheatedSpace,
    mut exchange: Exchange,
    u_values_w_m2k: &List<Use, f64>,
    outside_c: f64,
    w: &mut W,
) -> Exchange {
    let mut to_ground_w_k = 0.0;
    for element in &space.elements {
        let conductance =
            |w: &mut W::Scope<'_>| iso_13789::conductance(element.area_m2, u_values_w_m2k[element.usage], w);
        match element.faces {
            SpaceSide::Outside => {
                let mut w = w.within("to_outside_w_k");
                let conductance_w_k = conductance(&mut w);
                exchange.outside_w_k = sums::and_w_k(exchange.outside_w_k, conductance_w_k, &mut w);
            }
            SpaceSide::Ground => to_ground_w_k += conductance(&mut w.within("to_others_w_k")),
            SpaceSide::Temperature(temperature_c) => {
                let mut w = w.within("to_others_w_k");
                let conductance_w_k = conductance(&mut w);
                sums::and_w_k(exchange.others_w_k, conductance_w_k, &mut w);
                exchange.add_other(conductance_w_k, temperature_c);
            }
        }
    }
    let mut to_outside = w.within("to_outside_w_k");
    let (air_changes_per_h, volume_m3) = (space.air_changes_per_h, space.volume_m3);
    let by_air_w_k = iso_13789::by_air(survey.air_heat_wh_m3k, air_changes_per_h, volume_m3, &mut to_outside);
    exchange.outside_w_k = sums::and_w_k(exchange.outside_w_k, by_air_w_k, &mut to_outside);
    drop(to_outside);
    if to_ground_w_k > 0.0 {
        let annual_mean_c = survey.climate.annual_mean_c;
        // the ground draws towards its own temperature and never past it, so that the rest alone says which way
        let loses = iso_13789::unheated_temperature(exchange, outside_c, &mut Off)
            .map_or(true, |without_ground_c| without_ground_c >= annual_mean_c);
        let mut w = w.within("to_others_w_k");
        let ground_w_k = en_12831::ground_conductance(to_ground_w_k, loses, survey.ground_water, &mut w);
        sums::and_w_k(exchange.others_w_k, ground_w_k, &mut w);
        exchange.add_other(ground_w_k, annual_mean_c);
    }
    exchange
}
