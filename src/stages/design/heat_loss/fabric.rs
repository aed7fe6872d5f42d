//! Transmission through walls, floors, roofs and openings.

use super::{Element, Outside};
use crate::job::dwelling::Adjoining;
use crate::list::{Index, List};
use crate::methods::{Workings, en_12831, sums};
use crate::survey::{Bridging, Faces, Room, Survey, Use};

/// What every element of a room lets through.
pub(super) fn elements<W: Workings>(
    survey: &Survey,
    room_index: Index<Room>,
    outside: Outside<'_>,
    u_values_w_m2k: &List<Use, f64>,
    w: &mut W,
) -> Vec<Element> {
    let room = &survey.rooms[room_index];
    let allowance_w_m2k = allowance(survey, room);
    let elements = room.elements.iter().enumerate();
    elements
        .map(|(index, element)| {
            let figure = |name: &str| format!("/heat_loss/rooms/{room_index}/elements/{index}/{name}");
            let difference_k = difference(survey, room, element.faces, outside, &mut w.at(|| figure("difference_k")));
            let u_value_w_m2k = u_values_w_m2k[element.usage];
            let transmission_w = en_12831::transmission(
                element.area_m2,
                u_value_w_m2k,
                difference_k,
                &mut w.at(|| figure("transmission_w")),
            );
            let thermal_bridging_w = match (allowance_w_m2k, element.faces) {
                (Some(allowance_w_m2k), Faces::Outside | Faces::Unheated(_) | Faces::UnheatedSpace(_)) => {
                    let mut w = w.at(|| figure("thermal_bridging_w"));
                    en_12831::bridging_by_allowance(element.area_m2, allowance_w_m2k, difference_k, &mut w)
                }
                (Some(_), Faces::Ground | Faces::Room(_) | Faces::AdjoiningDwelling | Faces::Temperature(_))
                | (None, _) => 0.0,
            };
            Element { difference_k, transmission_w, thermal_bridging_w }
        })
        .collect()
}

/// Addition to the U-values of a room for thermal bridges, where they are counted so (W/(m²K)).
pub(super) fn allowance(survey: &Survey, room: &Room) -> Option<f64> {
    match room.bridging.as_ref().unwrap_or(&survey.bridging) {
        Bridging::Allowance(allowance_w_m2k) => Some(*allowance_w_m2k),
        Bridging::Junctions(_) | Bridging::Coefficient(_) => None,
    }
}

/// Temperature difference that stands across an element, correction factors included (K).
pub(in crate::design) fn difference(
    survey: &Survey,
    room: &Room,
    faces: Faces,
    outside: Outside<'_>,
    w: &mut impl Workings,
) -> f64 {
    let (inside_c, annual_mean_c) = (room.inside_c, survey.climate.annual_mean_c);
    let Outside { design_c: outside_c, spaces } = outside;
    match faces {
        Faces::Outside => en_12831::difference(inside_c, outside_c, w),
        Faces::UnheatedSpace(space) => en_12831::difference(inside_c, spaces[space].temperature_c, w),
        Faces::Ground => en_12831::ground_difference(inside_c, annual_mean_c, survey.ground_water, w),
        Faces::Room(other) => en_12831::difference(inside_c, survey.rooms[other].inside_c, w),
        Faces::Unheated(factor) => en_12831::unheated_difference(factor, inside_c, outside_c, w),
        Faces::Temperature(temperature_c) => en_12831::difference(inside_c, temperature_c, w),
        Faces::AdjoiningDwelling => match survey.adjoining {
            Adjoining::Fixed { temperature_c } => en_12831::difference(inside_c, temperature_c, w),
            Adjoining::Mean {} => {
                let adjoining_c = en_12831::adjoining_by_mean(inside_c, annual_mean_c, w);
                en_12831::difference(inside_c, adjoining_c, w)
            }
        },
    }
}

/// What a room gives to its neighbours (W); negative if it is given more.
pub(super) fn to_rooms<W: Workings>(room: &Room, elements: &[Element], w: &mut W) -> f64 {
    let pairs = room.elements.iter().zip(elements);
    let neighbours = pairs.filter(|(element, _)| matches!(element.faces, Faces::Room(_)));
    sums::sum(neighbours.map(|(_, loss)| loss.transmission_w), sums::and_w, w)
}
