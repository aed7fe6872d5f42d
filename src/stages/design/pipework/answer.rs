//! The stage as it is answered.

mod balance;
mod choice;
mod circuits;
mod coils;
mod sections;

pub use balance::SettingRow;
pub use choice::{ArrangementRow, ChoiceRow};
pub use circuits::{CircuitRow, CoolingCircuitRow, HiddenRow, HotWaterCircuitRow};
pub use coils::CoilRow;
pub use sections::SectionRow;

use serde::Serialize;
use utoipa::ToSchema;

use super::Pipework;
use crate::design::emitters::Emitters;
use crate::design::findings::{self, UnmetRow};
use crate::methods::Off;
use crate::methods::pump_laws::hydraulic_power;
use crate::survey::{End, Survey};

/// The two-pipe tree, sized.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PipeworkAnswer {
    /// Runs, in the order from the plant.
    pub sections: Vec<SectionRow>,
    /// The circuit to the outdoor unit, where the job tells it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub primary: Option<SectionRow>,
    /// The circuit to the cylinder, where the job tells it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot_water_circuit: Option<HotWaterCircuitRow>,
    /// What the system takes while floors cool, where the job wants that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling_circuit: Option<CoolingCircuitRow>,
    /// The way from the plant to every end and back.
    pub circuits: Vec<CircuitRow>,
    /// What the circuit with the greatest pressure drop serves: a manifold, or a room and its emitter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index_circuit: Option<String>,
    /// Pressure drop of the plant room (Pa), at the flow of the heat source's own pump.
    pub plant_pressure_drop_pa: f64,
    /// What the pump that carries the system must do.
    pub pump: PumpRow,
    /// How tubes were chosen, what another choice would cost, and what wider tubes buy.
    pub choice: ChoiceRow,
    /// How heat source and system are put together.
    pub arrangement: ArrangementRow,
    /// What lockshields, manifolds and the valves of loops are set to.
    pub balancing: Vec<SettingRow>,
    /// Tubes that nobody can see, by their readings.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub hidden_tubes: Vec<HiddenRow>,
    /// What is cut from which coil of floor tube, loop by loop.
    pub coils: Vec<CoilRow>,
    /// Needs that the design does not meet.
    pub unmet: Vec<UnmetRow>,
    /// Whether every run and the pump are met.
    pub complete: bool,
}

/// What the pump that carries the system must do: the heat source's own, or behind a separation the second one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct PumpRow {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Head of the index circuit (kPa); plant room and primary are in it unless a separation parts them from the system.
    pub head_kpa: f64,
    /// Head that the chosen heat source's own pump has (kPa): at this flow, or behind a separation at the flow of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_head_kpa: Option<f64>,
    /// Power that the water takes (W).
    pub hydraulic_w: f64,
    /// Electricity that it takes (W): by the laws of similarity from its data, or where these tell no power at the efficiency
    /// that tubes are weighed with.
    pub electric_w: f64,
    /// Speed at which the pump that carries the system gives its head, as a share of the full speed of its curve, by the laws
    /// of similarity (0–1); absent where it cannot, or where the duty lies beyond its curve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed: Option<f64>,
}

impl Pipework {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey, emitters: &Emitters) -> PipeworkAnswer {
        let primary = survey.pipes.primary.as_ref().zip(self.primary.as_ref());
        let hydraulic_w = hydraulic_power(self.flow_l_h, self.head_kpa(), &mut Off);
        PipeworkAnswer {
            sections: (0..self.sections.len()).map(|index| self.section(survey, emitters, index)).collect(),
            primary: primary
                .map(|(primary, section)| sections::row(survey, &emitters.water, &primary.run, "plant", section)),
            hot_water_circuit: self.hot_water_row(survey),
            cooling_circuit: self.cooling_row(survey),
            circuits: self.circuits.iter().map(|circuit| circuits::row(survey, circuit)).collect(),
            index_circuit: self.index_circuit.map(|index| serves(survey, self.circuits[index].end)),
            plant_pressure_drop_pa: self.plant_pa,
            pump: PumpRow {
                flow_l_h: self.flow_l_h,
                head_kpa: self.head_kpa(),
                own_head_kpa: self.own.head_kpa,
                hydraulic_w,
                electric_w: self.electric_w.unwrap_or(hydraulic_w / survey.pipes.sizing.pump_efficiency),
                speed: self.speed.map(|found| found.speed),
            },
            choice: self.choice_row(survey),
            arrangement: self.arrangement_row(survey),
            balancing: self.setting_rows(survey),
            hidden_tubes: self.hidden.iter().map(|hidden| circuits::hidden(survey, emitters, hidden)).collect(),
            coils: self.coil_rows(survey),
            unmet: findings::rows(survey, &self.unmet),
            complete: self.unmet.is_empty(),
        }
    }
}

/// What an end is called.
fn serves(survey: &Survey, end: End) -> String {
    match end {
        End::Manifold(manifold) => survey.names.manifolds[manifold].clone(),
        End::Radiator(room, emitter) => {
            format!("{}/{}", survey.names.rooms[room], survey.names.emitters[room][emitter])
        }
    }
}

/// Code of a product of the book.
fn code(survey: &Survey, product: usize) -> Option<String> {
    survey.book.products.get_index(product).map(|(code, _)| code.clone())
}
