//! What the price book offers, sorted by kind, so that stages choose without looking products up by name.

use super::PriceBook;
use super::product_points::fan_table;
use super::products::{FanSpeed, OperatingPoint, Product, PumpPoint, TubeMaterial};
use super::undominated::undominated;
use crate::list::{Index, List};
use crate::methods::fan_convector;
use crate::money::Money;

/// What the price book offers; `product` is the index of the product in the book.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Offer {
    /// Radiators, by rated output.
    pub radiators: List<Radiator>,
    /// Those of them that may be the cheapest which is enough, in the same order.
    pub worth_it: Vec<Radiator>,
    /// Fan convectors, in the order of the book.
    pub fan_convectors: List<FanConvector>,
    /// Tubes for runs, by bore.
    pub tubes: List<Tube>,
    /// Insulation for them, by thickness.
    pub pipe_insulation: List<PipeInsulation>,
    /// Pumps of their own, by cost.
    pub circulators: List<Circulator>,
    /// Buffer vessels, by volume.
    pub buffers: List<Buffer>,
    /// Bypass valves, by cost.
    pub bypasses: List<Bypass>,
    /// Heat sources, in the order of the book.
    pub heat_sources: List<HeatSource>,
    /// Cylinders, by volume.
    pub cylinders: List<Cylinder>,
    /// Expansion vessels, by volume.
    pub vessels: List<Vessel>,
    /// Manifolds, by outlets.
    pub manifolds: List<Manifold>,
}

/// A radiator on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radiator {
    /// Index in the book.
    pub product: Index<Product>,
    /// Height, length and depth (mm).
    pub size_mm: [f64; 3],
    /// Rated output at 75/65/20 °C (W).
    pub output_w: f64,
    /// Exponent.
    pub exponent: f64,
    /// Water content (l).
    pub water_l: f64,
    /// Whether it is a towel rail.
    pub is_towel_rail: bool,
    /// What it costs the firm.
    pub cost: Money,
}

/// A fan convector on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct FanConvector {
    /// Index in the book.
    pub product: Index<Product>,
    /// Height, length and depth (mm).
    pub size_mm: [f64; 3],
    /// Water content (l).
    pub water_l: f64,
    /// What it costs the firm.
    pub cost: Money,
    /// Its speeds, from the slowest.
    pub speeds: Vec<FanSpeed>,
    /// Its outputs.
    pub table: fan_convector::FanConvector,
}

/// A tube on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Index in the book.
    pub product: Index<Product>,
    /// Outside diameter (m).
    pub outside_m: f64,
    /// Bore (m).
    pub bore_m: f64,
    /// Roughness (m).
    pub roughness_m: f64,
    /// What it is made of, where that is told.
    pub material: Option<TubeMaterial>,
    /// Thermal conductivity of its wall (W/(mK)); infinite where neither it nor the material is told.
    pub wall_w_mk: f64,
    /// Highest temperature that it bears, where that is known (°C).
    pub temperature_max_c: Option<f64>,
    /// Highest pressure that it bears, where that is known (bar).
    pub pressure_max_bar: Option<f64>,
    /// Longest tail that it is laid as, one way, where it is laid as nothing else (m).
    pub tail_max_m: Option<f64>,
    /// Whether it is stocked so seldom that a job must name it.
    pub is_seldom_stocked: bool,
    /// What a metre costs, its waste and its fittings among it, in the currency of the book.
    pub cost_per_m: f64,
}

/// Insulation for tubes on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeInsulation {
    /// Index in the book.
    pub product: Index<Product>,
    /// Outside diameter of the tube that it fits (m).
    pub fits_m: f64,
    /// Thickness (mm).
    pub thickness_mm: f64,
    /// Thermal conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Whether it may lie in the open.
    pub for_outdoors: bool,
    /// Whether it keeps vapour out.
    pub keeps_vapour_out: bool,
}

/// A pump of its own on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Circulator {
    /// Index in the book.
    pub product: Index<Product>,
    /// Its curve at full speed.
    pub pump: Vec<PumpPoint>,
    /// What it costs the firm.
    pub cost: Money,
}

