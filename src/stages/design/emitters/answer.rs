//! The stage as it is answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Besides, Emitter, Emitters, Floor, FloorRow, Flowing, Kind};
use crate::catalogue::products::Product;
use crate::design::findings::{self, Pointed, UnmetRow};
use crate::design::units::flow_l_h;
use crate::job::pipework::Manifold;
use crate::list::Index;
use crate::methods::en_442::Mean;
use crate::methods::{Off, carried_heat};
use crate::survey::EmitterAt;
use crate::survey::{Share, Survey};

/// Emitters of every room, as they are set and at their loads.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EmittersAnswer {
    /// Common flow temperature (°C).
    pub flow_temperature_c: f64,
    /// What holds the lowest flow temperature where it is, where the job asks for the lowest: the need that is furthest from
    /// being met half a kelvin below. Absent where the lowest that is looked at carries every room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_by: Option<UnmetRow>,
    /// Nominal drop between flow and return (K).
    pub drop_k: f64,
    /// The mean that radiators are reckoned by: `logarithmic`, over 49.833 K, or `arithmetic`, over 50 K. Absent where
    /// there are no radiators.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub radiator_mean: Option<Cow<'static, str>>,
    /// Of the floors that a warmer flow lets carry their rooms, the one that needs the warmest; bathrooms are left out, as by
    /// EN 1264-3, and floors whose share is found beside radiators, which make up for them. Absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub neediest_floor: Option<NeediestFloor>,
    /// Emitters of each room, in the order of the job.
    pub rooms: Vec<RoomEmitters>,
    /// All of them together as they are set, every valve at rest and every room at its temperature: what tubes, pump and settings
    /// are sized for. What is above the loads is margin to heat up.
    #[serde(default)]
    #[schema(required = true)]
    pub as_set: FlowingRow,
    /// All of them together at their loads, where thermostats hold the rooms.
    #[serde(default)]
    #[schema(required = true)]
    pub at_load: FlowingRow,
    /// Heat that heated floors give downward, and what their lines give to rooms beyond their losses: charged to the heat
    /// source (W). What comes up where it is warmer below is not counted on.
    pub downward_w: f64,
    /// Needs that the design does not meet.
    pub unmet: Vec<UnmetRow>,
    /// Whether every room is carried.
    pub complete: bool,
}

/// The floor that would set the common flow temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NeediestFloor {
    /// Id of its room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// Lowest flow temperature at which it carries its share at the nominal drop (°C).
    pub flow_temperature_c: f64,
}

/// Emitters of a room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoomEmitters {
    /// Id of the room.
    pub room: String,
    /// Heat that lines of other rooms' floors give to it, which its emitters need not (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_lines_w: Option<f64>,
    /// How it stands, where another room heats it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heated_from: Option<HeatedFromRow>,
    /// Its emitters.
    pub emitters: Vec<EmitterRow>,
}

/// How a room stands that another heats through the door between them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HeatedFromRow {
    /// Id of the room whose emitters carry its loss.
    pub room: String,
    /// Its temperature while the door, of 0.8 by 2.0 m, stands open (°C).
    pub open_door_c: f64,
    /// Its temperature once the door is shut for long (°C).
    pub shut_door_c: f64,
}

/// One emitter, as it is set and at its load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct EmitterRow {
    /// Id of the emitter.
    pub emitter: String,
    /// `radiator`, `fan_convector` or `heated_floor`.
    pub kind: Cow<'static, str>,
    /// Code of the radiator, fan convector or floor tube; absent where none that fits is enough or it is left out, and for a
    /// radiator known by its rating alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Code of the strongest radiator or fan convector that fits, where none is enough: the design goes on with it, and it is
    /// not in the bill.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strongest: Option<String>,
    /// For radiators that are enough, and those that stay: `new`, `kept` or `replaced`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing: Option<Cow<'static, str>>,
    /// What connection, finish and enclosure leave of a radiator's rated output.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// Mean excess temperature of a radiator as it is set (K), by `radiator_mean`; absent where it carries nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub excess_k: Option<f64>,
    /// Water content of a radiator or fan convector (l).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_l: Option<f64>,
    /// Share of the room's loss that was found for it (0–1), where the job leaves that to be found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
    /// What it should carry (W).
    pub load_w: f64,
    /// What it could give at the nominal drop (W): that alone decides whether it is enough.
    pub capacity_w: f64,
    /// What it gives to the room (W) as it is set, its valve at rest and the room at its temperature. What is above its load is
    /// margin to heat up.
    pub output_w: f64,
    /// The flow that it is set to (l/h).
    pub flow_l_h: f64,
    /// Its return temperature (°C) at that flow; where no water flows that of the room, and where there is no emitter that of the
    /// flow.
    pub return_temperature_c: f64,
    /// What it does where its thermostat holds the room: it carries its load, as far as it can. What has none stands in
    /// `pipework.arrangement.stays_open`.
    #[serde(default)]
    #[schema(required = true)]
    pub at_load: FlowingRow,
    /// How a fan convector runs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fan: Option<FanRow>,
    /// Heated area of a floor (m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Pipe spacing of a floor (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing_mm: Option<f64>,
    /// Output of a floor by area, without its edge zone (W/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub output_w_m2: Option<f64>,
    /// Greatest output of a floor by its limits, without its edge zone (W/m²).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_w_m2: Option<f64>,
    /// Mean surface temperature of a floor by the standard's own law, without its edge zone (°C); by conduction see `floor`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_surface_c: Option<f64>,
    /// Heat that a floor gives downward, that of its lines among it; below nothing where it is warmer below (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub downward_w: Option<f64>,
    /// Loops of a floor.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub loops: Vec<LoopRow>,
    /// The floor in detail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor: Option<FloorRow>,
}

