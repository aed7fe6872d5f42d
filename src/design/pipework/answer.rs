//! The stage as it is answered.

use serde::Serialize;
use utoipa::ToSchema;

use super::{Circuit, Pipework};
use crate::design::emitters::Emitters;
use crate::design::findings::{self, UnmetRow};
use crate::design::units::flow_l_h;
use crate::survey::{End, Survey};

/// The two-pipe tree, sized.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PipeworkAnswer {
    /// Runs, in the order from the plant.
    pub sections: Vec<SectionRow>,
    /// The way from the plant to every end and back.
    pub circuits: Vec<CircuitRow>,
    /// What the circuit with the greatest pressure drop serves: a manifold, or a room and its emitter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index_circuit: Option<String>,
    /// Pressure drop of the plant room at the whole flow (Pa).
    pub plant_pressure_drop_pa: f64,
    /// What the pump must do.
    pub pump: PumpRow,
    /// Needs that the design does not meet.
    pub unmet: Vec<UnmetRow>,
    /// Whether every run and the pump are met.
    pub complete: bool,
}

/// One run with its flow and return tube.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SectionRow {
    /// Id of the run.
    pub id: String,
    /// Id of the run that it leaves from, or `plant`.
    pub from: String,
    /// Code of the tube; absent where none is on offer, and where the run leads only to emitters that are left out: it is not
    /// laid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tube: Option<String>,
    /// Whether the tube lies there already.
    pub existing: bool,
    /// Length of the route, one way (m).
    pub length_m: f64,
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Velocity (m/s).
    pub velocity_m_s: f64,
    /// Greatest velocity that the place allows (m/s).
    pub velocity_max_m_s: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Pressure gradient of the straight tube (Pa/m).
    pub gradient_pa_m: f64,
    /// Sum of loss coefficients, one way.
    pub zeta: f64,
    /// Pressure drop of both legs (Pa).
    pub pressure_drop_pa: f64,
}

/// The way from the plant to an end and back.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CircuitRow {
    /// What it serves: a manifold, or a room and its emitter.
    pub serves: String,
    /// Id of the room whose emitter or loop sets the drop at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Ids of its runs, from the plant.
    pub sections: Vec<String>,
    /// Pressure drop at the end (Pa).
    pub end_pressure_drop_pa: f64,
    /// Pressure drop in all, plant room among it (Pa).
    pub pressure_drop_pa: f64,
}

/// What the pump must do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct PumpRow {
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Head of the index circuit (kPa).
    pub head_kpa: f64,
    /// Head that the chosen heat source's own pump has at this flow (kPa).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_head_kpa: Option<f64>,
}

impl Pipework {
    /// The result with the names of the job.
    #[must_use]
    pub fn answer(&self, survey: &Survey, emitters: &Emitters) -> PipeworkAnswer {
        PipeworkAnswer {
            sections: (0..self.sections.len()).map(|index| self.section(survey, emitters, index)).collect(),
            circuits: self.circuits.iter().map(|circuit| row(survey, circuit)).collect(),
            index_circuit: self.index_circuit.map(|index| serves(survey, self.circuits[index].end)),
            plant_pressure_drop_pa: self.plant_pa,
            pump: PumpRow { flow_l_h: self.flow_l_h, head_kpa: self.head_kpa(), own_head_kpa: self.own_pump_kpa },
            unmet: findings::rows(survey, &self.unmet),
            complete: self.unmet.is_empty(),
        }
    }

    fn section(&self, survey: &Survey, emitters: &Emitters, index: usize) -> SectionRow {
        let (run, section) = (&survey.pipes.runs[index], &self.sections[index]);
        let product = section.tube.map(|tube| survey.offer.tubes[tube].product);
        SectionRow {
            id: run.id.clone(),
            from: run.from.map_or_else(|| "plant".to_owned(), |from| survey.pipes.runs[from].id.clone()),
            tube: product.and_then(|product| survey.book.products.get_index(product)).map(|(code, _)| code.clone()),
            existing: run.existing_tube.is_some(),
            length_m: run.length_m,
            flow_l_h: flow_l_h(section.flow_kg_s, emitters.water.density_kg_m3),
            velocity_m_s: section.velocity_m_s,
            velocity_max_m_s: super::sizing::velocity_limit(survey, run),
            reynolds: section.reynolds,
            gradient_pa_m: section.gradient_pa_m,
            zeta: section.zeta,
            pressure_drop_pa: section.drop_pa,
        }
    }
}

fn row(survey: &Survey, circuit: &Circuit) -> CircuitRow {
    CircuitRow {
        serves: serves(survey, circuit.end),
        room: circuit.room.map(|room| survey.names.rooms[room].clone()),
        sections: circuit.sections.iter().map(|&section| survey.pipes.runs[section].id.clone()).collect(),
        end_pressure_drop_pa: circuit.end_pa,
        pressure_drop_pa: circuit.drop_pa,
    }
}

fn serves(survey: &Survey, end: End) -> String {
    match end {
        End::Manifold(manifold) => survey.names.manifolds[manifold].clone(),
        End::Radiator(room, emitter) => {
            format!("{}/{}", survey.names.rooms[room], survey.names.emitters[room][emitter])
        }
    }
}
