//! Products that a bill can hold, told apart by kind.
//!
//! The shape is the same in the shipped catalogue and in a price book given with a job; see [`Product::problems`].

use macro_rules_attribute::apply;

use super::binder::Binder;
pub use super::glycol::Substance;
pub use super::product_points::{BoardOutput, FanOutput, FanSpeed, OperatingPoint, PumpPoint, ValvePreset};
pub use super::tube_material::{Joint, SuppliedAs, TubeMaterial};
use crate::intake::{ById, by_kind};
use crate::money::Money;

/// Products by id, in the order given.
pub type Products = ById<Product, 0, 2_000>;

/// Declares the products with what each kind adds; what all have in common stands here once.
macro_rules! products {
    ($($(#[$($doc:tt)*])* $name:ident { $($(#[$($field_doc:tt)*])* $field:ident: $of:ty,)* })+) => {
        /// A product, with what a design needs to know of it.
        #[apply(by_kind)]
        #[derive(Debug, Clone, PartialEq)]
        pub enum Product {
            $($(#[$($doc)*])* $name {
                /// What it is, in plain words.
                #[schema(min_length = 1, max_length = 200)]
                description: String,
                $($(#[$($field_doc)*])* $field: $of,)*
                /// What one is sold as: each, or the name of a pack.
                #[schema(min_length = 1, max_length = 20)]
                unit: String,
                /// What one unit costs the firm, before tax.
                unit_cost: Money,
            },)+
        }
    };
}

products! {
    /// A radiator, rated by EN 442: flow 75, return 65, room 20 °C.
    Radiator {
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
    }
    /// A fan convector, by its own data.
    FanConvector {
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
    }
    /// The valves of one radiator: one of them throttles, the other stays open.
    RadiatorValves {
        /// Whether a thermostatic head is on them; one is when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        thermostatic: Option<bool>,
        /// Settings of the one that throttles, by rising flow coefficient; without them a flow coefficient alone is told.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 50)]
        presets: Vec<ValvePreset>,
    }
    /// The electrical connection of one fan convector: a fused connection unit with its cable.
    FusedSpur {}
    /// A manifold of floor loops.
    Manifold {
        /// Loops that it can serve.
        #[schema(minimum = 1, maximum = 50)]
        outlets: u32,
        /// Settings of a loop's valve, by rising flow coefficient; without them flow and flow coefficient are told.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 50)]
        presets: Vec<ValvePreset>,
        /// Water content, l.
        #[schema(minimum = 0, maximum = 100)]
        water_l: f64,
    }
    /// An independent limiter of the flow temperature of a heated floor.
    FlowLimiter {}
    /// Tube for the loops of a heated floor.
    FloorTube {
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
    }
    /// Boards of a heated floor with outputs of their own, as tested; the tube lies in them, and they insulate.
    FloorBoard {
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
    }
    /// Plates that conduct the heat of floor tubes laid in insulation.
    ConductingPlate {
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
    }
    /// Insulation boards for under a screed.
    InsulationBoard {
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
    }
    /// Layer that keeps a calcium sulphate screed off the insulation boards under it.
    SeparatingLayer {
        /// Area of one pack, m².
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        pack_m2: f64,
    }
    /// Strip between a screed and the walls.
    EdgeStrip {
        /// Strip in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
    }
    /// Screed, laid.
    Screed {
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
        /// Whether the price has the hours of another trade that lays it; the norms per `screed_m2` then do not count.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        laid: Option<bool>,
        /// What a visit that lays it costs at least.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        least_charge: Option<Money>,
    }
    /// Tube for the runs between plant, manifolds and radiators.
    Tube {
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
        /// What it is made of. A tube without it has the limits that are given with it, and its wall insulates nothing.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        material: Option<TubeMaterial>,
        /// Thermal conductivity of the wall, W/(m K); that of its material when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 500)]
        conductivity_w_mk: Option<f64>,
        /// Highest temperature that it bears for good, °C; that of its material when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 20, maximum = 200)]
        temperature_max_c: Option<f64>,
        /// Highest pressure that it bears there, bar; that of its material when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 200)]
        pressure_max_bar: Option<f64>,
        /// How it is supplied.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        supplied_as: Option<SuppliedAs>,
        /// Longest tail that it may be laid as, one way, m; a tube with it is laid as nothing but a tail, which leads to an end and from
        /// which nothing leaves. Any run when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 200)]
        tail_max_m: Option<f64>,
        /// Whether merchants seldom have it: it is offered only where a job names it among its tubes.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        seldom_stocked: Option<bool>,
        /// Joints that it may have; those of its material when left out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 10)]
        joints: Vec<Joint>,
        /// Tube in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
    }
    /// Insulation for the tubes of runs.
    PipeInsulation {
        /// Outside diameter of the tube that it goes round, mm.
        #[schema(exclusive_minimum = 0, maximum = 500)]
        fits_mm: f64,
        /// Thickness, mm.
        #[schema(exclusive_minimum = 0, maximum = 200)]
        thickness_mm: f64,
        /// Thermal conductivity, W/(m K).
        #[schema(exclusive_minimum = 0, maximum = 1)]
        conductivity_w_mk: f64,
        /// Whether it may lie in the open: closed cells, and proof against sunlight.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        for_outdoors: Option<bool>,
        /// Whether it keeps vapour out, as chilled pipes need it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        keeps_vapour_out: Option<bool>,
        /// Insulation in one pack, m.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_m: f64,
    }
    /// A source of heat: an air-to-water heat pump.
    HeatSource {
        /// Water content, l.
        #[schema(minimum = 0, maximum = 500)]
        water_l: f64,
        /// Whether the points have defrosting taken off already.
        defrost_included: bool,
        /// Least flow that it runs with, l/h.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0, maximum = 100_000)]
        minimum_flow_l_h: Option<f64>,
        /// Greatest flow that it bears, l/h; what its pump gives when left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0, maximum = 100_000)]
        maximum_flow_l_h: Option<f64>,
        /// Least water of the system that is always open to it, l.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0, maximum = 10_000)]
        minimum_water_l: Option<f64>,
        /// Heat that one defrost takes from the water, kWh.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0, maximum = 20)]
        defrost_kwh: Option<f64>,
        /// Output and performance: one point for each pair of an outside and a flow temperature.
        #[schema(min_items = 1, max_items = 400)]
        points: Vec<OperatingPoint>,
        /// Curve of its own pump, after its inner losses, by rising flow.
        #[schema(min_items = 2, max_items = 50)]
        pump: Vec<PumpPoint>,
    }
    /// A hot-water cylinder.
    Cylinder {
        /// Hot water that it stores, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        volume_l: f64,
        /// Heating water in its coil, l.
        #[schema(minimum = 0, maximum = 500)]
        coil_water_l: f64,
    }
    /// An expansion vessel.
    ExpansionVessel {
        /// Nominal volume, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        volume_l: f64,
    }
    /// The small parts of a plant room.
    PlantKit {}
    /// Corrosion inhibitor.
    Inhibitor {
        /// System water that one unit treats, l.
        #[schema(exclusive_minimum = 0, maximum = 100_000)]
        treats_l: f64,
    }
    /// A pump of its own, for a system that the heat source's pump does not carry.
    Circulator {
        /// Its curve at full speed, by rising flow.
        #[schema(min_items = 2, max_items = 50)]
        pump: Vec<PumpPoint>,
    }
    /// A vessel that adds water to the system or parts two circuits.
    BufferVessel {
        /// Water that it holds, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        volume_l: f64,
    }
    /// A valve between flow and return that opens where thermostats shut.
    BypassValve {
        /// Flow coefficient where it is open, m³/h at 1 bar.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        kv_m3_h: f64,
    }
    /// What shuts one loop of a heated floor.
    LoopActuator {}
    /// The thermostat of a room with a heated floor.
    RoomThermostat {}
    /// A valve that lets water out before it freezes.
    FreezeValve {
        /// Flow coefficient, m³/h at 1 bar.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        kv_m3_h: f64,
    }
    /// A flexible hose to connect an outdoor unit.
    FlexibleHose {
        /// Flow coefficient, m³/h at 1 bar.
        #[schema(exclusive_minimum = 0, maximum = 1_000)]
        kv_m3_h: f64,
        /// Length, m.
        #[schema(exclusive_minimum = 0, maximum = 10)]
        length_m: f64,
    }
    /// Antifreeze, undiluted and inhibited.
    Antifreeze {
        /// Which glycol.
        substance: Substance,
        /// Antifreeze in one pack, l.
        #[schema(exclusive_minimum = 0, maximum = 10_000)]
        pack_l: f64,
    }
}
