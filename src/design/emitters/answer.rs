//! The stage as it is answered.

use serde::Serialize;
use utoipa::ToSchema;

use super::{Emitter, Emitters, Kind};
use crate::design::findings::{self, UnmetRow};
use crate::design::units::{flow_l_h, mm};
use crate::survey::Survey;

/// Emitters of every room, at their duty.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EmittersAnswer {
    /// Common flow temperature (°C).
    pub flow_temperature_c: f64,
    /// Nominal drop between flow and return (K).
    pub drop_k: f64,
    /// Emitters of each room, in the order of the job.
    pub rooms: Vec<RoomEmitters>,
    /// Heat that heated floors give downward, charged to the heat source (W).
    pub downward_w: f64,
    /// Needs that the design does not meet.
    pub unmet: Vec<UnmetRow>,
    /// Whether every room is carried.
    pub complete: bool,
}

/// Emitters of a room.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RoomEmitters {
    /// Id of the room.
    pub room: String,
    /// Its emitters.
    pub emitters: Vec<EmitterRow>,
}

/// One emitter at its duty.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EmitterRow {
    /// Id of the emitter.
    pub emitter: String,
    /// `radiator` or `heated_floor`.
    pub kind: &'static str,
    /// Code of the radiator or floor tube; absent where none fits, or for a radiator known by its rating alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// For radiators: `new`, `kept` or `replaced`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing: Option<&'static str>,
    /// What it should carry (W).
    pub load_w: f64,
    /// What it gives to the room (W).
    pub output_w: f64,
    /// What it could give at the nominal drop (W).
    pub capacity_w: f64,
    /// Its flow (l/h).
    pub flow_l_h: f64,
    /// Its return temperature (°C).
    pub return_temperature_c: f64,
    /// Heated area of a floor (m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Pipe spacing of a floor (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing_mm: Option<f64>,
    /// Output of a floor by area (W/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub output_w_m2: Option<f64>,
    /// Greatest output of a floor by its limits (W/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_w_m2: Option<f64>,
    /// Mean surface temperature of a floor (°C).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_surface_c: Option<f64>,
    /// Heat that a floor gives downward (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub downward_w: Option<f64>,
    /// Loops of a floor.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub loops: Vec<LoopRow>,
}

/// One loop of a heated floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LoopRow {
    /// Length, tails included (m).
    pub length_m: f64,
    /// Flow (l/min).
    pub flow_l_min: f64,
}

impl Emitters {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey) -> EmittersAnswer {
        let rooms = self.rooms.iter().enumerate().map(|(room, emitters)| RoomEmitters {
            room: survey.names.rooms[room].clone(),
            emitters: emitters
                .iter()
                .enumerate()
                .map(|(index, emitter)| self.row(survey, room, index, emitter))
                .collect(),
        });
        EmittersAnswer {
            flow_temperature_c: self.flow_c,
            drop_k: survey.heating.drop_k,
            rooms: rooms.collect(),
            downward_w: self.downward_w,
            unmet: findings::rows(survey, &self.unmet),
            complete: self.unmet.is_empty(),
        }
    }

    fn row(&self, survey: &Survey, room: usize, index: usize, emitter: &Emitter) -> EmitterRow {
        let code = |product: usize| survey.book.products.get_index(product).map(|(code, _)| code.clone());
        let flow_l_h = flow_l_h(emitter.flow_kg_s, self.water.density_kg_m3);
        let mut row = EmitterRow {
            emitter: survey.names.emitters[room][index].clone(),
            kind: "radiator",
            product: None,
            standing: None,
            load_w: emitter.load_w,
            output_w: emitter.output_w,
            capacity_w: emitter.capacity_w,
            flow_l_h,
            return_temperature_c: emitter.return_c,
            area_m2: None,
            spacing_mm: None,
            output_w_m2: None,
            limit_w_m2: None,
            floor_surface_c: None,
            downward_w: None,
            loops: Vec::new(),
        };
        match &emitter.kind {
            Kind::Radiator(None) => {}
            Kind::Radiator(Some(radiator)) => {
                row.product = radiator.product.and_then(code);
                row.standing = Some(radiator.standing.word());
            }
            Kind::Floor(floor) => {
                row.kind = "heated_floor";
                row.product = survey.rooms[room].emitters[index].floor().and_then(|floor| code(floor.tube.product));
                row.area_m2 = Some(floor.area_m2);
                row.spacing_mm = Some(mm(floor.spacing_m));
                row.output_w_m2 = Some(floor.output_w_m2);
                row.limit_w_m2 = Some(floor.limit_w_m2);
                row.floor_surface_c = Some(floor.surface_c);
                row.downward_w = Some(floor.downward_w);
                let flow_l_min = flow_l_h / 60.0 / f64::from(floor.loops.count);
                let row_of_loop = LoopRow { length_m: floor.loops.length_m, flow_l_min };
                row.loops = (0..floor.loops.count).map(|_| row_of_loop).collect();
            }
        }
        row
    }
}
