//! The second pump behind a separation.

use crate::catalogue::offer::Circulator;
use crate::design::pipework::{Pipework, second_pump};
use crate::list::Index;
use crate::methods::MethodError;
use crate::survey::Survey;

/// What carries the system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrangement {
    /// Index into the circulators on offer, for the second pump.
    pub second_pump: Option<Index<Circulator>>,
    /// Head that it must give (kPa).
    pub second_head_kpa: Option<f64>,
}

/// Chooses it; `cooling` is flow and head while floors cool (l/h, kPa).
pub(super) fn arrange(
    survey: &Survey,
    pipework: &Pipework,
    cooling: Option<(f64, f64)>,
) -> Result<Arrangement, MethodError> {
    let heating = (pipework.flow_l_h(), pipework.head_kpa());
    if !pipework.joining.is_separated() {
        return Ok(Arrangement { second_pump: None, second_head_kpa: None });
    }
    Ok(Arrangement { second_pump: second_pump(survey, heating, cooling)?, second_head_kpa: Some(pipework.head_kpa()) })
}