/// Flow, return and output of one state.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema)]
pub struct FlowingRow {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Return temperature (°C).
    pub return_temperature_c: f64,
    /// What is given to the rooms (W).
    pub output_w: f64,
    /// What goes downward and is charged to the heat source (W); for heated floors, and where they are among others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub downward_w: Option<f64>,
}

/// How a fan convector runs at its duty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FanRow {
    /// Mean temperature of the water less that of the room (K).
    pub difference_k: f64,
    /// Difference that its data are read at (K): their greatest, where the water is hotter, on the safe side.
    pub read_at_k: f64,
    /// Slowest speed that carries the load, counted from 1.
    pub speed: usize,
    /// Share of the time that the fan turns (0–1); below 1 only at its slowest speed.
    pub run: f64,
    /// Mean power that the fan takes (W).
    pub fan_w: f64,
    /// Air that it moves at that speed (m³/h).
    pub air_m3_h: f64,
    /// Sound power level at that speed (dB).
    pub sound_db: f64,
}

/// One loop of a heated floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LoopRow {
    /// Length, tails included (m).
    pub length_m: f64,
    /// Flow (l/min).
    pub flow_l_min: f64,
    /// Pressure drop, its valves open (kPa).
    pub pressure_drop_kpa: f64,
    /// What its valve must take besides, so that every loop of the manifold drops the same (kPa).
    pub to_throttle_kpa: f64,
}

/// The word for a mean.
fn mean_word(mean: Mean) -> &'static str {
    match mean {
        Mean::Logarithmic => "logarithmic",
        Mean::Arithmetic => "arithmetic",
    }
}

