//! Temperatures of unheated spaces by their own balance.

use super::fabric::allowance;
use crate::design::DesignError;
use crate::list::{List, indexed};
use crate::methods::iso_13789::{self, Exchange};
use crate::methods::{Workings, en_12831};
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
        let mut give = |faces: Faces, conductance_w_k: f64| {
            if let Faces::UnheatedSpace(space) = faces {
                exchanges[space].rooms_w_k += conductance_w_k;
                exchanges[space].rooms_w += conductance_w_k * room.inside_c;
            }
        };
        let bridging_w_m2k = allowance(survey, room).unwrap_or(0.0);
        for element in &room.elements {
            give(element.faces, element.area_m2 * (u_values_w_m2k[element.usage] + bridging_w_m2k));
        }
        // what lies under a heated floor takes at least what it would from the room
        for underside in &room.undersides {
            let heated_m2 = room.heated_floor_m2 * underside.share;
            give(underside.faces, heated_m2 * u_values_w_m2k[underside.usage]);
        }
    }
    let spaces = indexed(survey.spaces.iter().zip(exchanges));
    spaces
        .map(|(index, (space, exchange))| {
            let mut w = w.at(|| format!("/heat_loss/unheated_spaces/{index}/temperature_c"));
            let exchange = outer(survey, space, exchange, u_values_w_m2k, &mut w);
            let id = &survey.names.spaces[index];
            let temperature_c = iso_13789::unheated_temperature(exchange, outside_c, &mut w)
                .map_err(DesignError::at(format!("/unheated_spaces/{id}")))?;
            Ok(Space { temperature_c, exchange })
        })
        .collect()
}

/// What a space exchanges heat with beside its rooms. The ground takes what it takes from a room of that temperature.
fn outer(
    survey: &Survey,
    space: &UnheatedSpace,
    mut exchange: Exchange,
    u_values_w_m2k: &List<Use, f64>,
    w: &mut impl Workings,
) -> Exchange {
    let ground = en_12831::GROUND_SWING * survey.ground_water;
    for element in &space.elements {
        let conductance_w_k = element.area_m2 * u_values_w_m2k[element.usage];
        match element.faces {
            SpaceSide::Outside => exchange.outside_w_k += conductance_w_k,
            SpaceSide::Ground => {
                exchange.others_w_k += ground * conductance_w_k;
                exchange.others_w += ground * conductance_w_k * survey.climate.annual_mean_c;
            }
            SpaceSide::Temperature(temperature_c) => {
                exchange.others_w_k += conductance_w_k;
                exchange.others_w += conductance_w_k * temperature_c;
            }
        }
    }
    exchange.outside_w_k += iso_13789::by_air(survey.air_heat_wh_m3k, space.air_changes_per_h, space.volume_m3, w);
    exchange
}
