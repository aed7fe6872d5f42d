//! Heat source, cylinder, expansion vessel and hot water, with every default filled.

use std::sync::Arc;

use super::Gathering;
use super::assumed::Plant as Assumed;
use super::doubted::Doubted;
use super::storeys::storey_of;
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::offer::{self, HeatSource};
use crate::catalogue::product_checks::points_fault;
use crate::catalogue::products::{OperatingPoint, PumpPoint};
use crate::catalogue::room_use::RoomUse;
use crate::intake::{Fault, FaultCode};
use crate::job::plant::{self as written, Cylinder};
use crate::list::Index;
use crate::methods::performance_map::{GridPoint, pump_head};
use crate::methods::{Off, en_12828};
use crate::notes::Filled;

/// The plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// Indices into the offered heat sources that may be taken; the smallest that carries the load is.
    pub heat_sources: Vec<Index<HeatSource>>,
    /// Indices into the offered cylinders that may be taken.
    pub cylinders: Vec<Index<offer::Cylinder>>,
    /// Height of the system above the vessel (m).
    pub static_height_m: f64,
    /// Setting of the safety valve (bar).
    pub safety_valve_bar: f64,
    /// Greatest pressure of the system when the safety valve opens, on the lowest storey (bar).
    pub pressure_max_bar: f64,
    /// Hot water.
    pub hot_water: HotWater,
}

/// Hot water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotWater {
    /// People who live there.
    pub occupants: u32,
    /// Bedrooms, for the people who might.
    pub bedrooms: u32,
    /// Litres at 60 °C a person and day.
    pub litres_per_person: f64,
    /// Storage temperature (°C).
    pub storage_c: f64,
    /// Flow temperature (°C).
    pub flow_c: f64,
    /// Heat made for each part drawn.
    pub loss_factor: f64,
}

