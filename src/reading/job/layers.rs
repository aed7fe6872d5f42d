//! Layers of a construction, listed from outside inward.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::rules::Broken;
use crate::intake::{FaultCode, Id, by_kind};

/// Most layers of one construction that may be bridged: every path through them counts in the upper limit.
pub const MOST_BRIDGED: u8 = 6;

/// One layer of a construction.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Layer {
    /// A layer of a material of the catalogue.
    Material {
        /// Id of the material.
        material: Id,
        /// Thickness (mm); the lesser one of a tapered layer.
        #[schema(exclusive_minimum = 0.0, maximum = 2000.0)]
        thickness_mm: f64,
        /// What bridges it at regular spacing.
        #[serde(skip_serializing_if = "Option::is_none")]
        bridged_by: Option<Bridge>,
        /// How its thickness grows.
        #[serde(skip_serializing_if = "Option::is_none")]
        taper: Option<Taper>,
    },
    /// A layer by thickness and conductivity.
    Conductivity {
        /// Thickness (mm); the lesser one of a tapered layer.
        #[schema(exclusive_minimum = 0.0, maximum = 2000.0)]
        thickness_mm: f64,
        /// Thermal conductivity (W/(mK)).
        #[schema(minimum = 0.005, maximum = 500.0)]
        conductivity_w_mk: f64,
        /// What bridges it at regular spacing.
        #[serde(skip_serializing_if = "Option::is_none")]
        bridged_by: Option<Bridge>,
        /// How its thickness grows.
        #[serde(skip_serializing_if = "Option::is_none")]
        taper: Option<Taper>,
    },
    /// A layer by its thermal resistance.
    Resistance {
        /// Thermal resistance (m²K/W).
        #[schema(minimum = 0.0, maximum = 50.0)]
        resistance_m2k_w: f64,
        /// What bridges it at regular spacing.
        #[serde(skip_serializing_if = "Option::is_none")]
        bridged_by: Option<Bridge>,
    },
    /// A layer of air between plane faces that reflect little radiation.
    Air {
        /// Thickness (mm).
        #[schema(exclusive_minimum = 0.0, maximum = 300.0)]
        thickness_mm: f64,
        /// Area of its openings to outside, for each metre of length of a wall, or each square metre of a roof or
        /// floor (mm²); `default:air_layer_openings_mm2_m` when left out. From 500 on it is slightly ventilated; from 1500 on it is ventilated so well
        /// that neither it nor what lies outside it counts.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 1_000_000.0)]
        openings_mm2_m: Option<f64>,
        /// What bridges it at regular spacing.
        #[serde(skip_serializing_if = "Option::is_none")]
        bridged_by: Option<Bridge>,
    },
}

impl Layer {
    /// What bridges the layer.
    #[must_use]
    pub fn bridge(&self) -> Option<&Bridge> {
        match self {
            Self::Material { bridged_by, .. }
            | Self::Conductivity { bridged_by, .. }
            | Self::Resistance { bridged_by, .. }
            | Self::Air { bridged_by, .. } => bridged_by.as_ref(),
        }
    }

    /// How the layer's thickness grows.
    #[must_use]
    pub fn taper(&self) -> Option<&Taper> {
        match self {
            Self::Material { taper, .. } | Self::Conductivity { taper, .. } => taper.as_ref(),
            Self::Resistance { .. } | Self::Air { .. } => None,
        }
    }
}

/// What bridges a layer at regular spacing: studs, joists, battens, mortar.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Bridge {
    /// By a material of the catalogue, as thick as the layer.
    Material {
        /// Share of the layer's area (0–1).
        #[schema(exclusive_minimum = 0.0, exclusive_maximum = 1.0)]
        fraction: f64,
        /// Id of the material.
        material: Id,
    },
    /// By its conductivity, as thick as the layer.
    Conductivity {
        /// Share of the layer's area (0–1).
        #[schema(exclusive_minimum = 0.0, exclusive_maximum = 1.0)]
        fraction: f64,
        /// Thermal conductivity (W/(mK)).
        #[schema(minimum = 0.005, maximum = 500.0)]
        conductivity_w_mk: f64,
    },
    /// By its thermal resistance.
    Resistance {
        /// Share of the layer's area (0–1).
        #[schema(exclusive_minimum = 0.0, exclusive_maximum = 1.0)]
        fraction: f64,
        /// Thermal resistance (m²K/W).
        #[schema(exclusive_minimum = 0.0, maximum = 50.0)]
        resistance_m2k_w: f64,
    },
}

