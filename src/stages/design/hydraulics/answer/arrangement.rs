//! How heat source and system are put together, as it is answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::design::emitters::Emitters;
use crate::design::hydraulics::Hydraulics;
use crate::design::pipework::{Joining, LeftOpen, Pipework, Way, code};
use crate::money::Money;
use crate::notes::Term as _;
use crate::survey::Survey;

/// How heat source and system are put together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ArrangementRow {
    /// `direct`: the heat source's own pump carries the system, and what stays open is enough. `added_water`: the same, and a vessel
    /// in the return adds water. `bypass`, `bypass_added_water`: a bypass in the plant room lets flow through where thermostats
    /// shut, without or with such a vessel. `separated`: a vessel parts it from the system, which a second pump carries.
    pub kind: Cow<'static, str>,
    /// Why, in words.
    pub detail: String,
    /// What speaks against the plainest: `head`, `greatest_flow`, `minimum_flow`, `water`.
    pub reasons: Vec<Cow<'static, str>>,
    /// What stays open whatever thermostats shut: none of it has a thermostatic head, and that of a radiator that stays comes off.
    #[serde(default)]
    #[schema(required = true)]
    pub stays_open: Vec<LeftOpenRow>,
    /// Id of the room where the sensor of the heat source's control belongs: of those that stay open the one with the greatest flow,
    /// bathrooms and bedrooms left out. Absent where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_sensor: Option<String>,
    /// Flow through what stays open with every thermostat shut (l/h), beside a bypass where there is one: at the full speed of the pump
    /// that carries it, or as far as no radiator's valves are heard (`default:valve_quiet_kpa` kPa).
    pub open_flow_l_h: f64,
    /// Least flow of the heat source (l/h), where its data tell it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_flow_l_h: Option<f64>,
    /// Greatest flow of the heat source (l/h): by its data, or what its pump gives.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maximum_flow_l_h: Option<f64>,
    /// Flow of the heat source's own pump (l/h): that of the system, or behind a separation its least if that is more.
    pub unit_flow_l_h: f64,
    /// Head that it carries (kPa): the whole, or before a separation primary and plant room.
    pub unit_head_kpa: f64,
    /// Speed of that pump, as a share of its full speed, where its curve reaches there (0–1).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_speed: Option<f64>,
    /// Why that is not there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_speed_why_not: Option<String>,
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
    /// Code of the bypass valve.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bypass: Option<String>,
    /// Flow coefficient that the bypass is set to, so that the least flow goes round (m³/h at 1 bar).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bypass_kv_m3_h: Option<f64>,
    /// Code of the second pump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump: Option<String>,
    /// Head that the second pump must give (kPa).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second_pump_head_kpa: Option<f64>,
    /// Every way that was looked at, the plainest first: the cheapest that holds is taken, and where none does the last. Nothing
    /// beside the plainest is looked at where that holds.
    #[serde(default)]
    #[schema(required = true)]
    pub ways: Vec<WayRow>,
}

/// An emitter that stays open.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LeftOpenRow {
    /// Id of its room.
    pub room: String,
    /// Id of the emitter.
    pub emitter: String,
    /// Why: `asked_for`, `no_thermostat`, `fan_follows_the_room`, `bathroom_or_hall` or `living_room_or_kitchen`.
    pub reason: Cow<'static, str>,
    /// By how much its room gets warmer in design conditions than it is designed for (K).
    pub above_set_k: f64,
}

/// A way to join heat source and system.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WayRow {
    /// As `kind` of the arrangement.
    pub kind: Cow<'static, str>,
    /// Whether it gives the heat source flow and water.
    pub holds: bool,
    /// Hours that it adds (h).
    pub labour_h: f64,
    /// What it adds to the firm's cost, before mark-up: bypass, vessel and second pump with these hours, and other tubes and valves
    /// than the plainest way has. Absent where the price book has not what it takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
    /// Flow of the heat source with every thermostat shut (l/h).
    pub flow_l_h: f64,
    /// Water that is open to it then, that of a vessel among it (l).
    pub water_l: f64,
}

impl Hydraulics {
    /// Why the heat source's own pump has no speed.
    fn unit_speed_why_not(&self, joining: &Joining) -> Option<String> {
        let why_not = match (self.unit_speed, joining.own.head_kpa) {
            (Some(_), _) => return None,
            (None, _) if self.carried_kpa <= 0.0 => "it has nothing to carry".to_owned(),
            (None, None) => "no heat source is chosen".to_owned(),
            (None, Some(own_kpa)) if own_kpa < self.carried_kpa => {
                format!("at full speed it has {own_kpa:.1} kPa of the {:.1} kPa that it should carry", self.carried_kpa)
            }
            (None, Some(_)) => "its curve does not reach so far, at a lower speed either".to_owned(),
        };
        Some(why_not)
    }

    pub(super) fn arrangement_row(&self, survey: &Survey, emitters: &Emitters, pipework: &Pipework) -> ArrangementRow {
        let (joining, way) = (&pipework.joining, pipework.joining.way());
        let buffer = way.buffer.map(|index| survey.offer.buffers[index].product);
        let bypass = way.bypass.map(|(index, _)| survey.offer.bypasses[index].product);
        let second = self.arrangement.second_pump.map(|index| survey.offer.circulators[index].product);
        ArrangementRow {
            kind: way.kind.code().into(),
            detail: words::words(self, survey, pipework),
            reasons: joining.reasons(survey).into_iter().map(|reason| words::code(reason).into()).collect(),
            stays_open: way.open.left.iter().map(|left| left_open(survey, left)).collect(),
            room_sensor: joining.room_sensor(survey, emitters).map(|room| survey.names.rooms[room].clone()),
            open_flow_l_h: way.open.mild.flow_l_h,
            minimum_flow_l_h: joining.needs.least_l_h,
            maximum_flow_l_h: joining.needs.most_l_h,
            unit_flow_l_h: joining.own.flow_l_h,
            unit_head_kpa: self.carried_kpa,
            unit_speed: self.unit_speed.map(|found| found.speed),
            unit_speed_why_not: self.unit_speed_why_not(joining),
            open_water_l: way.open.mild.water_l,
            needed_water_l: joining.needs.water_l,
            vessel_needed_l: way.kind.has_vessel().then_some(way.added_water_l),
            vessel: buffer.filter(|_| way.kind.has_vessel()).map(|product| code(survey, product)),
            bypass: bypass.map(|product| code(survey, product)),
            bypass_kv_m3_h: way.bypass.map(|(_, kv_m3_h)| kv_m3_h).filter(|kv_m3_h| *kv_m3_h > 0.0),
            second_pump: second.map(|product| code(survey, product)),
            second_pump_head_kpa: self.arrangement.second_head_kpa,
            ways: joining.ways.iter().map(way_row).collect(),
        }
    }
}

fn left_open(survey: &Survey, left: &LeftOpen) -> LeftOpenRow {
    let (room, emitter) = survey.names.emitter(left.at);
    LeftOpenRow {
        room: room.to_owned(),
        emitter: emitter.to_owned(),
        reason: left.why.code().into(),
        above_set_k: left.warms_k,
    }
}

fn way_row(way: &Way) -> WayRow {
    WayRow {
        kind: way.kind.code().into(),
        holds: way.holds,
        labour_h: way.labour_h,
        cost: way.cost,
        flow_l_h: way.left.flow_l_h,
        water_l: way.left.water_l,
    }
}