/// A heat source on offer, or given with the job.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatSource {
    /// Index in the book; nothing for a unit given with the job.
    pub product: Option<Index<Product>>,
    /// Water content (l).
    pub water_l: f64,
    /// Whether its outputs have defrosting taken off.
    pub defrost_included: bool,
    /// Least flow, where its data tell it (l/h).
    pub minimum_flow_l_h: Option<f64>,
    /// Greatest flow that it bears (l/h), where its data tell it.
    pub maximum_flow_l_h: Option<f64>,
    /// Least water that is always open to it, where its data tell it (l).
    pub minimum_water_l: Option<f64>,
    /// Heat of one defrost, where its data tell it (kWh).
    pub defrost_kwh: Option<f64>,
    /// Outputs.
    pub points: Vec<OperatingPoint>,
    /// Its own pump.
    pub pump: Vec<PumpPoint>,
}

/// A cylinder on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    /// Index in the book.
    pub product: Index<Product>,
    /// Volume (l).
    pub volume_l: f64,
    /// Water in its coil (l).
    pub coil_water_l: f64,
}

/// A buffer vessel on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buffer {
    /// Index in the book.
    pub product: Index<Product>,
    /// Volume (l).
    pub volume_l: f64,
    /// What it costs the firm.
    pub cost: Money,
}

/// A bypass valve on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bypass {
    /// Index in the book.
    pub product: Index<Product>,
    /// Flow coefficient where it is open (m³/h).
    pub kv_m3_h: f64,
    /// What it costs the firm.
    pub cost: Money,
}

/// An expansion vessel on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Index in the book.
    pub product: Index<Product>,
    /// Volume (l).
    pub volume_l: f64,
}

/// A manifold on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manifold {
    /// Index in the book.
    pub product: Index<Product>,
    /// Loops that it can feed.
    pub outlets: u32,
    /// Water content (l).
    pub water_l: f64,
}

impl Offer {
    /// What a book offers.
    #[must_use]
    pub fn from_book(book: &PriceBook) -> Self {
        let mut offer = Self::default();
        for (index, product) in book.enumerate() {
            offer.add(index, product);
        }
        offer.radiators.sort_by(|a, b| a.output_w.total_cmp(&b.output_w).then(face(a).total_cmp(&face(b))));
        offer.worth_it = undominated(&offer.radiators);
        offer.tubes.sort_by(|a, b| a.bore_m.total_cmp(&b.bore_m));
        let over_tube = (1.0 + book.waste.tube) * (1.0 + book.fittings_share_of_tube_cost);
        offer.tubes.iter_mut().for_each(|tube| tube.cost_per_m *= over_tube);
        offer.pipe_insulation.sort_by(|a, b| a.thickness_mm.total_cmp(&b.thickness_mm));
        offer.circulators.sort_by(|a, b| a.cost.cmp(&b.cost));
        offer.bypasses.sort_by(|a, b| a.cost.cmp(&b.cost));
        offer.buffers.sort_by(|a, b| a.volume_l.total_cmp(&b.volume_l));
        offer.cylinders.sort_by(|a, b| a.volume_l.total_cmp(&b.volume_l));
        offer.vessels.sort_by(|a, b| a.volume_l.total_cmp(&b.volume_l));
        offer.manifolds.sort_by(|a, b| a.outlets.cmp(&b.outlets));
        offer
    }

