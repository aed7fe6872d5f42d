//! Settings of valves as they are answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::serves;
use crate::design::pipework::{Pipework, SettingOf};
use crate::survey::{End, Survey};

/// What a valve is set to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SettingRow {
    /// `lockshield` of an emitter, `valve_body` where that has the positions in its place and the lockshield stays open, `manifold` for
    /// its regulating valve, or `loop`.
    pub valve: Cow<'static, str>,
    /// What it stands at: a manifold, or a room and its emitter.
    pub at: String,
    /// Number of the loop within its floor, from 1.
    #[serde(rename = "loop", skip_serializing_if = "Option::is_none")]
    pub loop_number: Option<usize>,
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Flow of a loop as flow meters of manifolds show it (l/min).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_l_min: Option<f64>,
    /// Pressure that it must take (Pa): what the index circuit takes more, or the worst loop of the manifold.
    pub excess_pressure_pa: f64,
    /// Flow coefficient that takes it (m³/h at 1 bar), in series with the open valves that the end's own Kv or the loop's holds
    /// already; absent where it stays open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kv_m3_h: Option<f64>,
    /// Flow coefficient that the valve itself must have then, its open resistance in it (m³/h at 1 bar); absent where it stays
    /// open, and where the valve is not of the price book, as that of a radiator that stays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valve_kv_m3_h: Option<f64>,
    /// What stands on the valve there, where it is made with positions: the nearest. Start there, and finish by the measured drop,
    /// within 1 K.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    /// Turns from shut, where it is set by quarter turns: the nearest. Start there, and finish by the measured drop, within 1 K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turns: Option<f64>,
    /// Flow at that setting (l/h), as far as the rest of its way takes what it should.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position_flow_l_h: Option<f64>,
    /// `more_shut` where it would have to be shut further than its first setting, so that more flows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beyond_positions: Option<Cow<'static, str>>,
    /// Flow coefficient of that setting (m³/h at 1 bar).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position_kv_m3_h: Option<f64>,
}

impl Pipework {
    /// What valves are set to.
    pub(in crate::design) fn setting_rows(&self, survey: &Survey) -> Vec<SettingRow> {
        let rows = self.settings.iter().map(|setting| {
            let (valve, at, loop_number) = match setting.of {
                SettingOf::End(end @ End::Radiator(..)) => {
                    let by_position = setting.position.as_ref().is_some_and(|preset| preset.position.is_some());
                    (if by_position { "valve_body" } else { "lockshield" }, serves(survey, end), None)
                }
                SettingOf::End(end @ End::Manifold(_)) => ("manifold", serves(survey, end), None),
                SettingOf::Loop(one) => ("loop", serves(survey, End::Radiator(one.at)), Some(one.number)),
            };
            SettingRow {
                valve: valve.into(),
                at,
                loop_number,
                flow_l_h: setting.flow_l_h,
                flow_l_min: loop_number.map(|_| setting.flow_l_h / 60.0),
                excess_pressure_pa: setting.excess_pa,
                kv_m3_h: setting.kv_m3_h,
                valve_kv_m3_h: setting.valve_kv_m3_h,
                position: setting.position.as_ref().and_then(|preset| preset.position.clone()),
                turns: setting.position.as_ref().and_then(|preset| preset.turns),
                position_flow_l_h: setting.position_l_h,
                beyond_positions: setting.is_beyond.then(|| "more_shut".into()),
                position_kv_m3_h: setting.position.as_ref().map(|preset| preset.kv_m3_h),
            }
        });
        rows.collect()
    }
}
