//! Design heat loss of every room and of the dwelling, steady state, EN 12831.

mod air;
mod answer;
mod bridging;
mod fabric;

pub use answer::{DwellingLoss, ElementLoss, HeatLossAnswer, RoomLoss, UValue};

pub(super) use fabric::difference;

use super::DesignError;
use crate::methods::Workings;
use crate::sources::{EN_12831, ISO_6946, ISO_13370, Source, TRADE_PRACTICE};
use crate::survey::{Bridging, Construction, Layer, OutsideDesign, Survey};

/// Result of the stage; rooms, elements and constructions in the order of the survey.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatLoss {
    /// Outside design temperature (°C).
    pub outside_design_c: f64,
    /// U-value of each construction (W/(m²K)).
    pub u_values_w_m2k: Vec<f64>,
    /// Loss of each room.
    pub rooms: Vec<Room>,
    /// The dwelling as a whole.
    pub dwelling: Dwelling,
}

/// Loss of one room.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// What each element lets through, thermal bridges apart.
    pub elements: Vec<Element>,
    /// Thermal bridges of the room (W).
    pub thermal_bridging_w: f64,
    /// Transmission to neighbouring rooms (W), part of `transmission_w`.
    pub to_rooms_w: f64,
    /// Transmission in all, thermal bridges among it (W).
    pub transmission_w: f64,
    /// Fresh air of the room, wherever it comes from (m³/h).
    pub air_flow_m3_h: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
}

/// What one element lets through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Element {
    /// Temperature difference that stands across it, correction factors included (K).
    pub difference_k: f64,
    /// Transmission (W).
    pub transmission_w: f64,
    /// Its thermal bridges, where they are counted element by element (W).
    pub thermal_bridging_w: f64,
}

/// Loss of the dwelling: what passes its outer boundary. Flows between rooms cancel.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Dwelling {
    /// Transmission through the outer boundary (W).
    pub transmission_w: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
    /// Sum over rooms of outer transmission by the room's difference to outside (W/K).
    pub transmission_coefficient_w_k: f64,
    /// Sum over rooms of ventilation by the room's difference to outside (W/K).
    pub ventilation_coefficient_w_k: f64,
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if a construction describes nothing physical.
pub fn compute<W: Workings>(survey: &Survey, w: &mut W) -> Result<HeatLoss, DesignError> {
    let outside_design_c = survey.climate.outside_design_with(&mut w.at(|| "/heat_loss/outside_design_c".to_owned()));
    let u_values_w_m2k = fabric::u_values(survey, w)?;
    let coefficients = bridging::shared_out(survey, w);
    let supply = air::supply(survey, outside_design_c, w);
    let mut dwelling = Dwelling::default();
    let mut rooms = Vec::with_capacity(survey.rooms.len());
    for (index, room) in survey.rooms.iter().enumerate() {
        let elements = fabric::elements(survey, index, outside_design_c, &u_values_w_m2k, w);
        let bridges_w = bridging::by_coefficient(room, index, outside_design_c, coefficients[index], w);
        let air = air::of_room(survey, index, outside_design_c, supply, w);
        let loss = total(room, elements, bridges_w, air);
        dwelling.add(&loss, room.inside_c - outside_design_c);
        rooms.push(loss);
    }
    dwelling.design_heat_loss_w = dwelling.transmission_w + dwelling.ventilation_w;
    Ok(HeatLoss { outside_design_c, u_values_w_m2k, rooms, dwelling })
}

fn total(room: &crate::survey::Room, elements: Vec<Element>, bridges_w: f64, air: air::RoomFlow) -> Room {
    let thermal_bridging_w = bridges_w + elements.iter().map(|element| element.thermal_bridging_w).sum::<f64>();
    let to_rooms_w = fabric::to_rooms(room, &elements);
    let transmission_w = thermal_bridging_w + elements.iter().map(|element| element.transmission_w).sum::<f64>();
    let ventilation_w = air.loss_w;
    Room {
        elements,
        thermal_bridging_w,
        to_rooms_w,
        transmission_w,
        air_flow_m3_h: air.flow_m3_h,
        ventilation_w,
        design_heat_loss_w: transmission_w + ventilation_w,
    }
}

impl Dwelling {
    fn add(&mut self, room: &Room, difference_k: f64) {
        let outer_w = room.transmission_w - room.to_rooms_w;
        self.transmission_w += outer_w;
        self.ventilation_w += room.ventilation_w;
        self.transmission_coefficient_w_k += outer_w / difference_k;
        self.ventilation_coefficient_w_k += room.ventilation_w / difference_k;
    }
}

/// The published sources that this stage rests on for this survey.
#[must_use]
pub fn sources(survey: &Survey) -> Vec<&'static Source> {
    let mut sources = vec![&EN_12831];
    for construction in &survey.constructions {
        if let Construction::GroundFloor { layers, .. } = construction {
            sources.push(&ISO_13370);
            if layers.iter().any(|layer| matches!(layer, Layer::Conductivity { .. })) {
                sources.push(&ISO_6946);
            }
        }
    }
    let shared_out = !matches!(survey.bridging, Bridging::Allowance(_));
    if shared_out || matches!(survey.climate.outside, OutsideDesign::Station { .. }) {
        sources.push(&TRADE_PRACTICE);
    }
    sources
}
