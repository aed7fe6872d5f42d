//! Labour norms: hours per task. The shipped ones are invented.

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::{CatalogueError, Problem};
use super::provenance::Confidence;
use super::rows::{self, data_file};
use crate::intake::ById;
use crate::money::Money;
use crate::terms;

/// Tasks by id, in the order given.
pub type Tasks = ById<Task, 0, 500>;

/// What a norm's hours are counted per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// Square metre of heated floor.
    FloorM2,
    /// Square metre of heated floor that gets a screed.
    ScreedM2,
    /// Metre of floor loop.
    LoopM,
    /// Manifold.
    Manifold,
    /// Metre of tube in the runs, both legs.
    TubeM,
    /// Metre of tube insulated in the runs, both legs.
    InsulationM,
    /// Heat source set.
    HeatSource,
    /// Hot-water cylinder set.
    Cylinder,
    /// Buffer vessel set, with the pump behind it.
    BufferVessel,
    /// Bypass valve set.
    BypassValve,
    /// Room thermostat of a heated floor fitted, with the actuators of its loops.
    RoomThermostat,
    /// Radiator hung; towel rails and fan convectors too, where no norm is counted per these.
    Radiator,
    /// Towel rail hung.
    TowelRail,
    /// Fan convector hung, and its electricity connected.
    FanConvector,
    /// Old radiator taken out.
    RadiatorRemoved,
    /// Loop of a heated floor.
    Loop,
    /// Radiator, towel rail or fan convector that the system serves, new or not.
    EmitterServed,
    /// End of the pipework: one of these, or a manifold.
    End,
    /// System of which tubes or radiators stay, once.
    KeptSystem,
    /// Radiator that stays.
    RadiatorKept,
    /// The whole job, once.
    Job,
    /// Litre of system water.
    SystemL,
}

terms! {
    codes of Per {
        FloorM2: "floor_m2";
        ScreedM2: "screed_m2";
        LoopM: "loop_m";
        Manifold: "manifold";
        TubeM: "tube_m";
        InsulationM: "insulation_m";
        HeatSource: "heat_source";
        Cylinder: "cylinder";
        BufferVessel: "buffer_vessel";
        BypassValve: "bypass_valve";
        RoomThermostat: "room_thermostat";
        Radiator: "radiator";
        TowelRail: "towel_rail";
        FanConvector: "fan_convector";
        RadiatorRemoved: "radiator_removed";
        Loop: "loop";
        EmitterServed: "emitter_served";
        End: "end";
        KeptSystem: "kept_system";
        RadiatorKept: "radiator_kept";
        Job: "job";
        SystemL: "system_l";
    }
}

impl Per {
    /// What it is, in words, and the unit of its quantity; none for what is counted.
    #[must_use]
    pub fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::FloorM2 => ("square metre of underfloor heating", "m²"),
            Self::ScreedM2 => ("square metre of screed", "m²"),
            Self::LoopM => ("metre of floor loop", "m"),
            Self::Manifold => ("manifold", ""),
            Self::TubeM => ("metre of pipe in the runs", "m"),
            Self::InsulationM => ("metre of pipe insulated", "m"),
            Self::HeatSource => ("heat source set", ""),
            Self::Cylinder => ("cylinder set", ""),
            Self::BufferVessel => ("buffer vessel", ""),
            Self::BypassValve => ("bypass valve", ""),
            Self::RoomThermostat => ("room thermostat", ""),
            Self::Radiator => ("radiator hung", ""),
            Self::TowelRail => ("towel rail hung", ""),
            Self::FanConvector => ("fan convector hung", ""),
            Self::RadiatorRemoved => ("radiator taken out", ""),
            Self::Loop => ("loop of underfloor heating", ""),
            Self::EmitterServed => ("radiator, towel rail or fan convector of the system", ""),
            Self::End => ("end of the pipework, an emitter or a manifold", ""),
            Self::KeptSystem => ("system of which something stays", ""),
            Self::RadiatorKept => ("radiator that stays", ""),
            Self::Job => ("job", ""),
            Self::SystemL => ("litre of system water", "l"),
        }
    }
}

/// A task and its norm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// Visit that the task falls to.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub visit: String,
    /// Hours for one of what it is counted per, h.
    #[schema(minimum = 0, maximum = 1_000)]
    pub labour_h: f64,
    /// What the hours are counted per.
    pub per: Per,
    /// Supply that the task belongs to, for tax.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub supply: String,
}

/// Labour of a price book.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Labour {
    /// What an hour of one person costs the firm.
    pub hourly_cost: Money,
    /// Tasks by id.
    pub tasks: Tasks,
}

impl Labour {
    /// Whether a norm is counted per this.
    #[must_use]
    pub fn counts(&self, per: Per) -> bool {
        self.tasks.values().any(|task| task.per == per)
    }

    /// What does not agree; pointers start at the labour.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        if self.hourly_cost.is_negative() {
            vec![Problem::new("/hourly_cost", "an hour cannot cost less than nothing")]
        } else {
            Vec::new()
        }
    }
}

/// A line of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    code: String,
    visit: String,
    labour_h: f64,
    per: Per,
    supply: String,
    #[serde(rename = "source")]
    _source: String,
    #[serde(rename = "confidence")]
    _confidence: Confidence,
}

/// The shipped tasks.
pub(super) fn read() -> Result<Tasks, CatalogueError> {
    let file = data_file!("labour.csv");
    let mut tasks = IndexMap::new();
    for Row { code, visit, labour_h, per, supply, .. } in rows::typed(file)? {
        if tasks.contains_key(&code) {
            return Err(CatalogueError::File { file: file.name, detail: format!("{code} stands twice") });
        }
        tasks.insert(code, Task { visit, labour_h, per, supply });
    }
    Ok(tasks.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_of_counting_has_a_task_with_hours() {
        let tasks = read().unwrap();
        // the shipped screeds are bought laid
        for per in Per::ALL.iter().filter(|per| **per != Per::ScreedM2) {
            assert!(tasks.values().any(|task| task.per == *per), "{per:?}");
        }
        assert!(tasks.values().all(|task| task.labour_h > 0.0));
    }

    #[test]
    fn ways_of_counting_are_written_with_their_unit() {
        let written = |per: Per| serde_json::to_value(per).unwrap();
        assert_eq!(written(Per::FloorM2), "floor_m2");
        assert_eq!(written(Per::SystemL), "system_l");
    }

    #[test]
    fn an_hour_below_nothing_is_a_problem() {
        let labour = Labour { hourly_cost: Money::from_pennies(-1), tasks: Tasks::default() };
        assert_eq!(labour.problems()[0].pointer, "/hourly_cost");
    }
}
