//! Every member of a job as a lenient reader would take it: no bounds, no choices, nothing needed, what is unknown let through.
//! It keeps nothing that a strict reader must know, and so it is what reading costs at least.

use indexmap::IndexMap;
use serde::Deserialize;

#[derive(Deserialize)]
pub struct Climate {
    pub station: Option<String>,
    pub kind: Option<String>,
    pub outside_design_c: Option<f64>,
    pub annual_mean_outside_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct Site {
    pub nation: Option<String>,
    pub climate: Option<Box<Climate>>,
    pub altitude_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct ExistingHeating {
    pub kind: Option<String>,
}
#[derive(Deserialize)]
pub struct Leakage {
    pub q50_m3_h_m2: Option<f64>,
    pub envelope_area_m2: Option<f64>,
    pub shielding: Option<String>,
    pub height_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Ventilation {
    pub tightness: Option<String>,
    pub kind: Option<String>,
    pub q50_m3_h_m2: Option<f64>,
    pub envelope_area_m2: Option<f64>,
    pub shielding: Option<String>,
    pub height_m: Option<f64>,
    pub heat_recovery_efficiency: Option<f64>,
    pub infiltration_air_changes_per_h: Option<f64>,
    pub leakage: Option<Box<Leakage>>,
}
#[derive(Deserialize)]
pub struct Junction {
    pub length_m: Option<f64>,
    pub psi_w_mk: Option<f64>,
}
#[derive(Deserialize)]
pub struct ThermalBridging {
    pub allowance_w_m2k: Option<f64>,
    pub kind: Option<String>,
    pub junctions: Option<IndexMap<String, Junction>>,
    pub coefficient_w_k: Option<f64>,
}
#[derive(Deserialize)]
pub struct Adjoining {
    pub temperature_c: Option<f64>,
    pub kind: Option<String>,
}
#[derive(Deserialize)]
pub struct Dwelling {
    pub kind: Option<String>,
    pub construction_year: Option<i64>,
    pub bedrooms: Option<i64>,
    pub occupants: Option<i64>,
    pub existing_heating: Option<Box<ExistingHeating>>,
    pub ventilation: Option<Box<Ventilation>>,
    pub thermal_bridging: Option<Box<ThermalBridging>>,
    pub ground_water_near: Option<bool>,
    pub adjoining: Option<Box<Adjoining>>,
    pub air_heat_wh_m3k: Option<f64>,
}
#[derive(Deserialize)]
pub struct Bridge {
    pub fraction: Option<f64>,
    pub material: Option<String>,
    pub kind: Option<String>,
    pub conductivity_w_mk: Option<f64>,
    pub resistance_m2k_w: Option<f64>,
}
#[derive(Deserialize)]
pub struct Taper {
    pub greatest_thickness_mm: Option<f64>,
    pub outline: Option<String>,
}
#[derive(Deserialize)]
pub struct Layer {
    pub material: Option<String>,
    pub thickness_mm: Option<f64>,
    pub bridged_by: Option<Box<Bridge>>,
    pub taper: Option<Box<Taper>>,
    pub kind: Option<String>,
    pub conductivity_w_mk: Option<f64>,
    pub resistance_m2k_w: Option<f64>,
    pub openings_mm2_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Fixings {
    pub count_per_m2: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
    pub section_mm2: Option<f64>,
    pub kind: Option<String>,
    pub chi_w_k: Option<f64>,
}
#[derive(Deserialize)]
pub struct Corrections {
    pub insulation_layer: Option<i64>,
    pub air_gaps: Option<String>,
    pub fixings: Option<Box<Fixings>>,
}
#[derive(Deserialize)]
pub struct WindowMeasures {
    pub width_mm: Option<f64>,
    pub height_mm: Option<f64>,
    pub frame_width_mm: Option<f64>,
    pub kind: Option<String>,
    pub glass_area_m2: Option<f64>,
    pub frame_area_m2: Option<f64>,
    pub glass_edge_m: Option<f64>,
    pub frame_share: Option<f64>,
}
#[derive(Deserialize)]
pub struct EdgeInsulation {
    pub lies: Option<String>,
    pub reach_m: Option<f64>,
    pub thickness_mm: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
}
#[derive(Deserialize)]
pub struct Construction {
    pub u_value_w_m2k: Option<f64>,
    pub solar_factor: Option<f64>,
    pub description: Option<String>,
    pub kind: Option<String>,
    pub element: Option<String>,
    pub construction_year: Option<i64>,
    pub layers: Option<Vec<Layer>>,
    pub corrections: Option<Box<Corrections>>,
    pub measures: Option<Box<WindowMeasures>>,
    pub glazing_u_value_w_m2k: Option<f64>,
    pub frame_u_value_w_m2k: Option<f64>,
    pub frame: Option<String>,
    pub spacer_psi_w_mk: Option<f64>,
    pub area_m2: Option<f64>,
    pub exposed_perimeter_m: Option<f64>,
    pub wall_thickness_mm: Option<f64>,
    pub soil: Option<String>,
    pub edge_insulation: Option<Box<EdgeInsulation>>,
    pub height_m: Option<f64>,
    pub space_wall_u_value_w_m2k: Option<f64>,
    pub vents_mm2_m: Option<f64>,
    pub shielding: Option<String>,
    pub depth_m: Option<f64>,
    pub floor_layers: Option<Vec<Layer>>,
    pub wall_layers: Option<Vec<Layer>>,
}
#[derive(Deserialize)]
pub struct Opening {
    pub construction: Option<String>,
    pub area_m2: Option<f64>,
}
#[derive(Deserialize)]
pub struct SpaceFaces {
    pub kind: Option<String>,
    pub temperature_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct SpaceSurface {
    pub part: Option<String>,
    pub construction: Option<String>,
    pub area_m2: Option<f64>,
    pub openings: Option<IndexMap<String, Opening>>,
    pub faces: Option<Box<SpaceFaces>>,
}
#[derive(Deserialize)]
pub struct UnheatedSpace {
    pub name: Option<String>,
    pub volume_m3: Option<f64>,
    pub air_changes_per_h: Option<f64>,
    pub surfaces: Option<IndexMap<String, SpaceSurface>>,
}
#[derive(Deserialize)]
pub struct Transfer {
    pub flow_m3_h: Option<f64>,
}
#[derive(Deserialize)]
pub struct Flues {
    pub chimneys: Option<i64>,
    pub open_flues: Option<i64>,
}
#[derive(Deserialize)]
pub struct Reheat {
    pub within_h: Option<i64>,
    pub drop_k: Option<i64>,
}
#[derive(Deserialize)]
pub struct Position {
    pub x_m: Option<f64>,
    pub y_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Faces {
    pub kind: Option<String>,
    pub room: Option<String>,
    pub factor: Option<f64>,
    pub space: Option<String>,
    pub temperature_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct Surface {
    pub part: Option<String>,
    pub construction: Option<String>,
    pub area_m2: Option<f64>,
    pub orientation_deg: Option<f64>,
    pub openings: Option<IndexMap<String, Opening>>,
    pub faces: Option<Box<Faces>>,
}
#[derive(Deserialize)]
pub struct Fit {
    pub height_max_mm: Option<f64>,
    pub length_max_mm: Option<f64>,
    pub depth_max_mm: Option<f64>,
    pub sill_height_mm: Option<f64>,
    pub clear_wall_mm: Option<f64>,
}
#[derive(Deserialize)]
pub struct ExistingRadiator {
    pub product: Option<String>,
    pub keep: Option<String>,
    pub kind: Option<String>,
    pub output_w: Option<f64>,
    pub exponent: Option<f64>,
    pub water_l: Option<f64>,
}
#[derive(Deserialize)]
pub struct FloorSystem {
    pub kind: Option<String>,
    pub plate: Option<String>,
    pub board: Option<String>,
}
#[derive(Deserialize)]
pub struct Screed {
    pub conductivity_w_mk: Option<f64>,
    pub cover_mm: Option<f64>,
    pub thickness_mm: Option<f64>,
    pub binder: Option<String>,
}
#[derive(Deserialize)]
pub struct Covering {
    pub thickness_mm: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
    pub material: Option<String>,
}
#[derive(Deserialize)]
pub struct Pass {
    pub length_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct DesignOn {
    pub kind: Option<String>,
}
#[derive(Deserialize)]
pub struct Emitter {
    pub fit: Option<Box<Fit>>,
    pub towel_rail: Option<bool>,
    pub connection: Option<String>,
    pub finish: Option<String>,
    pub enclosure_factor: Option<f64>,
    pub oversize_max: Option<f64>,
    pub existing: Option<Box<ExistingRadiator>>,
    pub share: Option<f64>,
    pub kind: Option<String>,
    pub sound_max_db: Option<f64>,
    pub manifold: Option<String>,
    pub tube: Option<String>,
    pub system: Option<Box<FloorSystem>>,
    pub pipe_height_mm: Option<f64>,
    pub screed: Option<Box<Screed>>,
    pub covering: Option<Box<Covering>>,
    pub worst_covering: Option<Box<Covering>>,
    pub spacings_mm: Option<Vec<f64>>,
    pub unheated_area_m2: Option<f64>,
    pub edge_area_m2: Option<f64>,
    pub edge_spacing_mm: Option<f64>,
    pub surface_limit_c: Option<f64>,
    pub edge_surface_limit_c: Option<f64>,
    pub drop_rule: Option<String>,
    pub tail_m: Option<f64>,
    pub passes_through: Option<IndexMap<String, Pass>>,
    pub loop_max_m: Option<f64>,
    pub loop_pressure_drop_max_kpa: Option<f64>,
    pub loop_bends: Option<i64>,
    pub design_on: Option<Box<DesignOn>>,
}
#[derive(Deserialize)]
pub struct Room {
    pub name: Option<String>,
    pub r#use: Option<String>,
    pub storey: Option<i64>,
    pub floor_area_m2: Option<f64>,
    pub height_m: Option<f64>,
    pub perimeter_m: Option<f64>,
    pub inside_design_c: Option<f64>,
    pub air_changes_per_h: Option<f64>,
    pub removed_radiators: Option<i64>,
    pub infiltration_m3_h: Option<f64>,
    pub supply_m3_h: Option<f64>,
    pub extract_m3_h: Option<f64>,
    pub transfer_from: Option<IndexMap<String, Transfer>>,
    pub flues: Option<Box<Flues>>,
    pub reheat: Option<Box<Reheat>>,
    pub thermal_bridging: Option<Box<ThermalBridging>>,
    pub position: Option<Box<Position>>,
    pub surfaces: Option<IndexMap<String, Surface>>,
    pub emitters: Option<IndexMap<String, Emitter>>,
}
#[derive(Deserialize)]
pub struct FlowTemperature {
    pub flow_temperature_c: Option<f64>,
    pub kind: Option<String>,
    pub least_c: Option<f64>,
    pub most_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct Fluid {
    pub kind: Option<String>,
    pub substance: Option<String>,
    pub fraction: Option<f64>,
}
#[derive(Deserialize)]
pub struct Heating {
    pub flow_temperature: Option<Box<FlowTemperature>>,
    pub drop_k: Option<f64>,
    pub fluid: Option<Box<Fluid>>,
    pub radiator_mean: Option<String>,
    pub emitter_choice: Option<String>,
}
#[derive(Deserialize)]
pub struct Sizing {
    pub velocity_max_m_s: Option<f64>,
    pub velocity_min_m_s: Option<f64>,
    pub life_years: Option<i64>,
    pub electricity_per_kwh: Option<f64>,
    pub pump_running_h: Option<f64>,
    pub pump_efficiency: Option<f64>,
    pub kind: Option<String>,
    pub gradient_max_pa_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Fittings {
    pub bend_zeta: Option<f64>,
    pub tee_zeta: Option<f64>,
    pub kind: Option<String>,
}
#[derive(Deserialize)]
pub struct Manifold {
    pub loop_kv_m3_h: Option<f64>,
    pub room: Option<String>,
    pub position: Option<Box<Position>>,
}
#[derive(Deserialize)]
pub struct Fitting {
    pub zeta: Option<f64>,
    pub count: Option<i64>,
    pub kind: Option<String>,
    pub kv_m3_h: Option<f64>,
    pub name: Option<String>,
}
#[derive(Deserialize)]
pub struct Hoses {
    pub kv_m3_h: Option<f64>,
    pub length_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Insulation {
    pub kind: Option<String>,
    pub thickness_mm: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
}
#[derive(Deserialize)]
pub struct Primary {
    pub length_m: Option<f64>,
    pub outdoor_m: Option<f64>,
    pub bends: Option<i64>,
    pub fittings: Option<Vec<Fitting>>,
    pub hoses: Option<Box<Hoses>>,
    pub place: Option<String>,
    pub velocity_max_m_s: Option<f64>,
    pub surrounding_c: Option<f64>,
    pub insulation: Option<Box<Insulation>>,
    pub existing_tube: Option<String>,
    pub keep: Option<String>,
}
#[derive(Deserialize)]
pub struct HotWaterCircuit {
    pub length_m: Option<f64>,
    pub bends: Option<i64>,
    pub fittings: Option<Vec<Fitting>>,
    pub coil_kv_m3_h: Option<f64>,
    pub drop_k: Option<f64>,
    pub place: Option<String>,
    pub insulation: Option<Box<Insulation>>,
    pub existing_tube: Option<String>,
    pub keep: Option<String>,
}
#[derive(Deserialize)]
pub struct FreezeProtection {
    pub valves: Option<bool>,
    pub coldest_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct Served {
    pub room: Option<String>,
    pub emitter: Option<String>,
    pub manifold: Option<String>,
}
#[derive(Deserialize)]
pub struct CrossedJoists {
    pub depth_mm: Option<f64>,
    pub span_m: Option<f64>,
}
#[derive(Deserialize)]
pub struct Reading {
    pub flow_l_h: Option<f64>,
    pub pressure_difference_kpa: Option<f64>,
    pub temperature_c: Option<f64>,
}
#[derive(Deserialize)]
pub struct Readings {
    pub points: Option<Vec<Reading>>,
    pub flow_spread: Option<f64>,
    pub pressure_spread: Option<f64>,
}
#[derive(Deserialize)]
pub struct Run {
    pub from: Option<String>,
    pub length_m: Option<f64>,
    pub bends: Option<i64>,
    pub fittings: Option<Vec<Fitting>>,
    pub place: Option<String>,
    pub surrounding_c: Option<f64>,
    pub insulation: Option<Box<Insulation>>,
    pub crosses_joists: Option<Box<CrossedJoists>>,
    pub existing_tube: Option<String>,
    pub keep: Option<String>,
    pub readings: Option<Box<Readings>>,
    pub serves: Option<Vec<Served>>,
}
#[derive(Deserialize)]
pub struct Pipework {
    pub sizing: Option<Box<Sizing>>,
    pub fittings: Option<Box<Fittings>>,
    pub tubes: Option<Vec<String>>,
    pub radiator_kv_m3_h: Option<f64>,
    pub plant_kv_m3_h: Option<f64>,
    pub manifolds: Option<IndexMap<String, Manifold>>,
    pub primary: Option<Box<Primary>>,
    pub hot_water_circuit: Option<Box<HotWaterCircuit>>,
    pub freeze_protection: Option<Box<FreezeProtection>>,
    pub stays_open: Option<Vec<Served>>,
    pub insulation: Option<Box<Insulation>>,
    pub runs: Option<IndexMap<String, Run>>,
}
#[derive(Deserialize)]
pub struct OperatingPoint {
    pub outside_c: Option<f64>,
    pub flow_c: Option<f64>,
    pub capacity_w: Option<f64>,
    pub cop: Option<f64>,
}
#[derive(Deserialize)]
pub struct PumpPoint {
    pub flow_l_h: Option<f64>,
    pub head_kpa: Option<f64>,
    pub power_w: Option<f64>,
}
#[derive(Deserialize)]
pub struct HeatSource {
    pub kind: Option<String>,
    pub code: Option<String>,
    pub description: Option<String>,
    pub water_l: Option<f64>,
    pub defrost_included: Option<bool>,
    pub minimum_flow_l_h: Option<f64>,
    pub minimum_water_l: Option<f64>,
    pub defrost_kwh: Option<f64>,
    pub points: Option<Vec<OperatingPoint>>,
    pub pump: Option<Vec<PumpPoint>>,
}
#[derive(Deserialize)]
pub struct Cylinder {
    pub kind: Option<String>,
    pub code: Option<String>,
}
#[derive(Deserialize)]
pub struct ExpansionVessel {
    pub static_height_m: Option<f64>,
    pub safety_valve_bar: Option<f64>,
}
#[derive(Deserialize)]
pub struct Plant {
    pub heat_source: Option<Box<HeatSource>>,
    pub cylinder: Option<Box<Cylinder>>,
    pub expansion_vessel: Option<Box<ExpansionVessel>>,
}
#[derive(Deserialize)]
pub struct HotWater {
    pub litres_per_person_at_60_c: Option<f64>,
    pub storage_temperature_c: Option<f64>,
    pub flow_temperature_c: Option<f64>,
    pub loss_factor: Option<f64>,
}
#[derive(Deserialize)]
pub struct Cooling {
    pub flow_temperature_c: Option<f64>,
    pub rise_k: Option<f64>,
    pub inside_c: Option<f64>,
    pub relative_humidity: Option<f64>,
    pub surface_min_c: Option<f64>,
    pub dew_point_margin_k: Option<f64>,
    pub rooms: Option<Vec<String>>,
}
#[derive(Deserialize)]
pub struct Crew {
    pub people: Option<i64>,
    pub hours_per_day_h: Option<f64>,
}
#[derive(Deserialize)]
pub struct Margins {
    pub materials: Option<f64>,
    pub labour: Option<f64>,
}
#[derive(Deserialize)]
pub struct Supply {
    pub tax_rule: Option<String>,
}
#[derive(Deserialize)]
pub struct StagePayment {
    pub name: Option<String>,
    pub share: Option<f64>,
    pub tax_point: Option<String>,
}
#[derive(Deserialize)]
pub struct Grant {
    pub rule: Option<String>,
    pub application_date: Option<String>,
    pub kind: Option<String>,
}
#[derive(Deserialize)]
pub struct Waste {
    pub boards: Option<f64>,
    pub tube: Option<f64>,
}
#[derive(Deserialize)]
pub struct FanSpeed {
    pub fan_w: Option<f64>,
    pub air_m3_h: Option<f64>,
    pub sound_db: Option<f64>,
}
#[derive(Deserialize)]
pub struct FanOutput {
    pub difference_k: Option<f64>,
    pub speed: Option<i64>,
    pub output_w: Option<f64>,
}
#[derive(Deserialize)]
pub struct ValvePreset {
    pub position: Option<String>,
    pub kv_m3_h: Option<f64>,
}
#[derive(Deserialize)]
pub struct BoardOutput {
    pub covering_m2k_w: Option<f64>,
    pub output_w_m2k: Option<f64>,
    pub limit_w_m2: Option<f64>,
}
#[derive(Deserialize)]
pub struct Product {
    pub description: Option<String>,
    pub height_mm: Option<f64>,
    pub length_mm: Option<f64>,
    pub depth_mm: Option<f64>,
    pub output_w: Option<f64>,
    pub exponent: Option<f64>,
    pub water_l: Option<f64>,
    pub towel_rail: Option<bool>,
    pub unit: Option<String>,
    pub unit_cost: Option<f64>,
    pub kind: Option<String>,
    pub speeds: Option<Vec<FanSpeed>>,
    pub outputs: Option<serde_json::Value>,
    pub presets: Option<Vec<ValvePreset>>,
    pub outlets: Option<i64>,
    pub outside_diameter_mm: Option<f64>,
    pub wall_mm: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
    pub roughness_mm: Option<f64>,
    pub sheath_outside_diameter_mm: Option<f64>,
    pub sheath_conductivity_w_mk: Option<f64>,
    pub pack_m: Option<f64>,
    pub spacing_mm: Option<f64>,
    pub with_screed: Option<bool>,
    pub pack_m2: Option<f64>,
    pub thickness_mm: Option<f64>,
    pub width_mm: Option<f64>,
    pub binder: Option<String>,
    pub step_m3: Option<f64>,
    pub bore_mm: Option<f64>,
    pub material: Option<String>,
    pub temperature_max_c: Option<f64>,
    pub pressure_max_bar: Option<f64>,
    pub supplied_as: Option<String>,
    pub joints: Option<Vec<String>>,
    pub fits_mm: Option<f64>,
    pub for_outdoors: Option<bool>,
    pub keeps_vapour_out: Option<bool>,
    pub defrost_included: Option<bool>,
    pub minimum_flow_l_h: Option<f64>,
    pub minimum_water_l: Option<f64>,
    pub defrost_kwh: Option<f64>,
    pub points: Option<Vec<OperatingPoint>>,
    pub pump: Option<Vec<PumpPoint>>,
    pub volume_l: Option<f64>,
    pub coil_water_l: Option<f64>,
    pub treats_l: Option<f64>,
    pub kv_m3_h: Option<f64>,
    pub length_m: Option<f64>,
    pub substance: Option<String>,
    pub pack_l: Option<f64>,
}
#[derive(Deserialize)]
pub struct Task {
    pub visit: Option<String>,
    pub labour_h: Option<f64>,
    pub per: Option<String>,
    pub supply: Option<String>,
}
#[derive(Deserialize)]
pub struct Labour {
    pub hourly_cost: Option<f64>,
    pub tasks: Option<IndexMap<String, Task>>,
}
#[derive(Deserialize)]
pub struct Rule {
    pub key: Option<String>,
    pub nation: Option<String>,
    pub from: Option<String>,
    pub until: Option<String>,
    pub kind: Option<String>,
    pub value: Option<f64>,
    pub source: Option<String>,
    pub confidence: Option<String>,
}
#[derive(Deserialize)]
pub struct PriceBookChoice {
    pub kind: Option<String>,
    pub currency: Option<String>,
    pub waste: Option<Box<Waste>>,
    pub fittings_share_of_tube_cost: Option<f64>,
    pub products: Option<IndexMap<String, Product>>,
    pub labour: Option<Box<Labour>>,
    pub rules: Option<Vec<Rule>>,
}
#[derive(Deserialize)]
pub struct Commercial {
    pub quote_date: Option<String>,
    pub crew: Option<Box<Crew>>,
    pub margins: Option<Box<Margins>>,
    pub supplies: Option<IndexMap<String, Supply>>,
    pub stage_payments: Option<Vec<StagePayment>>,
    pub grant: Option<Box<Grant>>,
    pub programme_start: Option<String>,
    pub price_book: Option<Box<PriceBookChoice>>,
}
#[derive(Deserialize)]
pub struct Uncertainty {
    pub draws: Option<i64>,
    pub seed: Option<i64>,
}
#[derive(Deserialize)]
pub struct KnownBy {
    pub known: Option<String>,
    pub spread: Option<f64>,
}
#[derive(Deserialize)]
pub struct Job {
    pub schema: Option<i64>,
    pub title: Option<String>,
    pub reference: Option<String>,
    pub site: Option<Box<Site>>,
    pub dwelling: Option<Box<Dwelling>>,
    pub constructions: Option<IndexMap<String, Construction>>,
    pub unheated_spaces: Option<IndexMap<String, UnheatedSpace>>,
    pub rooms: Option<IndexMap<String, Room>>,
    pub heating: Option<Box<Heating>>,
    pub pipework: Option<Box<Pipework>>,
    pub plant: Option<Box<Plant>>,
    pub hot_water: Option<Box<HotWater>>,
    pub cooling: Option<Box<Cooling>>,
    pub commercial: Option<Box<Commercial>>,
    pub uncertainty: Option<Box<Uncertainty>>,
    pub basis: Option<IndexMap<String, KnownBy>>,
}
