//! What the system takes while floors cool, as it is answered.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::design::hydraulics::{Cooling, Hydraulics};
use crate::design::pipework::serves;
use crate::survey::Survey;

/// What the system takes while floors cool.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CoolingCircuitRow {
    /// Heat that the floors take from their rooms (W).
    pub output_w: f64,
    /// Flow of the whole (l/h).
    pub flow_l_h: f64,
    /// Head of the worst way (kPa), without primary and plant room where a separation parts them from the system.
    pub head_kpa: f64,
    /// The manifold that the worst way serves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index_circuit: Option<String>,
    /// Head that the pump which carries the system has at that flow (kPa): the heat source's own, or behind a separation the
    /// second one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pump_head_kpa: Option<f64>,
}

impl Hydraulics {
    pub(super) fn cooling_row(&self, survey: &Survey) -> Option<CoolingCircuitRow> {
        let Cooling { flow, pump_kpa } = self.cooling.as_ref()?;
        Some(CoolingCircuitRow {
            output_w: flow.output_w,
            flow_l_h: flow.flow_l_h,
            head_kpa: flow.head_kpa,
            index_circuit: flow.index.map(|end| serves(survey, end)),
            pump_head_kpa: *pump_kpa,
        })
    }
}
