//! Constructions, with what their U-values are computed from.

use super::Gathering;
use crate::job::constructions as written;
use crate::methods::iso_13370;

/// A construction.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// U-value given outright (W/(m²K)).
    Known(f64),
    /// A slab on the ground.
    GroundFloor {
        /// Area of the whole slab (m²).
        area_m2: f64,
        /// Exposed perimeter of the whole slab (m).
        perimeter_m: f64,
        /// Thickness of the walls round it (m).
        wall_thickness_m: f64,
        /// Conductivity of the ground (W/(mK)).
        ground_w_mk: f64,
        /// Its layers.
        layers: Vec<Layer>,
    },
}

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Layer {
    /// By thickness (m) and conductivity (W/(mK)).
    Conductivity {
        /// Thickness (m).
        thickness_m: f64,
        /// Thermal conductivity (W/(mK)).
        conductivity_w_mk: f64,
    },
    /// By resistance (m²K/W).
    Resistance(f64),
}

impl Gathering<'_> {
    pub(super) fn constructions(&mut self) -> Vec<Construction> {
        let mut soils_from_memory = Vec::new();
        let constructions = self.job.constructions.iter().map(|(id, construction)| match construction {
            written::Construction::Known { u_value_w_m2k, .. } => Construction::Known(*u_value_w_m2k),
            written::Construction::GroundFloor {
                area_m2,
                exposed_perimeter_m,
                wall_thickness_mm,
                soil,
                layers,
                ..
            } => {
                if *soil != written::Soil::Clay {
                    soils_from_memory.push(id.clone());
                }
                Construction::GroundFloor {
                    area_m2: *area_m2,
                    perimeter_m: *exposed_perimeter_m,
                    wall_thickness_m: wall_thickness_mm / 1000.0,
                    ground_w_mk: conductivity(*soil),
                    layers: layers.iter().map(layer).collect(),
                }
            }
        });
        let constructions = constructions.collect();
        for id in soils_from_memory {
            self.notes.assume(
                "soil",
                format!("/constructions/{id}/soil"),
                "the ground's conductivity is taken from ISO 13370 (from memory, confirm)",
            );
        }
        constructions
    }
}

fn conductivity(soil: written::Soil) -> f64 {
    match soil {
        written::Soil::Clay => iso_13370::CLAY_W_MK,
        written::Soil::Sand => iso_13370::SAND_W_MK,
        written::Soil::Rock => iso_13370::ROCK_W_MK,
    }
}

fn layer(layer: &written::Layer) -> Layer {
    match *layer {
        written::Layer::Conductivity { thickness_mm, conductivity_w_mk } => {
            Layer::Conductivity { thickness_m: thickness_mm / 1000.0, conductivity_w_mk }
        }
        written::Layer::Resistance { resistance_m2k_w } => Layer::Resistance(resistance_m2k_w),
    }
}
