//! How heat source and system are put together, as it is answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::design::hydraulics::Hydraulics;
use crate::design::hydraulics::arrangement::{Arrangement, Joined, Reason};
use crate::design::pipework::{Parting, Pipework, code};
use crate::survey::Survey;

/// How heat source and system are put together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ArrangementRow {
    /// `direct`: the heat source's own pump carries the system. `added_water`: the same, and a vessel in the return adds
    /// water. `separated`: a vessel parts it from the system, which a second pump carries.
    pub kind: Cow<'static, str>,
    /// Why, in words.
    pub detail: String,
    /// What speaks against the plainest: `head`, `minimum_flow`, `water`.
    pub reasons: Vec<Cow<'static, str>>,
    /// Flow that is left with every thermostat shut (l/h).
    pub open_flow_l_h: f64,
    /// Least flow of the heat source (l/h), where its data tell it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_flow_l_h: Option<f64>,
    /// Flow of the heat source's own pump (l/h): that of the system, or behind a separation its least if that is more.
    pub unit_flow_l_h: f64,
    /// Head that it carries (kPa): the whole, or before a separation primary and plant room.
    pub unit_head_kpa: f64,
    /// Speed of that pump, as a share of its full speed, where its curve reaches there (0–1).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_speed: Option<f64>,
    /// Water that is open to it with every thermostat shut, before any vessel is added (l).
    pub open_water_l: f64,
    /// Water that it needs then (l), where its data tell it: its own least, or what a defrost cools by 10 K.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_water_l: Option<f64>,
    /// Water that a vessel must add or hold (l), where the arrangement has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel_needed_l: Option<f64>,
    /// Code of the vessel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<String>,
    /// Code of the second pump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump: Option<String>,
    /// Head that the second pump must give (kPa).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump_head_kpa: Option<f64>,
}

impl Hydraulics {
    pub(super) fn arrangement_row(&self, survey: &Survey, pipework: &Pipework) -> ArrangementRow {
        let (found, joining) = (&self.arrangement, &pipework.joining);
        let buffer = found.buffer.map(|index| survey.offer.buffers[index].product);
        let second = found.second_pump.map(|index| survey.offer.circulators[index].product);
        ArrangementRow {
            kind: match found.kind {
                Joined::Direct => "direct".into(),
                Joined::AddedWater => "added_water".into(),
                Joined::Separated => "separated".into(),
            },
            detail: found.words(pipework),
            reasons: found.reasons.iter().map(|reason| reason_code(*reason).into()).collect(),
            open_flow_l_h: joining.open_l_h,
            minimum_flow_l_h: joining.least_l_h,
            unit_flow_l_h: joining.own.flow_l_h,
            unit_head_kpa: self.carried_kpa,
            unit_speed: self.unit_speed.map(|found| found.speed),
            open_water_l: found.open_water_l,
            needed_water_l: found.needed_water_l,
            vessel_needed_l: (found.kind != Joined::Direct).then_some(found.added_water_l),
            vessel: buffer.map(|product| code(survey, product)),
            second_pump: second.map(|product| code(survey, product)),
            second_pump_head_kpa: found.second_head_kpa,
        }
    }
}

impl Arrangement {
    fn words(&self, pipework: &Pipework) -> String {
        let (joining, system_l_h) = (&pipework.joining, pipework.flow_l_h());
        let all_open = joining.open_l_h >= system_l_h * (1.0 - 1e-9);
        if system_l_h <= 0.0 {
            return "nothing flows: no emitter has anything to carry".to_owned();
        }
        let reasons: Vec<String> =
            self.reasons.iter().map(|reason| reason_words(*reason, all_open, self.is_by_defrost)).collect();
        match self.kind {
            Joined::Direct => {
                let own = joining.own.head_kpa.map_or_else(
                    || "no heat source is chosen whose pump could be held against it".to_owned(),
                    |own_kpa| {
                        let head_kpa = pipework.head_kpa();
                        format!("the heat source's own pump has {own_kpa:.1} kPa for the {head_kpa:.1} kPa that the system takes")
                    },
                );
                format!("{own}; what stays open gives it {:.0} l/h and {:.0} l", joining.open_l_h, self.open_water_l)
            }
            Joined::AddedWater => format!(
                "{}: so a vessel in the return adds {:.0} l, and the own pump still carries the system",
                reasons.join("; "),
                self.added_water_l
            ),
            Joined::Separated => {
                let least = joining.least_would_do_kpa.map_or_else(String::new, |kpa| {
                    format!("; tubes at least cost would take {kpa:.1} kPa, which its own pump has: `sizing` decides")
                });
                format!(
                    "{}: so a vessel parts heat source and system, the own pump moves {:.0} l/h through primary and plant room, and a second pump gives the system {:.0} l/h at {:.1} kPa{least}",
                    reasons.join("; "),
                    joining.own.flow_l_h,
                    system_l_h,
                    self.second_head_kpa.unwrap_or(0.0)
                )
            }
        }
    }
}

fn reason_code(reason: Reason) -> &'static str {
    match reason {
        Reason::Parted(Parting::Head { .. }) => "head",
        Reason::Parted(Parting::MinimumFlow { .. }) => "minimum_flow",
        Reason::Water { .. } => "water",
    }
}

fn reason_words(reason: Reason, all_open: bool, is_by_defrost: bool) -> String {
    let with = if all_open { "with everything open" } else { "with every thermostat shut" };
    match reason {
        Reason::Parted(Parting::Head { own_kpa, takes_kpa }) => {
            format!("the system takes {takes_kpa:.1} kPa, and the heat source's own pump has {own_kpa:.1} kPa")
        }
        Reason::Parted(Parting::MinimumFlow { open_l_h, least_l_h }) => {
            let smaller = if all_open { "; a smaller drop would give it more" } else { "" };
            format!("{with} {open_l_h:.0} l/h flow, and the heat source needs {least_l_h:.0} l/h{smaller}")
        }
        Reason::Water { open_l, needed_l } => {
            let what = if is_by_defrost { "a defrost" } else { "the heat source" };
            format!("{with} {open_l:.0} l are open to it, and {what} needs {needed_l:.0} l")
        }
    }
}
