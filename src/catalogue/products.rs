//! Products that a bill can hold, told apart by kind.
//!
//! The shape is the same in the shipped catalogue and in a price book given with a job. Bounds stand in the
//! schema; what the members of one product must agree on is checked by [`Product::problems`].

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::binder::Binder;
pub use super::product_points::{BoardOutput, FanOutput, FanSpeed, OperatingPoint, PumpPoint};
use crate::intake::ById;
use crate::money::Money;

/// Products by id, in the order given.
pub type Products = ById<Product, 0, 2_000>;

/// A product, with what a design needs to know of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Product {
    /// A radiator, rated by EN 442: flow 75, return 65, room 20 °C.
    Radiator {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Height, mm.
        #[schema(exclusive_minimum = 0, maximum = 4_000)]
        height_mm: f64,
        /// Length, mm.
        #[schema(exclusive_minimum = 0, maximum = 6_000)]
        length_mm: f64,
        /// Depth of its body from back to front, without the gap that brackets leave, mm.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        depth_mm: f64,
        /// Rated output, W.
        #[schema(exclusive_minimum = 0, maximum = 50_000)]
        output_w: f64,
        /// Exponent of output over excess temperature.
        #[schema(minimum = 1, maximum = 1.8)]
        exponent: f64,
        /// Water content, l.
        #[schema(minimum = 0, maximum = 500)]
        water_l: f64,
        /// Whether it is a towel rail, which is taken only where a job asks for one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        towel_rail: Option<bool>,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// A fan convector, by its own data.
    FanConvector {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Height, mm.
        #[schema(exclusive_minimum = 0, maximum = 4_000)]
        height_mm: f64,
        /// Length, mm.
        #[schema(exclusive_minimum = 0, maximum = 6_000)]
        length_mm: f64,
        /// Depth of its body from back to front, without the gap that brackets leave, mm.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        depth_mm: f64,
        /// Water content, l.
        #[schema(minimum = 0, maximum = 500)]
        water_l: f64,
        /// The speeds of its fan, from the slowest.
        #[schema(min_items = 1, max_items = 10)]
        speeds: Vec<FanSpeed>,
        /// Outputs: one for each pair of a difference and a speed.
        #[schema(min_items = 2, max_items = 200)]
        outputs: Vec<FanOutput>,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// The valves of one radiator.
    RadiatorValves {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// The electrical connection of one fan convector: a fused connection unit with its cable.
    FusedSpur {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// A manifold of floor loops.
    Manifold {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Loops that it can serve.
        #[schema(minimum = 1, maximum = 50)]
        outlets: u32,
        /// Water content, l.
        #[schema(minimum = 0, maximum = 100)]
        water_l: f64,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// An independent limiter of the flow temperature of a heated floor.
    FlowLimiter {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Tube for the loops of a heated floor.
    FloorTube {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Outside diameter, mm.
        #[schema(exclusive_minimum = 0, maximum = 50)]
        outside_diameter_mm: f64,
        /// Thickness of the wall, mm.
        #[schema(exclusive_minimum = 0, maximum = 10)]
        wall_mm: f64,
        /// Thermal conductivity of the wall, W/(m K).
        #[schema(exclusive_minimum = 0, maximum = 500)]
        conductivity_w_mk: f64,
        /// Roughness of the inside, mm.
        #[schema(minimum = 0, maximum = 1)]
        roughness_mm: f64,
        /// Outside diameter of a sheath round the tube, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 60)]
        sheath_outside_diameter_mm: Option<f64>,
        /// Thermal conductivity of the sheath with the air in it, W/(m K).
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 10)]
        sheath_conductivity_w_mk: Option<f64>,
        /// Tube in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Boards of a heated floor with outputs of their own, as tested; the tube lies in them, and they insulate.
    FloorBoard {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Distance between the pipes in it, mm.
        #[schema(minimum = 50, maximum = 600)]
        spacing_mm: f64,
        /// Whether a screed is laid on it.
        with_screed: bool,
        /// Its outputs, by rising covering.
        #[schema(min_items = 1, max_items = 20)]
        outputs: Vec<BoardOutput>,
        /// Area that one pack covers, m².
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        pack_m2: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Plates that conduct the heat of floor tubes laid in insulation.
    ConductingPlate {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Thickness, mm.
        #[schema(exclusive_minimum = 0, maximum = 5)]
        thickness_mm: f64,
        /// Thermal conductivity, W/(m K).
        #[schema(exclusive_minimum = 0, maximum = 500)]
        conductivity_w_mk: f64,
        /// Width across the tube, mm; a plate wider than the spacing is cut to it.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        width_mm: f64,
        /// Area of floor that one pack covers, m².
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        pack_m2: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Insulation boards for under a screed.
    InsulationBoard {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Thickness, mm. A board without it is taken as the one that the firm lays.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        thickness_mm: Option<f64>,
        /// Thermal conductivity, W/(m K).
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 5)]
        conductivity_w_mk: Option<f64>,
        /// Area that one pack covers, m².
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        pack_m2: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Layer that keeps a calcium sulphate screed off the insulation boards under it.
    SeparatingLayer {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Area of one pack, m².
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        pack_m2: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Strip between a screed and the walls.
    EdgeStrip {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Strip in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Screed, laid.
    Screed {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// What binds it. A screed without it is taken for any.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        binder: Option<Binder>,
        /// Thermal conductivity, W/(m K). A screed without it is taken for any.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 10)]
        conductivity_w_mk: Option<f64>,
        /// Volume is ordered in steps of this, m³.
        #[schema(exclusive_minimum = 0, maximum = 100)]
        step_m3: f64,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Tube for the runs between plant, manifolds and radiators.
    Tube {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Outside diameter, mm.
        #[schema(exclusive_minimum = 0, maximum = 500)]
        outside_diameter_mm: f64,
        /// Thickness of the wall, mm.
        #[schema(exclusive_minimum = 0, maximum = 50)]
        wall_mm: f64,
        /// Inside diameter, mm.
        #[schema(exclusive_minimum = 0, maximum = 500)]
        bore_mm: f64,
        /// Roughness of the inside, mm.
        #[schema(minimum = 0, maximum = 5)]
        roughness_mm: f64,
        /// Tube in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
        /// What one pack is called.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// A source of heat: an air-to-water heat pump.
    HeatSource {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Water content, l.
        #[schema(minimum = 0, maximum = 500)]
        water_l: f64,
        /// Whether the points have defrosting taken off already.
        defrost_included: bool,
        /// Output and performance: one point for each pair of an outside and a flow temperature.
        #[schema(min_items = 1, max_items = 400)]
        points: Vec<OperatingPoint>,
        /// Curve of its own pump, after its inner losses, by rising flow.
        #[schema(min_items = 2, max_items = 50)]
        pump: Vec<PumpPoint>,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// A hot-water cylinder.
    Cylinder {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Hot water that it stores, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        volume_l: f64,
        /// Heating water in its coil, l.
        #[schema(minimum = 0, maximum = 500)]
        coil_water_l: f64,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// An expansion vessel.
    ExpansionVessel {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// Nominal volume, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        volume_l: f64,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// The small parts of a plant room.
    PlantKit {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
    /// Corrosion inhibitor.
    Inhibitor {
        /// What it is, in plain words.
        #[schema(min_length = 1, max_length = 200)]
        description: String,
        /// System water that one unit treats, l.
        #[schema(exclusive_minimum = 0, maximum = 100_000)]
        treats_l: f64,
        /// What one is sold as.
        #[schema(min_length = 1, max_length = 20)]
        unit: String,
        /// What one unit costs the firm, before tax.
        unit_cost: Money,
    },
}
