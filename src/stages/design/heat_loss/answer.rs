//! The stage as it is answered: rows that name the ids of the job.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{HeatLoss, Space, Uncertainty, VentilationIs};
use crate::design::findings::Pointed;
use crate::list::Index;
use crate::methods::iso_6946::HeatFlow;
use crate::survey;
use crate::survey::{Construction, Element, Faces, Far, Survey, Use};

/// Design heat loss of every room and of the dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HeatLossAnswer {
    /// Outside design temperature (°C).
    pub outside_design_c: f64,
    /// Mean outside temperature of the year (°C).
    pub annual_mean_outside_c: f64,
    /// U-value of every construction, in each way that it is used.
    pub constructions: Vec<UValue>,
    /// Unheated spaces by their own balance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub unheated_spaces: Vec<SpaceLoss>,
    /// Loss of every room, in the order of the job.
    pub rooms: Vec<RoomLoss>,
    /// Loss of the dwelling: what passes its outer boundary.
    pub dwelling: DwellingLoss,
    /// How sure that is, where the job asks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<Uncertainty>,
}

/// U-value of a construction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UValue {
    /// Id of the construction.
    pub construction: String,
    /// Which way heat flows, where that matters to the U-value: `up`, `horizontal` or `down`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_flow: Option<Cow<'static, str>>,
    /// What lies beyond, where that matters to the U-value: `outside`, `inside` or `ground`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beyond: Option<Cow<'static, str>>,
    /// Thermal transmittance (W/(m²K)).
    pub u_value_w_m2k: f64,
}

/// An unheated space by its own balance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SpaceLoss {
    /// Id of the space.
    pub space: String,
    /// Its temperature in design conditions (°C).
    pub temperature_c: f64,
    /// Conductance to heated rooms (W/K).
    pub to_rooms_w_k: f64,
    /// Conductance to outside, by transmission and air (W/K).
    pub to_outside_w_k: f64,
    /// Conductance to the ground and to spaces of given temperature (W/K).
    pub to_others_w_k: f64,
}

/// Loss of one room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
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
    /// What the height of the room adds, for the room's emitters alone (W).
    #[serde(default, skip_serializing_if = "is_nothing")]
    #[schema(required = false)]
    pub height_w: f64,
    /// What warming up after a setback adds (W).
    #[serde(default, skip_serializing_if = "is_nothing")]
    #[schema(required = false)]
    pub reheat_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
    /// Floor area whose loss is left to the heated floor in it (m²); its watts come with the emitters.
    pub left_to_heated_floor_m2: f64,
}

/// What one element lets through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
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
    pub faces: Cow<'static, str>,
    /// Id of the room on the other side, if a room lies there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_room: Option<String>,
    /// Id of the unheated space on the other side, if one of the job lies there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_space: Option<String>,
    /// Temperature difference that stands across the element, correction factors included (K).
    pub difference_k: f64,
    /// Transmission, thermal bridges apart (W).
    pub transmission_w: f64,
    /// Its thermal bridges, where they are counted element by element (W).
    pub thermal_bridging_w: f64,
}

/// Loss of the dwelling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DwellingLoss {
    /// Transmission through the outer boundary (W).
    pub transmission_w: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// What that is: `sum_of_rooms`; `simultaneous_infiltration`, half of what leaks into the rooms, for it strikes
    /// one side at one time; or `least_air`, where hygiene asks for more.
    pub ventilation_is: Cow<'static, str>,
    /// Warming up after a setback (W).
    #[serde(default, skip_serializing_if = "is_nothing")]
    #[schema(required = false)]
    pub reheat_w: f64,
    /// Design heat loss, for the heat source (W).
    pub design_heat_loss_w: f64,
    /// Sum over rooms of outer transmission by the room's difference to outside (W/K).
    pub transmission_coefficient_w_k: f64,
    /// Sum over rooms of ventilation by the room's difference to outside, of as much as the dwelling counts (W/K).
    pub ventilation_coefficient_w_k: f64,
}

