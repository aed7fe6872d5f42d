//! Circuits and hidden tubes as they are answered.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::sections::{self, SectionRow};
use super::{code, serves};
use crate::design::pipework::hidden::{self, Delivered, Hidden, WithPump};
use crate::design::pipework::{Circuit, Pipework, options};
use crate::design::units::kpa;
use crate::methods::water::Liquid;
use crate::survey::{Run, Survey};

/// The way from the plant to an end and back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
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
    /// Pressure drop in all (Pa): plant room and primary among it, unless a separation parts them from the system.
    pub pressure_drop_pa: f64,
}

/// The circuit to the cylinder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HotWaterCircuitRow {
    /// Its run, while hot water is made.
    pub section: SectionRow,
    /// Pressure drop of the coil (Pa).
    pub coil_pressure_drop_pa: f64,
    /// Pressure drop of the primary at that flow (Pa).
    pub primary_pressure_drop_pa: f64,
    /// Pressure drop of the plant room at that flow (Pa).
    pub plant_pressure_drop_pa: f64,
    /// Head of the whole way (kPa).
    pub head_kpa: f64,
    /// Head that the chosen heat source's own pump has at that flow (kPa).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_head_kpa: Option<f64>,
}

/// A tube that nobody can see, by its readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HiddenRow {
    /// Id of its run.
    pub section: String,
    /// Bores and lengths that explain the readings. Readings of flow and pressure tell their product alone, so that no
    /// reading can tell which pair it is.
    pub pairs: Vec<PairRow>,
    /// What the readings can and cannot tell, in words.
    pub detail: String,
    /// Likely pressure drop at the quoted flow (Pa), by the pair that fits readings and route best.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure_drop_pa: Option<f64>,
    /// Least of all pairs (Pa): it lies lower in one case of twenty at most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure_drop_least_pa: Option<f64>,
    /// Greatest of all pairs (Pa), which the design bears: it lies higher in one case of twenty at most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure_drop_greatest_pa: Option<f64>,
    /// Heat that is asked of it at the quoted flow temperature (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_wanted_w: Option<f64>,
    /// Heat that it likely delivers (W), no more than is asked of it: with the heat source's own pump in one circuit, with the second pump
    /// behind a separation, or with the strongest circulator on sale where none is enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_w: Option<f64>,
    /// Heat that it delivers at least with that pump (W).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_least_w: Option<f64>,
    /// What it delivers with each pump that may carry the system.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub pumps: Vec<HiddenPumpRow>,
}

/// Heat that a hidden tube delivers with a pump at full speed: all valves as they are set, emitters by their own laws at the flow that
/// comes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HiddenPumpRow {
    /// Which pump: `own` for the heat source's own, in one circuit with the system; `second` for the one behind a separation, where there
    /// is one; `strongest` for the strongest circulator of the price book, behind a separation.
    pub pump: Cow<'static, str>,
    /// Code of the circulator; absent for the heat source's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub circulator: Option<String>,
    /// Heat that it likely delivers (W).
    pub heat_w: f64,
    /// Heat that it delivers with the greatest drop that the readings allow (W).
    pub heat_least_w: f64,
}

/// A bore and a length that explain the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PairRow {
    /// Code of a tube with that bore.
    pub tube: String,
    /// Bore (mm).
    pub bore_mm: f64,
    /// Straight length, flow and return together (m): it takes what the bends and fittings that the run tells leave of the pressure, and
    /// bends that it does not tell are part of it.
    pub length_m: f64,
    /// Relative standard deviation of that length.
    pub spread: f64,
    /// Velocity at the quoted flow (m/s).
    pub velocity_m_s: f64,
    /// Pressure drop at the quoted flow (Pa).
    pub pressure_drop_pa: f64,
    /// Whether the quoted flow or one of the readings lies between laminar and turbulent there, where either law may hold: the
    /// least and the greatest drop reach from the one to the other.
    pub transition: bool,
}