impl Gathering<'_> {
    pub(super) fn plant(&mut self) -> Plant {
        let (job, defaults) = (self.job, &self.catalogue.defaults);
        let plant = job.plant.as_ref();
        let heat_sources = self.heat_sources(plant.and_then(|plant| plant.heat_source.as_ref()));
        let cylinders = self.cylinders(plant.and_then(|plant| plant.cylinder.as_ref()));
        let vessel = plant.and_then(|plant| plant.expansion_vessel.as_ref());
        // where nothing is told of its place the vessel stands lowest, and nothing below it
        let (lowest, _) = self.storeys.ends();
        let stands_on = self.told_storey().unwrap_or(lowest);
        let below_m = self.storeys.rise_m(lowest, stands_on);
        let static_height_m = vessel.and_then(|vessel| vessel.static_height_m).unwrap_or_else(|| {
            let (_, highest) = self.storeys.ends();
            let height_m = self.storeys.rise_m(stands_on, highest + 1);
            self.notes.add(&Assumed::StaticHeight { static_height_m: height_m });
            height_m
        });
        let safety_valve_bar = vessel.and_then(|vessel| vessel.safety_valve_bar).unwrap_or_else(|| {
            let valve_bar = defaults.safety_valve_bar.value;
            self.notes.add(&Assumed::SafetyValve { safety_valve_bar: valve_bar });
            valve_bar
        });
        let pressure_max_bar = en_12828::pressure_below(safety_valve_bar, below_m, &mut Off);
        let hot_water = self.hot_water();
        Plant { heat_sources, cylinders, static_height_m, safety_valve_bar, pressure_max_bar, hot_water }
    }

    /// Storey that the plant stands on, where the job tells it.
    fn told_storey(&self) -> Option<i32> {
        let room = self.job.pipework.as_ref()?.riser.as_ref()?.room.as_ref()?;
        self.job.rooms.get(&**room).map(storey_of)
    }

    fn heat_sources(&mut self, choice: Option<&written::HeatSource>) -> Vec<Index<HeatSource>> {
        match choice {
            Some(written::HeatSource::Choose {}) | None => self.offer.heat_sources.indices().collect(),
            Some(written::HeatSource::Catalogue { code }) => {
                let found = self
                    .offer
                    .heat_sources
                    .position(|source| source.product.is_some_and(|index| self.is_product(index, code)));
                if found.is_none() {
                    self.unknown_product("/plant/heat_source/code", code, "heat source");
                }
                found.into_iter().collect()
            }
            Some(written::HeatSource::Given {
                water_l,
                defrost_included,
                minimum_flow_l_h,
                maximum_flow_l_h,
                minimum_water_l,
                defrost_kwh,
                points,
                pump,
                ..
            }) => {
                self.check_given(points, pump);
                self.check_least_flow((*minimum_flow_l_h, *maximum_flow_l_h), pump);
                Arc::make_mut(&mut self.offer).heat_sources.push(HeatSource {
                    product: None,
                    water_l: *water_l,
                    defrost_included: *defrost_included,
                    minimum_flow_l_h: *minimum_flow_l_h,
                    maximum_flow_l_h: *maximum_flow_l_h,
                    minimum_water_l: *minimum_water_l,
                    defrost_kwh: *defrost_kwh,
                    points: points.clone(),
                    pump: pump.clone(),
                });
                self.offer.heat_sources.indices().next_back().into_iter().collect()
            }
        }
    }

    /// A unit given with the job is held to what the products of a price book are held to.
    fn check_given(&mut self, points: &[OperatingPoint], pump: &[PumpPoint]) {
        if let Some(detail) = points_fault(points) {
            let at = "/plant/heat_source/points";
            self.faults.push(Fault::new(at, FaultCode::IncompleteGrid, detail).rests_on(at));
        }
        let first_l_h = pump.first().map_or(0.0, |point| point.flow_l_h);
        if let Err(error) = pump_head(&curve(pump), first_l_h, &mut Off) {
            let at = "/plant/heat_source/pump";
            self.faults.push(Fault::new(at, FaultCode::PumpOutOfOrder, error.to_string()).rests_on(at));
        }
    }

    /// No unit can need more flow than its own pump gives with nothing before it, or than it bears.
    fn check_least_flow(&mut self, (least, most): (Option<f64>, Option<f64>), pump: &[PumpPoint]) {
        let Some(least_l_h) = least else { return };
        let at = "/plant/heat_source/minimum_flow_l_h";
        let last_l_h = pump.last().map_or(f64::INFINITY, |point| point.flow_l_h);
        if least_l_h > last_l_h {
            let detail =
                format!("it runs with {least_l_h} l/h at least, and the curve of its own pump ends at {last_l_h} l/h");
            let fault = Fault::new(at, FaultCode::LeastFlowAbovePump, detail).limit(last_l_h);
            self.faults.push(fault.rests_on("/plant/heat_source/pump").rests_on(at));
        }
        if let Some(most_l_h) = most.filter(|most_l_h| least_l_h > *most_l_h) {
            let detail = format!("it cannot run with {least_l_h} l/h at least and {most_l_h} l/h at most");
            let fault = Fault::new(at, FaultCode::BoundsUpsideDown, detail).limit(most_l_h);
            self.faults.push(fault.rests_on("/plant/heat_source/maximum_flow_l_h").rests_on(at));
        }
    }

    fn cylinders(&mut self, choice: Option<&Cylinder>) -> Vec<Index<offer::Cylinder>> {
        match choice {
            Some(Cylinder::Choose {}) | None => self.offer.cylinders.indices().collect(),
            Some(Cylinder::Catalogue { code }) => {
                let found = self.offer.cylinders.position(|cylinder| self.is_product(cylinder.product, code));
                if found.is_none() {
                    self.unknown_product("/plant/cylinder/code", code, "cylinder");
                }
                found.into_iter().collect()
            }
        }
    }

    fn hot_water(&mut self) -> HotWater {
        let hot_water = self.job.hot_water.as_ref();
        let mut filled = Filled::default();
        let defaults = &self.catalogue.defaults;
        let mut or =
            |given: Option<f64>, (name, default): (_, &DefaultRow<f64>), words: fn(&DefaultRow<f64>) -> String| {
                given.unwrap_or_else(|| {
                    filled.figure(name, default.value, words(default));
                    default.provenance.tell(&mut filled);
                    default.value
                })
            };
        let litres_per_person = or(
            hot_water.and_then(|water| water.litres_per_person_at_60_c),
            ("litres_per_person_at_60_c_l", &defaults.hot_water_litres_per_person_l),
            |row| format!("{} l a person at 60 °C ({})", row.value, row.provenance.confidence.words()),
        );
        let storage_c = or(
            hot_water.and_then(|water| water.storage_temperature_c),
            ("storage_temperature_c", &defaults.hot_water_storage_c),
            |row| format!("stored at {} °C", row.value),
        );
        let flow_c = or(
            hot_water.and_then(|water| water.flow_temperature_c),
            ("flow_temperature_c", &defaults.hot_water_flow_c),
            |row| format!("made at a flow of {} °C", row.value),
        );
        let loss_factor = or(
            hot_water.and_then(|water| water.loss_factor),
            ("loss_factor", &defaults.hot_water_loss_factor),
            |row| format!("{} times the heat of the hot water drawn is made, for what store and pipes lose", row.value),
        );
        let bedrooms = self.bedrooms();
        let might = bedrooms + 1;
        let occupants = self.job.dwelling.occupants.unwrap_or(0);
        match self.job.dwelling.occupants {
            None => {
                self.notes.add(&Assumed::PeopleByBedrooms { people: might });
            }
            Some(occupants) if occupants < might => {
                self.notes.add(&Assumed::MorePeople { people: might, occupants });
            }
            Some(_) => {}
        }
        if !filled.is_empty() {
            self.notes.add(&Assumed::HotWater { filled });
        }
        if flow_c < storage_c {
            let (flow_temperature_c, storage_temperature_c) = (flow_c, storage_c);
            self.notes.add(&Doubted::FlowBelowStorage { flow_temperature_c, storage_temperature_c });
        }
        HotWater { occupants, bedrooms, litres_per_person, storage_c, flow_c, loss_factor }
    }

    /// Bedrooms, as the job says or as its rooms count.
    fn bedrooms(&mut self) -> u32 {
        self.job.dwelling.bedrooms.unwrap_or_else(|| {
            let is_bedroom = |use_of: RoomUse| matches!(use_of, RoomUse::Bedroom | RoomUse::BedroomEnSuite);
            let count = self.job.rooms.values().filter(|room| is_bedroom(room.room_use)).count();
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            self.notes.add(&Assumed::Bedrooms { bedrooms: count });
            count
        })
    }
}

/// A heat source's points as the method takes them.
#[must_use]
pub fn grid(points: &[OperatingPoint]) -> Vec<GridPoint> {
    points.iter().map(GridPoint::from).collect()
}

/// A pump's curve as the method takes it: flow (l/h) and head (kPa).
#[must_use]
pub fn curve(points: &[PumpPoint]) -> Vec<(f64, f64)> {
    points.iter().map(|point| (point.flow_l_h, point.head_kpa)).collect()
}
