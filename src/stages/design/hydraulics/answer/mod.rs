//! Pipes and what the pumps do in them, as they are answered together.

mod arrangement;
mod cooling;
mod words;

pub use arrangement::{ArrangementRow, LeftOpenRow, WayRow};
pub use cooling::CoolingCircuitRow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Hydraulics;
use crate::design::emitters::Emitters;
use crate::design::findings::{self, Pointed, UnmetRow};
use crate::design::pipework::{
    ChoiceRow, CircuitRow, CoilRow, HiddenRow, HotWaterCircuitRow, IndexLoopRow, Pipework, SectionRow, SettingRow,
};
use crate::survey::Survey;

/// The two-pipe tree, sized.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
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
    /// The loop that takes the most there, where that is a manifold.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index_loop: Option<IndexLoopRow>,
    /// Heat that pipes lose outside the heated rooms while the house is heated, as they are laid: in the open, in lofts and
    /// unheated places (W). The heat source was chosen for `plant.heat_source.pipe_loss_w`.
    #[serde(default)]
    #[schema(required = true)]
    pub pipe_loss_w: f64,
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
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
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

impl Hydraulics {
    /// Pipes and pumps with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey, emitters: &Emitters, pipework: &Pipework) -> PipeworkAnswer {
        let (water, joining) = (&emitters.water, &pipework.joining);
        let (flow_l_h, head_kpa) = (pipework.flow_l_h(), pipework.head_kpa());
        let hidden = pipework.hidden.iter().zip(&self.delivered);
        PipeworkAnswer {
            sections: pipework.sections.indices().map(|index| pipework.section_row(survey, water, index)).collect(),
            primary: pipework.primary_row(survey, water),
            hot_water_circuit: pipework.hot_water_row(survey),
            cooling_circuit: self.cooling_row(survey),
            circuits: pipework.circuits.iter().map(|circuit| circuit.row(survey)).collect(),
            index_circuit: pipework.index_row(survey),
            index_loop: pipework.index_loop_row(survey),
            pipe_loss_w: pipework.pipe_loss_w(),
            plant_pressure_drop_pa: joining.own.plant_pa,
            pump: PumpRow {
                flow_l_h,
                head_kpa,
                own_head_kpa: joining.own.head_kpa,
                hydraulic_w: self.hydraulic_w,
                electric_w: self.electric_w,
                speed: self.speed.map(|found| found.speed),
            },
            choice: pipework.choice_row(survey),
            arrangement: self.arrangement_row(survey, emitters, pipework),
            balancing: pipework.setting_rows(survey),
            hidden_tubes: hidden.map(|(hidden, heat)| hidden.row(survey, water, heat.as_ref())).collect(),
            coils: pipework.coil_rows(survey),
            unmet: [findings::rows(survey, &pipework.unmet), findings::rows(survey, &self.unmet)].concat(),
            complete: pipework.unmet.is_empty() && self.unmet.is_empty(),
        }
    }
}

impl Pointed for PipeworkAnswer {
    fn pointers(&mut self) -> Vec<&mut String> {
        self.unmet.iter_mut().map(|row| &mut row.pointer).collect()
    }
}