impl Emitters {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey) -> EmittersAnswer {
        let rooms = self.rooms.enumerate().map(|(room, emitters)| RoomEmitters {
            room: survey.names.rooms[room].clone(),
            from_lines_w: Some(self.from_lines_w[room]).filter(|given_w| *given_w > 0.0),
            heated_from: self.next_door.iter().find(|next| next.room == room).map(|next| HeatedFromRow {
                room: survey.names.rooms[next.from].clone(),
                open_door_c: next.open_c,
                shut_door_c: next.shut_c,
            }),
            emitters: emitters
                .enumerate()
                .map(|(emitter, found)| self.row(survey, EmitterAt { room, emitter }, found))
                .collect(),
        });
        EmittersAnswer {
            flow_temperature_c: self.flow_c,
            held_by: self.lowest.as_ref().and_then(|lowest| lowest.holding(survey, &lowest.held_by).pop()),
            drop_k: survey.heating.drop_k,
            radiator_mean: self.has_radiators().then(|| mean_word(survey.heating.radiator_mean).into()),
            neediest_floor: self.neediest_floor(survey).map(|(at, flow_temperature_c)| NeediestFloor {
                room: survey.names.emitter(at).0.to_owned(),
                emitter: survey.names.emitter(at).1.to_owned(),
                flow_temperature_c,
            }),
            rooms: rooms.collect(),
            as_set: self.together(|emitter| emitter.set, |floor| &floor.besides),
            at_load: self.together(|emitter| emitter.at_load, |floor| &floor.at_load),
            downward_w: self.downward_w,
            unmet: findings::rows(survey, &self.unmet),
            complete: self.unmet.is_empty(),
        }
    }

    /// All emitters together in a state; where nothing flows the return is as warm as the flow.
    fn together(&self, state: fn(&Emitter) -> Flowing, besides: fn(&Floor) -> &Besides) -> FlowingRow {
        let states = || self.each().map(|(_, emitter)| state(emitter));
        let returns = states().map(|flowing| (flowing.flow_kg_s, flowing.return_c));
        let flow_kg_s: f64 = states().map(|flowing| flowing.flow_kg_s).sum();
        // an empty sum is -0
        let output_w = states().map(|flowing| flowing.output_w).sum::<f64>() + 0.0;
        let down = |floor: &Floor| besides(floor).downward_w;
        FlowingRow {
            flow_l_h: flow_l_h(flow_kg_s + 0.0, self.water.density_kg_m3),
            return_temperature_c: carried_heat::mixed(returns, &mut Off).map_or(self.flow_c, |mixed| mixed.mean_c),
            output_w,
            downward_w: self.floors().map(|(_, floor, _)| down(floor)).reduce(|a, b| a + b),
        }
    }

    /// Whether a radiator is among them, chosen or not.
    fn has_radiators(&self) -> bool {
        self.rooms.iter().flatten().any(|emitter| matches!(emitter.kind, Kind::Radiator(_)))
    }

    /// Pressure drop of the worst loop of a manifold (Pa).
    pub(super) fn manifold_pa(&self, survey: &Survey, manifold: Index<Manifold>) -> f64 {
        let on = self.floors().filter(|(at, ..)| super::is_on(survey, *at, manifold));
        on.flat_map(|(.., floor, _)| &floor.zones).map(|zone| zone.loop_pa).fold(0.0, f64::max)
    }

    /// The share that was found for an emitter, of what all in its room should carry.
    fn found_share(&self, survey: &Survey, at: EmitterAt) -> Option<f64> {
        let all_w: f64 = self.rooms[at.room].iter().map(|emitter| emitter.load_w).sum();
        let is_found = survey.emitter(at).share == Share::Found && all_w > 0.0;
        is_found.then(|| self.emitter(at).load_w / all_w)
    }

    fn row(&self, survey: &Survey, at: EmitterAt, emitter: &Emitter) -> EmitterRow {
        let code = |product: Index<Product>| Some(survey.book.product(product).0.to_owned());
        let density_kg_m3 = self.water.density_kg_m3;
        let mut row = EmitterRow {
            emitter: survey.names.emitter(at).1.to_owned(),
            kind: "radiator".into(),
            product: None,
            strongest: None,
            standing: None,
            factor: None,
            excess_k: None,
            water_l: None,
            share: self.found_share(survey, at),
            load_w: emitter.load_w,
            capacity_w: emitter.capacity_w,
            output_w: emitter.set.output_w,
            flow_l_h: flow_l_h(emitter.set.flow_kg_s, density_kg_m3),
            return_temperature_c: emitter.set.return_c,
            at_load: FlowingRow {
                flow_l_h: flow_l_h(emitter.at_load.flow_kg_s, density_kg_m3),
                return_temperature_c: emitter.at_load.return_c,
                output_w: emitter.at_load.output_w,
                downward_w: None,
            },
            fan: None,
            area_m2: None,
            spacing_mm: None,
            output_w_m2: None,
            limit_w_m2: None,
            floor_surface_c: None,
            downward_w: None,
            loops: Vec::new(),
            floor: None,
        };
        if let Some((product, is_taken)) = emitter.kind.product() {
            *(if is_taken { &mut row.product } else { &mut row.strongest }) = code(product);
        }
        match &emitter.kind {
            Kind::Radiator(None) => {}
            Kind::BeyondTables(_) => row.kind = "heated_floor".into(),
            Kind::Radiator(Some(radiator)) => {
                row.standing = radiator.standing.word().map(Cow::from);
                row.factor = Some(radiator.factor);
                row.excess_k = Some(radiator.excess_k).filter(|_| emitter.set.output_w > 0.0);
                row.water_l = Some(radiator.water_l);
            }
            Kind::FanConvector(found) => {
                row.kind = "fan_convector".into();
                if let Some(unit) = found {
                    row.water_l = Some(unit.water_l);
                    row.fan = Some(FanRow {
                        difference_k: unit.difference_k,
                        read_at_k: unit.read_at_k,
                        speed: unit.running.speed,
                        run: unit.running.run,
                        fan_w: unit.running.fan_w,
                        air_m3_h: unit.air_m3_h,
                        sound_db: unit.sound_db,
                    });
                }
            }
            Kind::Floor(floor) => {
                row.kind = "heated_floor".into();
                let Some(written) = survey.emitter(at).floor() else { return row };
                let zone = floor.occupied();
                row.product = code(written.tube.product);
                row.area_m2 = Some(written.whole_m2());
                row.spacing_mm = Some(floor.spacing_mm());
                row.output_w_m2 = Some(zone.state.output_w_m2);
                row.limit_w_m2 = Some(zone.limit_w_m2);
                row.floor_surface_c = Some(zone.surface_c);
                row.downward_w = Some(floor.besides.downward_w);
                row.at_load.downward_w = Some(floor.at_load.downward_w);
                row.loops = floor.loop_rows(&self.water, self.manifold_pa(survey, written.laying.manifold));
                row.floor = Some(floor.row(survey, written, &self.water));
            }
        }
        row
    }
}

impl Pointed for EmittersAnswer {
    fn pointers(&mut self) -> Vec<&mut String> {
        self.unmet.iter_mut().chain(&mut self.held_by).map(|row| &mut row.pointer).collect()
    }
}
