//! Transmission through walls, floors, roofs and openings.

use super::Element;
use crate::design::DesignError;
use crate::job::dwelling::Adjoining;
use crate::methods::iso_13370::Slab;
use crate::methods::{MethodError, Workings, en_12831, iso_6946, iso_13370};
use crate::survey::{Bridging, Construction, Faces, Layer, Room, Survey};

/// U-value of every construction (W/(m²K)).
pub(super) fn u_values<W: Workings>(survey: &Survey, w: &mut W) -> Result<Vec<f64>, DesignError> {
    let constructions = survey.constructions.iter().enumerate();
    constructions
        .map(|(index, construction)| {
            let mut w = w.at(|| format!("/heat_loss/constructions/{index}/u_value_w_m2k"));
            u_value(construction, &mut w).map_err(|error| {
                DesignError::at(format!("/constructions/{}", survey.names.constructions[index]))(error)
            })
        })
        .collect()
}

fn u_value(construction: &Construction, w: &mut impl Workings) -> Result<f64, MethodError> {
    match construction {
        Construction::Known(u_value_w_m2k) => Ok(*u_value_w_m2k),
        Construction::GroundFloor { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, layers } => {
            let mut floor_m2k_w = 0.0;
            for layer in layers {
                floor_m2k_w += match *layer {
                    Layer::Resistance(resistance_m2k_w) => resistance_m2k_w,
                    Layer::Conductivity { thickness_m, conductivity_w_mk } => {
                        iso_6946::layer_resistance(thickness_m, conductivity_w_mk, w)?
                    }
                };
            }
            let (area_m2, perimeter_m, wall_thickness_m) = (*area_m2, *perimeter_m, *wall_thickness_m);
            iso_13370::slab_on_ground(
                Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk: *ground_w_mk, floor_m2k_w },
                w,
            )
        }
    }
}

/// What every element of a room lets through.
pub(super) fn elements<W: Workings>(
    survey: &Survey,
    room_index: usize,
    outside_c: f64,
    u_values_w_m2k: &[f64],
    w: &mut W,
) -> Vec<Element> {
    let room = &survey.rooms[room_index];
    let allowance_w_m2k = match room.bridging.as_ref().unwrap_or(&survey.bridging) {
        Bridging::Allowance(allowance_w_m2k) => Some(*allowance_w_m2k),
        Bridging::Junctions(_) | Bridging::Coefficient(_) => None,
    };
    let elements = room.elements.iter().enumerate();
    elements
        .map(|(index, element)| {
            let figure = |name: &str| format!("/heat_loss/rooms/{room_index}/elements/{index}/{name}");
            let difference_k = difference(survey, room, element.faces, outside_c, &mut w.at(|| figure("difference_k")));
            let u_value_w_m2k = u_values_w_m2k[element.construction];
            let transmission_w = en_12831::transmission(
                element.area_m2,
                u_value_w_m2k,
                difference_k,
                &mut w.at(|| figure("transmission_w")),
            );
            let thermal_bridging_w = match (allowance_w_m2k, element.faces) {
                (Some(allowance_w_m2k), Faces::Outside | Faces::Unheated(_)) => {
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

/// Temperature difference that stands across an element, correction factors included (K).
pub(in crate::design) fn difference(
    survey: &Survey,
    room: &Room,
    faces: Faces,
    outside_c: f64,
    w: &mut impl Workings,
) -> f64 {
    let (inside_c, annual_mean_c) = (room.inside_c, survey.climate.annual_mean_c);
    match faces {
        Faces::Outside => en_12831::difference(inside_c, outside_c, w),
        Faces::Ground => en_12831::ground_difference(inside_c, annual_mean_c, en_12831::GROUND_WATER_DEEP, w),
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
pub(super) fn to_rooms(room: &Room, elements: &[Element]) -> f64 {
    let pairs = room.elements.iter().zip(elements);
    pairs.filter(|(element, _)| matches!(element.faces, Faces::Room(_))).map(|(_, loss)| loss.transmission_w).sum()
}