impl HeatLoss {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey, uncertainty: Option<Uncertainty>) -> HeatLossAnswer {
        let dwelling = self.dwelling;
        HeatLossAnswer {
            outside_design_c: self.outside_design_c,
            annual_mean_outside_c: survey.climate.annual_mean_c,
            constructions: survey
                .uses
                .iter()
                .zip(&self.u_values_w_m2k)
                .map(|(usage, u)| of_use(survey, usage, *u))
                .collect(),
            unheated_spaces: survey
                .names
                .spaces
                .iter()
                .zip(&self.spaces)
                .map(|(id, space)| of_space(id, space))
                .collect(),
            rooms: self.rooms.indices().map(|index| self.room(survey, index)).collect(),
            uncertainty,
            dwelling: DwellingLoss {
                transmission_w: dwelling.transmission_w,
                ventilation_w: dwelling.ventilation_w,
                ventilation_is: match dwelling.ventilation_is {
                    VentilationIs::SumOfRooms => "sum_of_rooms".into(),
                    VentilationIs::SimultaneousInfiltration => "simultaneous_infiltration".into(),
                    VentilationIs::LeastAir => "least_air".into(),
                },
                reheat_w: dwelling.reheat_w,
                design_heat_loss_w: dwelling.design_heat_loss_w,
                transmission_coefficient_w_k: dwelling.transmission_coefficient_w_k,
                ventilation_coefficient_w_k: dwelling.ventilation_coefficient_w_k,
            },
        }
    }

    fn room(&self, survey: &Survey, index: Index<survey::Room>) -> RoomLoss {
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
            height_w: loss.height_w,
            reheat_w: loss.reheat_w,
            design_heat_loss_w: loss.design_heat_loss_w,
            left_to_heated_floor_m2: room.heated_floor_m2,
        }
    }

    fn element(&self, survey: &Survey, room: Index<survey::Room>, index: usize) -> ElementLoss {
        let Element { area_m2, construction, usage, faces, .. } = survey.rooms[room].elements[index];
        let name = &survey.names.elements[room][index];
        let loss = self.rooms[room].elements[index];
        ElementLoss {
            surface: name.surface.clone(),
            opening: name.opening.clone(),
            declared_in: name.declared_in.clone(),
            construction: survey.names.constructions[construction].clone(),
            area_m2,
            u_value_w_m2k: self.u_values_w_m2k[usage],
            faces: kind(faces).into(),
            to_room: if let Faces::Room(other) = faces { Some(survey.names.rooms[other].clone()) } else { None },
            to_space: if let Faces::UnheatedSpace(space) = faces {
                Some(survey.names.spaces[space].clone())
            } else {
                None
            },
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
        Faces::UnheatedSpace(_) => "unheated_space",
        Faces::AdjoiningDwelling => "adjoining_dwelling",
        Faces::Temperature(_) => "temperature",
    }
}

/// Whether a figure is left out because it is nothing.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde asks")]
fn is_nothing(figure: &f64) -> bool {
    *figure == 0.0
}

fn of_use(survey: &Survey, usage: &Use, u_value_w_m2k: f64) -> UValue {
    let matters =
        matches!(survey.constructions[usage.construction], Construction::Layered(_) | Construction::Basement { .. });
    let heat_flow = match usage.flow {
        HeatFlow::Up => "up",
        HeatFlow::Horizontal => "horizontal",
        HeatFlow::Down => "down",
    };
    let beyond = match usage.far {
        Far::Outside => "outside",
        Far::Inside => "inside",
        Far::Ground => "ground",
    };
    UValue {
        construction: survey.names.constructions[usage.construction].clone(),
        heat_flow: matters.then(|| heat_flow.into()),
        beyond: matters.then(|| beyond.into()),
        u_value_w_m2k,
    }
}

fn of_space(id: &str, space: &Space) -> SpaceLoss {
    SpaceLoss {
        space: id.to_owned(),
        temperature_c: space.temperature_c,
        to_rooms_w_k: space.exchange.rooms_w_k,
        to_outside_w_k: space.exchange.outside_w_k,
        to_others_w_k: space.exchange.others_w_k,
    }
}

/// It says nothing of places.
impl Pointed for HeatLossAnswer {}
