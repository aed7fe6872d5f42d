//! What a summary reads of a proposal. It is read from the answer itself, so that whoever has the answer, in the
//! program or over HTTP, gets the same page.

use serde::Deserialize;

use crate::money::Money;

#[derive(Deserialize)]
pub(super) struct Proposal {
    pub heat_loss: HeatLoss,
    pub emitters: Emitters,
    pub pipework: Pipework,
    pub plant: Plant,
    pub bill: Bill,
    pub programme: Programme,
    pub price: Price,
    pub notes: Notes,
}

#[derive(Deserialize)]
pub(super) struct HeatLoss {
    pub outside_design_c: f64,
    pub rooms: Vec<RoomLoss>,
    pub dwelling: DwellingLoss,
}

#[derive(Deserialize)]
pub(super) struct RoomLoss {
    pub room: String,
    pub inside_design_c: f64,
    pub floor_area_m2: f64,
    pub design_heat_loss_w: f64,
}

#[derive(Deserialize)]
pub(super) struct DwellingLoss {
    pub design_heat_loss_w: f64,
}

#[derive(Deserialize)]
pub(super) struct Emitters {
    pub flow_temperature_c: f64,
    pub rooms: Vec<RoomEmitters>,
    pub unmet: Vec<Unmet>,
}

#[derive(Deserialize)]
pub(super) struct RoomEmitters {
    pub room: String,
    pub emitters: Vec<Emitter>,
}

#[derive(Deserialize)]
pub(super) struct Emitter {
    #[serde(rename = "emitter")]
    pub id: String,
    pub kind: String,
    pub product: Option<String>,
    pub strongest: Option<String>,
    pub standing: Option<String>,
    pub output_w: f64,
    pub flow_l_h: f64,
    pub return_temperature_c: f64,
    pub area_m2: Option<f64>,
    pub spacing_mm: Option<f64>,
    #[serde(default)]
    pub loops: Vec<Loop>,
    pub floor: Option<Floor>,
}

#[derive(Deserialize)]
pub(super) struct Floor {
    pub greatest_covering: Option<Covering>,
    pub edge_zone: Option<EdgeZone>,
}

#[derive(Deserialize)]
pub(super) struct EdgeZone {
    pub area_m2: f64,
    pub spacing_mm: f64,
}

#[derive(Deserialize)]
pub(super) struct Covering {
    pub tog: f64,
    pub tables_end: bool,
}

#[derive(Deserialize)]
pub(super) struct Loop {
    pub length_m: f64,
}

#[derive(Deserialize)]
pub(super) struct Pipework {
    pub index_circuit: Option<String>,
    pub pump: Pump,
    pub arrangement: Arrangement,
    pub coils: Vec<Coil>,
    pub unmet: Vec<Unmet>,
}

#[derive(Deserialize)]
pub(super) struct Arrangement {
    pub kind: String,
    pub detail: String,
    pub unit_flow_l_h: f64,
    pub unit_head_kpa: f64,
    pub second_pump: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Coil {
    pub detail: String,
}

#[derive(Deserialize)]
pub(super) struct Pump {
    pub flow_l_h: f64,
    pub head_kpa: f64,
    pub own_head_kpa: Option<f64>,
}

#[derive(Deserialize)]
pub(super) struct Plant {
    pub heat_source: HeatSource,
    pub cylinder: Cylinder,
    pub water_content: WaterContent,
    pub expansion_vessel: Vessel,
    pub unmet: Vec<Unmet>,
}

#[derive(Deserialize)]
pub(super) struct HeatSource {
    pub description: Option<String>,
    pub load_w: f64,
    pub candidates: Vec<Candidate>,
}

#[derive(Deserialize)]
pub(super) struct Candidate {
    pub capacity_w: f64,
    pub cop: f64,
    pub needed_w: Option<f64>,
    pub chosen: bool,
}

#[derive(Deserialize)]
pub(super) struct Cylinder {
    pub volume_l: Option<f64>,
    pub needed_l: f64,
    pub storage_temperature_c: f64,
}

#[derive(Deserialize)]
pub(super) struct WaterContent {
    pub total_l: f64,
}

#[derive(Deserialize)]
pub(super) struct Vessel {
    pub product: Option<String>,
    pub needed_l: f64,
    pub charge_pressure_bar: f64,
}

#[derive(Deserialize)]
pub(super) struct Bill {
    pub lines: Vec<Line>,
    pub labour: Vec<Task>,
    pub totals: Totals,
    pub unmet: Vec<Unmet>,
}

#[derive(Deserialize)]
pub(super) struct Line {
    pub code: String,
    pub description: String,
    pub unit: String,
    pub quantity: f64,
    pub cost: Money,
    pub net: Money,
}

#[expect(clippy::struct_field_names, reason = "called as in the answer")]
#[derive(Deserialize)]
pub(super) struct Task {
    pub task: String,
    pub visit: String,
    pub labour_h: f64,
    pub cost: Money,
    pub net: Money,
}

#[derive(Deserialize)]
pub(super) struct Totals {
    pub materials_cost: Money,
    pub materials_net: Money,
    pub labour_h: f64,
    pub labour_cost: Money,
    pub labour_net: Money,
}

#[derive(Deserialize)]
pub(super) struct Programme {
    pub visits: Vec<Visit>,
}

#[expect(clippy::struct_field_names, reason = "called as in the answer")]
#[derive(Deserialize)]
pub(super) struct Visit {
    pub visit: String,
    pub labour_h: f64,
    pub people: u32,
    pub days: u32,
    pub needs: String,
    pub earliest_start: String,
    pub earliest_finish: String,
}

#[derive(Deserialize)]
pub(super) struct Price {
    pub net: Money,
    pub tax: Money,
    pub gross: Money,
    pub grant: Money,
    pub payable: Money,
    pub currency: String,
    pub payments: Vec<Payment>,
    pub complete: bool,
}

#[derive(Deserialize)]
pub(super) struct Payment {
    pub name: String,
    pub tax_point: String,
    pub net: Money,
    pub tax: Money,
    pub gross: Money,
}

#[derive(Deserialize)]
pub(super) struct Notes {
    pub assumptions: Vec<Note>,
    pub warnings: Vec<Note>,
    pub cautions: Vec<Note>,
}

#[derive(Deserialize)]
pub(super) struct Note {
    pub detail: String,
}

#[derive(Deserialize)]
pub(super) struct Unmet {
    pub pointer: String,
    pub detail: String,
}
