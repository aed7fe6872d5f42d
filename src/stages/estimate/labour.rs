//! Labour hours from task norms and the quantities of the design.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::EstimateError;
use super::takeoff::Quantities;
use crate::catalogue::labour::{self as norms, Labour, Per};
use crate::money::{Money, hundredths};
use crate::survey::{Commercial, FLOOR_BUILD, Survey};

/// A task with its hours and cost.
#[expect(clippy::struct_field_names, reason = "the row's own id is called as in the answer")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = TaskRow)]
pub struct Task {
    /// Id of the task.
    pub task: String,
    /// Visit that it falls to.
    pub visit: String,
    /// Hours for one of what it is counted per (h).
    pub norm_h: f64,
    /// What it is counted per.
    pub per: Per,
    /// How much of that there is.
    pub quantity: f64,
    /// Hours, half-up to the hundredth (h).
    pub labour_h: f64,
    /// Cost to the firm.
    pub cost: Money,
    /// Cost with the mark-up.
    pub net: Money,
    /// Supply for tax.
    pub supply: String,
}

/// The tasks of a design, in the order of the price book; those with nothing to do are left out.
pub(super) fn tasks(
    survey: &Survey,
    commercial: &Commercial,
    quantities: &Quantities,
) -> Result<Vec<Task>, EstimateError> {
    let labour = &survey.book.labour;
    let quantities = quantities.by_norms_of(labour);
    let mut tasks = Vec::with_capacity(labour.tasks.len());
    for (id, task) in &labour.tasks {
        let quantity = quantity(task.per, &quantities);
        if quantity <= 0.0 {
            continue;
        }
        let labour_h = hundredths(task.labour_h, quantity).ok_or(EstimateError::TooLarge)?;
        let cost = labour.hourly_cost.times(labour_h).ok_or(EstimateError::TooLarge)?;
        let net = cost.marked_up(commercial.labour_margin).ok_or(EstimateError::TooLarge)?;
        tasks.push(Task {
            task: id.clone(),
            visit: task.visit.clone(),
            norm_h: task.labour_h,
            per: task.per,
            quantity,
            labour_h,
            cost,
            net,
            supply: supply(commercial, task).to_owned(),
        });
    }
    Ok(tasks)
}

/// The supply of a task: who lays boards by the floor's area insulates.
fn supply<'t>(commercial: &Commercial, task: &'t norms::Task) -> &'t str {
    let is_insulation = task.per == Per::FloorM2 && task.supply == FLOOR_BUILD;
    if is_insulation { commercial.insulation_supply() } else { &task.supply }
}

/// What a design has of which the price book counts no hours, and how much; a norm of no hours counts.
pub(super) fn without_norm(survey: &Survey, quantities: &Quantities) -> Vec<(Per, f64)> {
    let labour = &survey.book.labour;
    let quantities = quantities.by_norms_of(labour);
    let is_counted = |per: Per| match per {
        // laid in the hours of the floor
        Per::ScreedM2 => labour.counts(per) || labour.counts(Per::FloorM2),
        // set in the hours of the job
        Per::HeatSource | Per::Cylinder => labour.counts(per) || labour.counts(Per::Job),
        // hung in the hours of radiators; tested, filled, flushed and started in those of the job
        Per::TowelRail
        | Per::FanConvector
        | Per::Loop
        | Per::EmitterServed
        | Per::End
        | Per::KeptSystem
        | Per::RadiatorKept => true,
        Per::FloorM2
        | Per::LoopM
        | Per::Manifold
        | Per::TubeM
        | Per::InsulationM
        | Per::BufferVessel
        | Per::BypassValve
        | Per::RoomThermostat
        | Per::Radiator
        | Per::RadiatorRemoved
        | Per::Job
        | Per::SystemL => labour.counts(per),
    };
    let all = Per::ALL.iter().filter(|per| !is_counted(**per)).map(|per| (*per, quantity(*per, &quantities)));
    all.filter(|(_, quantity)| *quantity > 0.0).collect()
}

impl Quantities {
    /// The same, with towel rails and fan convectors among the radiators where no norm is counted per these.
    fn by_norms_of(&self, labour: &Labour) -> Self {
        let unless_counted = |per: Per, quantity: f64| if labour.counts(per) { 0.0 } else { quantity };
        let towel_rails = unless_counted(Per::TowelRail, self.towel_rails);
        let fan_convectors = unless_counted(Per::FanConvector, self.fan_convectors);
        Self { radiators: self.radiators + towel_rails + fan_convectors, ..*self }
    }
}

fn quantity(per: Per, quantities: &Quantities) -> f64 {
    match per {
        Per::FloorM2 => quantities.floor_m2,
        Per::ScreedM2 => quantities.screed_m2,
        Per::LoopM => quantities.loop_m,
        Per::Manifold => quantities.manifolds,
        Per::TubeM => quantities.tube_m,
        Per::InsulationM => quantities.insulation_m,
        Per::HeatSource => quantities.heat_sources,
        Per::Cylinder => quantities.cylinders,
        Per::BufferVessel => quantities.buffer_vessels,
        Per::BypassValve => quantities.bypass_valves,
        Per::RoomThermostat => quantities.room_thermostats,
        Per::Radiator => quantities.radiators,
        Per::TowelRail => quantities.towel_rails,
        Per::FanConvector => quantities.fan_convectors,
        Per::RadiatorRemoved => quantities.radiators_removed,
        Per::Loop => quantities.loops,
        Per::EmitterServed => quantities.emitters_served,
        Per::End => quantities.emitters_served + quantities.manifolds,
        Per::KeptSystem => quantities.kept_systems,
        Per::RadiatorKept => quantities.radiators_kept,
        Per::Job => 1.0,
        Per::SystemL => quantities.system_l,
    }
}
