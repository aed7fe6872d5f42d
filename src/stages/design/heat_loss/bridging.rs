//! Thermal bridges by coefficient: junctions, or a whole figure for a dwelling or a room.

use crate::list::{Index, List};
use crate::methods::{Workings, en_12831, sums};
use crate::survey::{Bridging, Room, Survey};

/// For every room, its heat loss coefficient of thermal bridges (W/K): its own, or its share of the dwelling's by
/// exposed area. A room with a figure of its own takes no share, and the shares of the others stay as they are.
pub(super) fn shared_out<W: Workings>(survey: &Survey, w: &mut W) -> List<Room, f64> {
    let dwelling_w_k = coefficient(&survey.bridging, &mut w.at(|| "/heat_loss/dwelling/transmission_w".to_owned()));
    // nothing is shared out where bridges are counted element by element
    let dwelling =
        dwelling_w_k.map(|dwelling_w_k| (dwelling_w_k, survey.rooms.iter().map(|room| room.exposed_m2).sum::<f64>()));
    let rooms = survey.rooms.enumerate();
    rooms
        .map(|(index, room)| {
            let mut w = w.at(|| format!("/heat_loss/rooms/{index}/thermal_bridging_w"));
            match (&room.bridging, dwelling) {
                (Some(own), _) => coefficient(own, &mut w).unwrap_or(0.0),
                (None, Some((dwelling_w_k, exposed_dwelling_m2))) if exposed_dwelling_m2 > 0.0 => {
                    en_12831::share_of_bridges(dwelling_w_k, room.exposed_m2, exposed_dwelling_m2, &mut w)
                }
                (None, _) => 0.0,
            }
        })
        .collect()
}

/// The coefficient of thermal bridges that are not counted element by element (W/K).
fn coefficient(bridging: &Bridging, w: &mut impl Workings) -> Option<f64> {
    match bridging {
        Bridging::Allowance(_) => None,
        Bridging::Coefficient(coefficient_w_k) => Some(*coefficient_w_k),
        Bridging::Junctions(junctions) => {
            let mut together_w_k = 0.0;
            for &(length_m, psi_w_mk) in junctions {
                let junction_w_k = en_12831::junction(length_m, psi_w_mk, w);
                together_w_k = sums::and_w_k(together_w_k, junction_w_k, w);
            }
            Some(together_w_k)
        }
    }
}

/// Loss of a room's thermal bridges by coefficient (W).
pub(super) fn by_coefficient<W: Workings>(
    room: &Room,
    index: Index<Room>,
    outside_c: f64,
    coefficient_w_k: f64,
    w: &mut W,
) -> f64 {
    if coefficient_w_k == 0.0 {
        return 0.0;
    }
    let mut w = w.at(|| format!("/heat_loss/rooms/{index}/thermal_bridging_w"));
    en_12831::bridging_by_coefficient(coefficient_w_k, room.inside_c, outside_c, &mut w)
}
