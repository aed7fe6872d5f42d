//! Points of the tables that products bring: outputs, curves and speeds.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::methods::MethodError;
use crate::methods::fan_convector::{FanConvector, Outputs};
use crate::methods::performance_map::GridPoint;

/// One point of a heat source's output.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OperatingPoint {
    /// Outside air temperature, °C.
    #[schema(minimum = -40, maximum = 50)]
    pub outside_c: f64,
    /// Flow temperature, °C.
    #[schema(minimum = 5, maximum = 90)]
    pub flow_c: f64,
    /// Full output, W.
    #[schema(exclusive_minimum = 0, maximum = 1_000_000)]
    pub capacity_w: f64,
    /// Output over electricity taken, at full output.
    #[schema(exclusive_minimum = 0, maximum = 20)]
    pub cop: f64,
}

impl From<&OperatingPoint> for GridPoint {
    fn from(point: &OperatingPoint) -> Self {
        let OperatingPoint { outside_c, flow_c, capacity_w, cop } = *point;
        Self { outside_c, flow_c, capacity_w, cop }
    }
}

/// One point of a pump's curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PumpPoint {
    /// Flow, l/h.
    #[schema(minimum = 0, maximum = 100_000)]
    pub flow_l_h: f64,
    /// Head that is left for the system at this flow, kPa.
    #[schema(minimum = 0, maximum = 2_000)]
    pub head_kpa: f64,
    /// Electricity that the pump takes there at full speed, W; at every point of a curve or at none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 10_000)]
    pub power_w: Option<f64>,
}

/// One setting of a valve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ValvePreset {
    /// What stands on the valve, where it is made with positions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(min_length = 1, max_length = 20)]
    pub position: Option<String>,
    /// Turns from shut, in quarters, where it is set by turning it open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0, maximum = 50)]
    pub turns: Option<f64>,
    /// Flow coefficient there, m³/h at 1 bar.
    #[schema(exclusive_minimum = 0, maximum = 100)]
    pub kv_m3_h: f64,
}

/// Output of a floor board under one covering, as tested to EN 1264-2.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardOutput {
    /// Resistance of the covering, m²K/W.
    #[schema(minimum = 0, maximum = 1)]
    pub covering_m2k_w: f64,
    /// Output by kelvin of mean excess of the water over the room, W/(m²K). A table in W/m² at a mean excess of the
    /// water is divided by that excess.
    #[schema(exclusive_minimum = 0, maximum = 20)]
    pub output_w_m2k: f64,
    /// Output at which the warmest spot of the surface is 9 K above the room, W/m².
    #[schema(exclusive_minimum = 0, maximum = 200)]
    pub limit_w_m2: f64,
}

/// One speed of the fan of a fan convector.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FanSpeed {
    /// Power that the fan takes, W.
    #[schema(minimum = 0, maximum = 2_000)]
    pub fan_w: f64,
    /// Air that it moves, m³/h.
    #[schema(exclusive_minimum = 0, maximum = 10_000)]
    pub air_m3_h: f64,
    /// Sound power level, dB.
    #[schema(minimum = 0, maximum = 120)]
    pub sound_db: f64,
}

/// Output of a fan convector at one difference and one speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FanOutput {
    /// Mean temperature of the water less that of the room's air, K.
    #[schema(exclusive_minimum = 0, maximum = 90)]
    pub difference_k: f64,
    /// Speed, counted from 1.
    #[schema(minimum = 1, maximum = 10)]
    pub speed: u32,
    /// Output, W.
    #[schema(exclusive_minimum = 0, maximum = 50_000)]
    pub output_w: f64,
}

/// The table of a fan convector.
///
/// # Errors
/// [`MethodError::Impossible`] where the points are no whole table, or do not rise as they must.
pub fn fan_table(speeds: &[FanSpeed], outputs: &[FanOutput]) -> Result<FanConvector, MethodError> {
    let mut points = outputs.to_vec();
    points.sort_by(|a, b| a.difference_k.total_cmp(&b.difference_k).then(a.speed.cmp(&b.speed)));
    let rows: Vec<&[FanOutput]> = points.chunk_by(|a, b| a.difference_k.total_cmp(&b.difference_k).is_eq()).collect();
    if !rows.iter().all(|row| row.iter().map(|point| point.speed).eq(1..=u32::try_from(speeds.len()).unwrap_or(0))) {
        return Err(MethodError::Impossible { reason: "each difference needs an output for each speed, once" });
    }
    let outputs_w = |row: &[FanOutput]| row.iter().map(|point| point.output_w).collect();
    let rows = rows.iter().map(|row| Outputs { difference_k: row[0].difference_k, outputs_w: outputs_w(row) });
    FanConvector::new(rows.collect(), speeds.iter().map(|speed| speed.fan_w).collect())
}
