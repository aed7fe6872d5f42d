//! What the price book offers, sorted by kind, so that stages choose without looking products up by name.

use std::borrow::Cow;

use super::Gathering;
use crate::catalogue::PriceBook;
use crate::catalogue::product_points::fan_table;
use crate::catalogue::products::{FanSpeed, OperatingPoint, Product, PumpPoint};
use crate::intake::Fault;
use crate::job::commercial::PriceBookChoice;
use crate::methods::fan_convector;
use crate::money::Money;

/// What the price book offers; `product` is the index of the product in the book.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Offer {
    /// Radiators, by rated output.
    pub radiators: Vec<Radiator>,
    /// Fan convectors, in the order of the book.
    pub fan_convectors: Vec<FanConvector>,
    /// Tubes for runs, by bore.
    pub tubes: Vec<Tube>,
    /// Heat sources, in the order of the book.
    pub heat_sources: Vec<HeatSource>,
    /// Cylinders, by volume.
    pub cylinders: Vec<Cylinder>,
    /// Expansion vessels, by volume.
    pub vessels: Vec<Vessel>,
    /// Manifolds, by outlets.
    pub manifolds: Vec<Manifold>,
}

/// A radiator on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Radiator {
    /// Index in the book.
    pub product: usize,
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
    pub product: usize,
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
    pub product: usize,
    /// Bore (m).
    pub bore_m: f64,
    /// Roughness (m).
    pub roughness_m: f64,
}

/// A heat source on offer, or given with the job.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatSource {
    /// Index in the book; nothing for a unit given with the job.
    pub product: Option<usize>,
    /// Water content (l).
    pub water_l: f64,
    /// Whether its outputs have defrosting taken off.
    pub defrost_included: bool,
    /// Outputs.
    pub points: Vec<OperatingPoint>,
    /// Its own pump.
    pub pump: Vec<PumpPoint>,
}

/// A cylinder on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    /// Index in the book.
    pub product: usize,
    /// Volume (l).
    pub volume_l: f64,
    /// Water in its coil (l).
    pub coil_water_l: f64,
}

/// An expansion vessel on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Index in the book.
    pub product: usize,
    /// Volume (l).
    pub volume_l: f64,
}

/// A manifold on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manifold {
    /// Index in the book.
    pub product: usize,
    /// Loops that it can feed.
    pub outlets: u32,
    /// Water content (l).
    pub water_l: f64,
}

impl Gathering<'_> {
    /// The price book that the job is reckoned with, checked if the job brings its own.
    pub(super) fn price_book(&mut self) -> Cow<'static, PriceBook> {
        let built_in = Cow::Borrowed(&self.catalogue.price_book);
        match self.job.commercial.as_ref().and_then(|commercial| commercial.price_book.as_ref()) {
            Some(choice @ PriceBookChoice::Inline { .. }) => match choice.inline() {
                Some(book) => {
                    let at = "/commercial/price_book";
                    self.faults.extend(book.problems().into_iter().map(|problem| {
                        let pointer = format!("{at}{}", problem.pointer);
                        Fault::new(pointer, "price_book_inconsistent", problem.detail).rests_on(at)
                    }));
                    Cow::Owned(book)
                }
                None => built_in,
            },
            Some(PriceBookChoice::BuiltIn {}) => built_in,
            None => {
                let detail = "prices, products and labour norms are the program's own, which are invented";
                self.notes.assume("price_book", "/commercial", detail);
                built_in
            }
        }
    }
}

impl Offer {
    /// What a book offers.
    #[must_use]
    pub fn of(book: &PriceBook) -> Self {
        let mut offer = Self::default();
        for (index, product) in book.products.values().enumerate() {
            offer.add(index, product);
        }
        offer.radiators.sort_by(|a, b| a.output_w.total_cmp(&b.output_w).then(face(a).total_cmp(&face(b))));
        offer.tubes.sort_by(|a, b| a.bore_m.total_cmp(&b.bore_m));
        offer.cylinders.sort_by(|a, b| a.volume_l.total_cmp(&b.volume_l));
        offer.vessels.sort_by(|a, b| a.volume_l.total_cmp(&b.volume_l));
        offer.manifolds.sort_by_key(|manifold| manifold.outlets);
        offer
    }

    fn add(&mut self, product: usize, found: &Product) {
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
            Product::Tube { bore_mm, roughness_mm, .. } => {
                self.tubes.push(Tube { product, bore_m: bore_mm / 1000.0, roughness_m: roughness_mm / 1000.0 });
            }
            Product::HeatSource { water_l, defrost_included, points, pump, .. } => self.heat_sources.push(HeatSource {
                product: Some(product),
                water_l: *water_l,
                defrost_included: *defrost_included,
                points: points.clone(),
                pump: pump.clone(),
            }),
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
            | Product::Inhibitor { .. } => {}
        }
    }
}

/// Front of a radiator (mm²): between two of the same output the smaller one is taken.
fn face(radiator: &Radiator) -> f64 {
    radiator.size_mm[0] * radiator.size_mm[1]
}