/// How a layer's thickness grows over the surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Taper {
    /// Greatest thickness (mm).
    #[schema(exclusive_minimum = 0.0, maximum = 2000.0)]
    pub greatest_thickness_mm: f64,
    /// Outline of the tapered part.
    pub outline: TaperOutline,
}

/// Outline of a tapered part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TaperOutline {
    /// A rectangle.
    Rectangle,
    /// A triangle that is thickest at its apex.
    TriangleThickestAtApex,
    /// A triangle that is thinnest at its apex.
    TriangleThinnestAtApex,
}

/// Corrections of a U-value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Corrections {
    /// Place of the insulation that they act through: the layer's number, from outside, beginning with 1.
    #[schema(minimum = 1, maximum = 20)]
    pub insulation_layer: u32,
    /// Air gaps in the insulation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_gaps: Option<AirGaps>,
    /// Fixings through the insulation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fixings: Option<Fixings>,
}

/// Air gaps in insulation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AirGaps {
    /// None that matter.
    None,
    /// Gaps through the insulation, without air moving round it.
    Bridging,
    /// Gaps through the insulation, with air moving between its warm and its cold side.
    Circulating,
}

/// Fixings through insulation.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Fixings {
    /// By conductivity and section; they pass through the whole insulation.
    Section {
        /// Number on a square metre.
        #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
        count_per_m2: f64,
        /// Thermal conductivity (W/(mK)).
        #[schema(minimum = 0.005, maximum = 500.0)]
        conductivity_w_mk: f64,
        /// Area of the section of one (mm²).
        #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
        section_mm2: f64,
    },
    /// By the point thermal transmittance of one.
    Point {
        /// Number on a square metre.
        #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
        count_per_m2: f64,
        /// Point thermal transmittance of one (W/K).
        #[schema(minimum = 0.0, maximum = 1.0)]
        chi_w_k: f64,
    },
}

/// Every rule that a list of layers breaks.
pub(super) fn broken_layers(field: &str, layers: &[Layer], corrections: Option<&Corrections>) -> Vec<Broken> {
    let tapered = layers.iter().enumerate().filter_map(|(index, layer)| Some((index, layer, layer.taper()?)));
    let mut broken: Vec<Broken> = too_many_bridged(field, layers).into_iter().collect();
    for (before, (index, layer, taper)) in tapered.enumerate() {
        let at = format!("{field}/{index}/taper");
        if before > 0 {
            let second = Broken::new(FaultCode::SecondTaperedLayer).at(&*at);
            broken.push(second.says("one layer of a construction is tapered at most"));
        }
        broken.extend(no_growth(&at, layer, taper));
        if layer.bridge().is_some() {
            let both = Broken::new(FaultCode::TaperedAndBridged).at(at);
            broken.push(both.says("a layer is tapered or bridged, not both"));
        }
        if before == 0 && corrections.is_some() {
            let corrected = Broken::new(FaultCode::TaperedAndCorrected).at("corrections");
            broken.push(corrected.says("the U-value of a tapered construction takes no corrections"));
        }
    }
    let count = u32::try_from(layers.len()).unwrap_or(u32::MAX);
    let named = corrections.map(|corrections| corrections.insulation_layer).filter(|layer| *layer > count);
    broken.extend(named.map(|layer| {
        let missing = Broken::new(FaultCode::NoSuchLayer).at("corrections/insulation_layer");
        missing.says(format!("there is no layer {layer} of {count}")).limit(f64::from(count))
    }));
    broken
}

/// As many layers are bridged as can be combined.
pub(super) fn too_many_bridged(field: &str, layers: &[Layer]) -> Option<Broken> {
    let bridged = layers.iter().filter(|layer| layer.bridge().is_some()).count();
    (bridged > usize::from(MOST_BRIDGED)).then(|| {
        let detail = format!("{bridged} layers are bridged, and {MOST_BRIDGED} may be");
        Broken::new(FaultCode::TooManyBridgedLayers).at(field).says(detail).limit(f64::from(MOST_BRIDGED))
    })
}

/// A taper grows from its layer's thickness.
fn no_growth(at: &str, layer: &Layer, taper: &Taper) -> Option<Broken> {
    let least_mm = match layer {
        Layer::Material { thickness_mm, .. } | Layer::Conductivity { thickness_mm, .. } => *thickness_mm,
        Layer::Resistance { .. } | Layer::Air { .. } => 0.0,
    };
    let greatest_mm = taper.greatest_thickness_mm;
    (greatest_mm <= least_mm).then(|| {
        Broken::new(FaultCode::TaperDoesNotGrow)
            .at(format!("{at}/greatest_thickness_mm"))
            .says(format!("a tapered layer grows from {least_mm} mm, not to {greatest_mm} mm"))
            .limit(least_mm)
    })
}
