//! Rooms, their surfaces and what those face.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use super::dwelling::ThermalBridging;
use super::emitters::Emitter;
use super::rules::Broken;
use crate::catalogue::room_use::RoomUse;
use crate::intake::{ById, FaultCode, Id, by_kind};
use crate::methods::math::{PI, sqrt};

/// Surfaces by id.
pub type Surfaces = ById<Surface, 0, 64>;

/// Emitters by id.
pub type Emitters = ById<Emitter, 0, 8>;

/// Air from other rooms, by their ids.
pub type Transfers = ById<Transfer, 0, 16>;

/// Openings by id.
pub type Openings = ById<Opening, 0, 16>;

/// One heated room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[expect(clippy::duplicated_attributes, reason = "each rule says for itself that it is held beside others")]
#[validate(schema(function = "perimeter_encloses_area", skip_on_field_errors = false))]
#[validate(schema(function = "one_floor_is_heated", skip_on_field_errors = false))]
#[validate(schema(function = "heated_floors_fit", skip_on_field_errors = false))]
pub struct Room {
    /// What the room is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub name: Option<String>,
    /// What the room is used for; temperature and air changes follow from it where they are left out.
    #[serde(rename = "use")]
    pub room_use: RoomUse,
    /// Storey: 0 is the ground floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -5, maximum = 50)]
    pub storey: Option<i32>,
    /// Floor area inside the walls (m²).
    #[schema(minimum = 0.1, maximum = 5000.0)]
    pub floor_area_m2: f64,
    /// Mean height of the room (m).
    #[schema(exclusive_minimum = 0.0, maximum = 30.0)]
    pub height_m: f64,
    /// Perimeter of the floor inside the walls (m); that of a square when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 2000.0)]
    pub perimeter_m: Option<f64>,
    /// Inside design temperature (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 35.0)]
    pub inside_design_c: Option<f64>,
    /// Air changes (1/h), where the dwelling is ventilated by prescribed air changes; the least of them, where by
    /// leakage.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 20.0)]
    pub air_changes_per_h: Option<f64>,
    /// Radiators that hang there now and are taken out, besides those that the emitters of the room replace.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(maximum = 20)]
    pub removed_radiators: Option<u32>,
    /// Infiltration (m³/h), in place of the dwelling's rate, where the dwelling is ventilated mechanically.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 10000.0)]
    pub infiltration_m3_h: Option<f64>,
    /// Mechanical supply of fresh air (m³/h).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 10000.0)]
    pub supply_m3_h: Option<f64>,
    /// Mechanical extract of used air (m³/h).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 10000.0)]
    pub extract_m3_h: Option<f64>,
    /// Air that flows over from other rooms, by the id of the room that it comes from (m³/h).
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub transfer_from: Transfers,
    /// Chimneys and open flues, through which air is drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flues: Option<Flues>,
    /// Extra output to warm the room up after a setback.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reheat: Option<Reheat>,
    /// The room's own thermal bridges, in place of its share of the dwelling's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thermal_bridging: Option<ThermalBridging>,
    /// Where its middle lies on the plan, from which tails of heated floors are measured, and runs that the job does not draw.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<Position>,
    /// Walls, floors, ceilings and roofs that bound the room. A partition to another room may stand in one of
    /// the two rooms or in both.
    #[validate(nested)]
    pub surfaces: Surfaces,
    /// Room whose emitters carry this one's loss, through the door that stands open between them: of a hall, a landing, a store or
    /// another room that has no emitter of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heated_from: Option<Id>,
    /// Emitters that heat the room.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    #[validate(nested)]
    pub emitters: Emitters,
}

/// A place on the plan of the dwelling, from a corner of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// To the right (m).
    #[schema(minimum = -1000.0, maximum = 1000.0)]
    pub x_m: f64,
    /// Upward on the plan (m).
    #[schema(minimum = -1000.0, maximum = 1000.0)]
    pub y_m: f64,
}

/// Air that flows over from another room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Transfer {
    /// How much (m³/h).
    #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
    pub flow_m3_h: f64,
}

/// Chimneys and open flues of a room.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Flues {
    /// Number of open chimneys.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 10)]
    pub chimneys: Option<u32>,
    /// Number of open flues.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 10)]
    pub open_flues: Option<u32>,
}

/// Warming up after a setback of up to twelve hours.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Reheat {
    /// Time that the room may take to be warm again, in whole hours (h).
    #[schema(minimum = 1, maximum = 4)]
    pub within_h: u32,
    /// What it has cooled by, in whole kelvins (K).
    #[schema(minimum = 1, maximum = 3)]
    pub drop_k: u32,
}