    fn add(&mut self, product: Index<Product>, found: &Product) {
        match found {
            Product::Radiator { height_mm, length_mm, depth_mm, output_w, exponent, water_l, towel_rail, .. } => {
                let size_mm = [*height_mm, *length_mm, *depth_mm];
                let (output_w, exponent, water_l) = (*output_w, *exponent, *water_l);
                let (is_towel_rail, cost) = (*towel_rail == Some(true), found.unit_cost());
                self.radiators.push(Radiator { product, size_mm, output_w, exponent, water_l, is_towel_rail, cost });
            }
            Product::FanConvector { height_mm, length_mm, depth_mm, water_l, speeds, outputs, .. } => {
                // a book whose tables are not whole is refused before it is chosen from
                let Ok(table) = fan_table(speeds, outputs) else { return };
                let size_mm = [*height_mm, *length_mm, *depth_mm];
                let (water_l, cost, speeds) = (*water_l, found.unit_cost(), speeds.clone());
                self.fan_convectors.push(FanConvector { product, size_mm, water_l, cost, speeds, table });
            }
            Product::Tube {
                outside_diameter_mm,
                bore_mm,
                roughness_mm,
                material,
                conductivity_w_mk,
                temperature_max_c,
                pressure_max_bar,
                tail_max_m,
                seldom_stocked,
                pack_m,
                unit_cost,
                ..
            } => self.tubes.push(Tube {
                product,
                outside_m: outside_diameter_mm / 1000.0,
                bore_m: bore_mm / 1000.0,
                roughness_m: roughness_mm / 1000.0,
                material: *material,
                wall_w_mk: conductivity_w_mk.or(material.map(TubeMaterial::conductivity_w_mk)).unwrap_or(f64::INFINITY),
                temperature_max_c: temperature_max_c.or(material.map(TubeMaterial::temperature_max_c)),
                pressure_max_bar: pressure_max_bar.or(material.map(TubeMaterial::pressure_max_bar)),
                tail_max_m: *tail_max_m,
                is_seldom_stocked: *seldom_stocked == Some(true),
                cost_per_m: unit_cost.as_f64() / pack_m,
            }),
            Product::PipeInsulation {
                fits_mm,
                thickness_mm,
                conductivity_w_mk,
                for_outdoors,
                keeps_vapour_out,
                ..
            } => self.pipe_insulation.push(PipeInsulation {
                product,
                fits_m: fits_mm / 1000.0,
                thickness_mm: *thickness_mm,
                conductivity_w_mk: *conductivity_w_mk,
                for_outdoors: *for_outdoors == Some(true),
                keeps_vapour_out: *keeps_vapour_out == Some(true),
            }),
            Product::Circulator { pump, unit_cost, .. } => {
                self.circulators.push(Circulator { product, pump: pump.clone(), cost: *unit_cost });
            }
            Product::BufferVessel { volume_l, unit_cost, .. } => {
                self.buffers.push(Buffer { product, volume_l: *volume_l, cost: *unit_cost });
            }
            Product::BypassValve { kv_m3_h, unit_cost, .. } => {
                self.bypasses.push(Bypass { product, kv_m3_h: *kv_m3_h, cost: *unit_cost });
            }
            Product::HeatSource { .. } => {
                if let Some(unit) = heat_source(product, found) {
                    self.heat_sources.push(unit);
                }
            }
            Product::Cylinder { volume_l, coil_water_l, .. } => {
                self.cylinders.push(Cylinder { product, volume_l: *volume_l, coil_water_l: *coil_water_l });
            }
            Product::ExpansionVessel { volume_l, .. } => self.vessels.push(Vessel { product, volume_l: *volume_l }),
            Product::Manifold { outlets, water_l, .. } => {
                self.manifolds.push(Manifold { product, outlets: *outlets, water_l: *water_l });
            }
            Product::RadiatorValves { .. }
            | Product::FusedSpur { .. }
            | Product::FlowLimiter { .. }
            | Product::FloorTube { .. }
            | Product::FloorBoard { .. }
            | Product::ConductingPlate { .. }
            | Product::InsulationBoard { .. }
            | Product::SeparatingLayer { .. }
            | Product::EdgeStrip { .. }
            | Product::Screed { .. }
            | Product::PlantKit { .. }
            | Product::LoopActuator { .. }
            | Product::RoomThermostat { .. }
            | Product::FreezeValve { .. }
            | Product::FlexibleHose { .. }
            | Product::Antifreeze { .. }
            | Product::Inhibitor { .. } => {}
        }
    }
}

/// A heat source of the book.
fn heat_source(product: Index<Product>, found: &Product) -> Option<HeatSource> {
    let Product::HeatSource {
        water_l,
        defrost_included,
        minimum_flow_l_h,
        maximum_flow_l_h,
        minimum_water_l,
        defrost_kwh,
        points,
        pump,
        ..
    } = found
    else {
        return None;
    };
    Some(HeatSource {
        product: Some(product),
        water_l: *water_l,
        defrost_included: *defrost_included,
        minimum_flow_l_h: *minimum_flow_l_h,
        maximum_flow_l_h: *maximum_flow_l_h,
        minimum_water_l: *minimum_water_l,
        defrost_kwh: *defrost_kwh,
        points: points.clone(),
        pump: pump.clone(),
    })
}

/// Front of a radiator (mm²): between two of the same output the smaller one is taken.
fn face(radiator: &Radiator) -> f64 {
    radiator.size_mm[0] * radiator.size_mm[1]
}