impl Circuit {
    /// The circuit with the names of the job.
    pub(in crate::design) fn row(&self, survey: &Survey) -> CircuitRow {
        CircuitRow {
            serves: serves(survey, self.end),
            room: self.room.map(|room| survey.names.rooms[room].clone()),
            sections: self.sections.iter().map(|&section| survey.pipes.runs[section].id.clone()).collect(),
            end_pressure_drop_pa: self.end_pa,
            pressure_drop_pa: self.drop_pa,
        }
    }
}

impl Pipework {
    pub(in crate::design) fn hot_water_row(&self, survey: &Survey) -> Option<HotWaterCircuitRow> {
        let (circuit, found) = (survey.pipes.hot_water.as_ref()?, self.hot_water.as_ref()?);
        Some(HotWaterCircuitRow {
            section: sections::row(survey, &found.liquid, &circuit.run, "plant", &found.section),
            coil_pressure_drop_pa: found.coil_pa,
            primary_pressure_drop_pa: found.primary_pa,
            plant_pressure_drop_pa: found.plant_pa,
            head_kpa: found.head_kpa(),
            own_head_kpa: found.own_kpa,
        })
    }
}

impl Hidden {
    /// The tube with the names of the job; with the heat that it delivers, where that is known.
    pub(in crate::design) fn row(&self, survey: &Survey, water: &Liquid, heat: Option<&Delivered>) -> HiddenRow {
        let run = &survey.pipes.runs[self.run];
        let flow_kg_s = self.flow_kg_s;
        let pairs = self.pairs.iter().zip(&self.tubes).map(|((pair, carried), &tube)| {
            let bore = options::bore(survey, tube);
            PairRow {
                tube: code(survey, survey.offer.tubes[tube].product),
                bore_mm: bore.inside_diameter_mm,
                length_m: pair.length_m,
                spread: pair.length_spread,
                velocity_m_s: hidden::velocity_m_s(bore, flow_kg_s, water),
                pressure_drop_pa: carried.drop_pa,
                transition: carried.is_transition,
            }
        });
        let drop_pa = self.drop_pa();
        let standing = heat.and_then(Delivered::standing);
        let [least_pa, likely_pa, greatest_pa] = [0, 1, 2].map(|which| drop_pa.map(|drop_pa| drop_pa[which]));
        HiddenRow {
            section: run.id.clone(),
            pairs: pairs.collect(),
            detail: words(survey, self, run),
            pressure_drop_pa: likely_pa,
            pressure_drop_least_pa: least_pa,
            pressure_drop_greatest_pa: greatest_pa,
            heat_wanted_w: heat.map(|heat| heat.wanted_w),
            heat_w: standing.map(|with| with.likely_w),
            heat_least_w: standing.map(|with| with.least_w),
            pumps: heat.map_or_else(Vec::new, |heat| heat.pumps.iter().map(|with| with.row(survey)).collect()),
        }
    }
}

impl WithPump {
    fn row(&self, survey: &Survey) -> HiddenPumpRow {
        HiddenPumpRow {
            pump: self.by.code().into(),
            circulator: self.circulator.map(|index| code(survey, survey.offer.circulators[index].product)),
            heat_w: self.likely_w,
            heat_least_w: self.least_w,
        }
    }
}

fn words(survey: &Survey, found: &Hidden, run: &Run) -> String {
    if found.pairs.is_empty() {
        return "no bore on offer explains these readings within their spread and the lengths that the route allows: take them \
                again, or look at the tube"
            .to_owned();
    }
    let drops = found.drop_pa().map_or_else(String::new, |[low_pa, likely_pa, high_pa]| {
        format!(
            "; at the quoted flow it takes {:.1} kPa, in nine cases of ten between {:.1} and {:.1} kPa",
            kpa(likely_pa),
            kpa(low_pa),
            kpa(high_pa)
        )
    });
    let one = if hidden::is_one_flow(survey, run) {
        " Read at one flow alone, they tell even less apart: read at a second one."
    } else {
        ""
    };
    if found.pairs.len() == 1 {
        return format!(
            "of the bores on offer one alone explains the readings within the length of the route{drops}.{one}"
        );
    }
    format!(
        "readings of flow and pressure cannot tell bore and length apart: {} pairs explain them{drops}.{one}",
        found.pairs.len()
    )
}