/// One surface of a room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "openings_fit", skip_on_field_errors = false))]
pub struct Surface {
    /// What part of the room it is, which gives the direction of heat flow.
    pub part: Part,
    /// Id of its construction.
    pub construction: Id,
    /// Gross area inside, openings included (m²).
    #[schema(exclusive_minimum = 0.0, maximum = 5000.0)]
    pub area_m2: f64,
    /// Direction that an outer surface looks to, clockwise from north (degrees). Surfaces with openings that look the same way are one
    /// façade to the wind, and each that does not say where it looks is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, exclusive_maximum = 360.0)]
    pub orientation_deg: Option<f64>,
    /// Windows and doors, whose areas are taken from the gross area.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    pub openings: Openings,
    /// What lies on the other side; outside when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub faces: Option<Faces>,
}

/// A window or door in a surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Id of its construction.
    pub construction: Id,
    /// Area of the opening (m²).
    #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
    pub area_m2: f64,
}

/// What part of a room a surface is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Heat flows sideways.
    Wall,
    /// Heat flows upward, to outside or a loft.
    Roof,
    /// Heat flows upward, to another room or dwelling.
    Ceiling,
    /// Heat flows downward.
    Floor,
}

/// What lies on the other side of a surface.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Faces {
    /// Outside air.
    Outside {},
    /// The ground.
    Ground {},
    /// Another heated room of the dwelling.
    Room {
        /// Id of that room.
        room: Id,
    },
    /// An unheated space, by its temperature reduction factor.
    Unheated {
        /// Share of the temperature difference to outside that stands across the element (0–1).
        #[schema(minimum = 0.0, maximum = 1.0)]
        factor: f64,
    },
    /// An unheated space of the job, whose temperature follows from its own balance.
    UnheatedSpace {
        /// Id of the space.
        space: Id,
    },
    /// An adjoining dwelling.
    AdjoiningDwelling {},
    /// A space of given temperature.
    Temperature {
        /// Temperature on the other side (°C).
        #[schema(minimum = -40.0, maximum = 60.0)]
        temperature_c: f64,
    },
}

fn openings_fit(surface: &Surface) -> Result<(), ValidationError> {
    openings_within(&surface.openings, surface.area_m2)
}

/// Openings together are no larger than their wall.
pub(super) fn openings_within(openings: &Openings, area_m2: f64) -> Result<(), ValidationError> {
    let openings_m2: f64 = openings.values().map(|opening| opening.area_m2).sum();
    if openings_m2 <= area_m2 * (1.0 + 1e-9) {
        return Ok(());
    }
    Err(Broken::new(FaultCode::OpeningsTooLarge)
        .at("openings")
        .says(format!("the openings take {openings_m2:.2} m² of a surface of {area_m2} m²"))
        .limit(area_m2)
        .into())
}

/// No line is shorter round an area than a circle's.
fn perimeter_encloses_area(room: &Room) -> Result<(), ValidationError> {
    let least_m = 2.0 * sqrt(PI * room.floor_area_m2);
    match room.perimeter_m {
        Some(perimeter_m) if perimeter_m < least_m * (1.0 - 1e-9) => Err(Broken::new(FaultCode::PerimeterTooShort)
            .at("perimeter_m")
            .says(format!("a perimeter of {perimeter_m} m cannot enclose {} m²", room.floor_area_m2))
            .limit(least_m)
            .into()),
        Some(_) | None => Ok(()),
    }
}

/// A room has one heated floor at most.
fn one_floor_is_heated(room: &Room) -> Result<(), ValidationError> {
    match heated_floors(room).nth(1) {
        Some((id, ..)) => Err(Broken::new(FaultCode::SecondHeatedFloor)
            .at(format!("emitters/{id}"))
            .says("a room has one heated floor at most")
            .into()),
        None => Ok(()),
    }
}

/// Heated floors of a room: id, area that is not heated and area of the edge zone (m²).
fn heated_floors(room: &Room) -> impl Iterator<Item = (&str, f64, f64)> {
    room.emitters.iter().filter_map(|(id, emitter)| match emitter {
        Emitter::HeatedFloor { unheated_area_m2, edge_area_m2, .. } => {
            Some((&**id, unheated_area_m2.unwrap_or(0.0), edge_area_m2.unwrap_or(0.0)))
        }
        Emitter::Radiator { .. } | Emitter::FanConvector { .. } => None,
    })
}

/// A heated floor is no larger than its room; the first that is, is told.
fn heated_floors_fit(room: &Room) -> Result<(), ValidationError> {
    for (id, taken_m2, edge_m2) in heated_floors(room) {
        let left_m2 = room.floor_area_m2 - taken_m2;
        if left_m2 <= 0.0 {
            return Err(Broken::new(FaultCode::HeatedFloorWithoutArea)
                .at(format!("emitters/{id}"))
                .says(format!("unheated area takes {taken_m2} m² of a floor of {} m²", room.floor_area_m2))
                .limit(room.floor_area_m2)
                .into());
        }
        if edge_m2 > left_m2 * (1.0 + 1e-9) {
            return Err(Broken::new(FaultCode::EdgeZoneTooLarge)
                .at(format!("emitters/{id}/edge_area_m2"))
                .says(format!("the edge zone takes {edge_m2} m² of {left_m2:.2} m² that are heated"))
                .limit(left_m2)
                .into());
        }
    }
    Ok(())
}
