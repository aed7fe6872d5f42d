//! The stage as it is answered: rows that name the ids of the job.

use serde::Serialize;
use utoipa::ToSchema;

use super::HeatLoss;
use crate::survey::{Element, Faces, Survey};

/// Design heat loss of every room and of the dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatLossAnswer {
    /// Outside design temperature (°C).
    pub outside_design_c: f64,
    /// Mean outside temperature of the year (°C).
    pub annual_mean_outside_c: f64,
    /// U-value of every construction.
    pub constructions: Vec<UValue>,
    /// Loss of every room, in the order of the job.
    pub rooms: Vec<RoomLoss>,
    /// Loss of the dwelling: what passes its outer boundary.
    pub dwelling: DwellingLoss,
}

/// U-value of a construction.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct UValue {
    /// Id of the construction.
    pub construction: String,
    /// Thermal transmittance (W/(m²K)).
    pub u_value_w_m2k: f64,
}

/// Loss of one room.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RoomLoss {
    /// Id of the room.
    pub room: String,
    /// Inside design temperature (°C).
    pub inside_design_c: f64,
    /// Floor area (m²).
    pub floor_area_m2: f64,
    /// Volume (m³).
    pub volume_m3: f64,
    /// Elements that bound the room.
    pub elements: Vec<ElementLoss>,
    /// Thermal bridges of the room (W), part of its transmission.
    pub thermal_bridging_w: f64,
    /// What the room gives to its neighbours (W), part of its transmission; negative if it is given more.
    pub to_rooms_w: f64,
    /// Transmission (W).
    pub transmission_w: f64,
    /// Air that has to be warmed (m³/h).
    pub air_flow_m3_h: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
    /// Floor area whose loss is left to the heated floor in it (m²); its watts come with the emitters.
    pub left_to_heated_floor_m2: f64,
}

/// What one element lets through.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ElementLoss {
    /// Id of the surface.
    pub surface: String,
    /// Id of the opening, for windows and doors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening: Option<String>,
    /// Id of the room that declares the surface, where that is the room on the other side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub declared_in: Option<String>,
    /// Id of the construction.
    pub construction: String,
    /// Net area (m²).
    pub area_m2: f64,
    /// Thermal transmittance (W/(m²K)).
    pub u_value_w_m2k: f64,
    /// What lies on the other side, as the job's `faces` names it.
    pub faces: &'static str,
    /// Id of the room on the other side, if a room lies there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_room: Option<String>,
    /// Temperature difference that stands across the element, correction factors included (K).
    pub difference_k: f64,
    /// Transmission, thermal bridges apart (W).
    pub transmission_w: f64,
    /// Its thermal bridges, where they are counted element by element (W).
    pub thermal_bridging_w: f64,
}

/// Loss of the dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DwellingLoss {
    /// Transmission through the outer boundary (W).
    pub transmission_w: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// Design heat loss, for the heat source (W).
    pub design_heat_loss_w: f64,
    /// Sum over rooms of outer transmission by the room's difference to outside (W/K).
    pub transmission_coefficient_w_k: f64,
    /// Sum over rooms of ventilation by the room's difference to outside (W/K).
    pub ventilation_coefficient_w_k: f64,
}

impl HeatLoss {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey) -> HeatLossAnswer {
        let constructions = survey.names.constructions.iter().zip(&self.u_values_w_m2k);
        let dwelling = self.dwelling;
        HeatLossAnswer {
            outside_design_c: self.outside_design_c,
            annual_mean_outside_c: survey.climate.annual_mean_c,
            constructions: constructions
                .map(|(id, &u_value_w_m2k)| UValue { construction: id.clone(), u_value_w_m2k })
                .collect(),
            rooms: (0..self.rooms.len()).map(|index| self.room(survey, index)).collect(),
            dwelling: DwellingLoss {
                transmission_w: dwelling.transmission_w,
                ventilation_w: dwelling.ventilation_w,
                design_heat_loss_w: dwelling.design_heat_loss_w,
                transmission_coefficient_w_k: dwelling.transmission_coefficient_w_k,
                ventilation_coefficient_w_k: dwelling.ventilation_coefficient_w_k,
            },
        }
    }

    fn room(&self, survey: &Survey, index: usize) -> RoomLoss {
        let (room, loss) = (&survey.rooms[index], &self.rooms[index]);
        RoomLoss {
            room: survey.names.rooms[index].clone(),
            inside_design_c: room.inside_c,
            floor_area_m2: room.floor_area_m2,
            volume_m3: room.floor_area_m2 * room.height_m,
            elements: (0..room.elements.len()).map(|element| self.element(survey, index, element)).collect(),
            thermal_bridging_w: loss.thermal_bridging_w,
            to_rooms_w: loss.to_rooms_w,
            transmission_w: loss.transmission_w,
            air_flow_m3_h: loss.air_flow_m3_h,
            ventilation_w: loss.ventilation_w,
            design_heat_loss_w: loss.design_heat_loss_w,
            left_to_heated_floor_m2: room.heated_floor_m2,
        }
    }

    fn element(&self, survey: &Survey, room: usize, index: usize) -> ElementLoss {
        let Element { area_m2, construction, faces, .. } = survey.rooms[room].elements[index];
        let name = &survey.names.elements[room][index];
        let loss = self.rooms[room].elements[index];
        ElementLoss {
            surface: name.surface.clone(),
            opening: name.opening.clone(),
            declared_in: name.declared_in.clone(),
            construction: survey.names.constructions[construction].clone(),
            area_m2,
            u_value_w_m2k: self.u_values_w_m2k[construction],
            faces: kind(faces),
            to_room: if let Faces::Room(other) = faces { Some(survey.names.rooms[other].clone()) } else { None },
            difference_k: loss.difference_k,
            transmission_w: loss.transmission_w,
            thermal_bridging_w: loss.thermal_bridging_w,
        }
    }
}

/// How the job names what lies on the other side.
fn kind(faces: Faces) -> &'static str {
    match faces {
        Faces::Outside => "outside",
        Faces::Ground => "ground",
        Faces::Room(_) => "room",
        Faces::Unheated(_) => "unheated",
        Faces::AdjoiningDwelling => "adjoining_dwelling",
        Faces::Temperature(_) => "temperature",
    }
}
