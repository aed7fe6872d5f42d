//! What walls, floors, roofs and openings are made of.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationErrors};

use super::layers::{Corrections, Layer, broken_layers, too_many_bridged};
use super::rules::{self, Broken};
use super::windows::{FrameMaterial, WindowMeasures, all_frame};
use crate::intake::{FaultCode, Id, by_kind};

/// A construction that surfaces and openings refer to.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// A construction whose U-value is known, surface films included.
    Known {
        /// Thermal transmittance (W/(m²K)).
        #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
        u_value_w_m2k: f64,
        /// Share of the sun's heat that a window lets in (0–1).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 1.0)]
        solar_factor: Option<f64>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// An undocumented construction, by what it looks like and when it was built.
    Typical {
        /// Id of the element in the catalogue's table of typical U-values.
        element: Id,
        /// Year that it was built in; the dwelling's when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1000, maximum = 2100)]
        construction_year: Option<u32>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// A wall, roof or floor in layers, from outside inward, between air and air.
    Layered {
        /// Its layers, from outside inward.
        #[schema(min_items = 1, max_items = 20)]
        layers: Vec<Layer>,
        /// Corrections for air gaps and fixings.
        #[serde(skip_serializing_if = "Option::is_none")]
        corrections: Option<Corrections>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// A window or glazed door from its parts.
    Window {
        /// Measures of the window.
        measures: WindowMeasures,
        /// Thermal transmittance of the glazing (W/(m²K)).
        #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
        glazing_u_value_w_m2k: f64,
        /// Thermal transmittance of the frame (W/(m²K)).
        #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
        frame_u_value_w_m2k: f64,
        /// What the frame is made of; wood or plastic when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        frame: Option<FrameMaterial>,
        /// Linear thermal transmittance of the glass edge with its spacer (W/(mK)); by the frame when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 1.0)]
        spacer_psi_w_mk: Option<f64>,
        /// Share of the sun's heat that the window lets in (0–1).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 1.0)]
        solar_factor: Option<f64>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// A slab on the ground: area and perimeter belong to the whole slab, and each room takes its share.
    GroundFloor {
        /// Area of the whole slab (m²).
        #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
        area_m2: f64,
        /// Perimeter of the whole slab that is exposed to outside (m); 0 for a slab with neighbours all round.
        #[schema(minimum = 0.0, maximum = 10000.0)]
        exposed_perimeter_m: f64,
        /// Thickness of the walls round the slab (mm).
        #[schema(minimum = 0.0, maximum = 2000.0)]
        wall_thickness_mm: f64,
        /// What the ground is.
        soil: Soil,
        /// Layers of the floor, without what a heated floor owns (screed and covering above the pipe).
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        layers: Vec<Layer>,
        /// Insulation along the slab's edge.
        #[serde(skip_serializing_if = "Option::is_none")]
        edge_insulation: Option<EdgeInsulation>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// A floor over a ventilated space above the ground.
    SuspendedFloor {
        /// Area of the whole floor (m²).
        #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
        area_m2: f64,
        /// Perimeter of the whole floor that is exposed to outside (m).
        #[schema(minimum = 0.0, maximum = 10000.0)]
        exposed_perimeter_m: f64,
        /// Thickness of the walls round the space (mm).
        #[schema(minimum = 0.0, maximum = 2000.0)]
        wall_thickness_mm: f64,
        /// What the ground is.
        soil: Soil,
        /// Layers of the floor, without what a heated floor owns.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        layers: Vec<Layer>,
        /// Height of the floor above the ground outside (m); `default:suspended_floor_height_m` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 5.0)]
        height_m: Option<f64>,
        /// Thermal transmittance of the walls of the space (W/(m²K)); `default:suspended_floor_wall_w_m2k` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
        space_wall_u_value_w_m2k: Option<f64>,
        /// Area of the vents for each metre of exposed perimeter (mm²); `default:suspended_floor_vents_mm2_m` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 100_000.0)]
        vents_mm2_m: Option<f64>,
        /// How the vents stand to the wind; moderate when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        shielding: Option<super::dwelling::Shielding>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
    /// Floor and walls of a heated basement: surfaces of part `floor` and `wall` that face the ground refer to it.
    Basement {
        /// Area of its floor (m²).
        #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
        area_m2: f64,
        /// Perimeter of its floor that stands against the ground (m).
        #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
        exposed_perimeter_m: f64,
        /// Depth of its floor below the ground outside (m).
        #[schema(exclusive_minimum = 0.0, maximum = 20.0)]
        depth_m: f64,
        /// Thickness of the walls above the ground (mm).
        #[schema(minimum = 0.0, maximum = 2000.0)]
        wall_thickness_mm: f64,
        /// What the ground is.
        soil: Soil,
        /// Layers of the floor, without what a heated floor owns.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        floor_layers: Vec<Layer>,
        /// Layers of the walls below the ground.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        wall_layers: Vec<Layer>,
        /// What it is, in words.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(max_length = 200)]
        description: Option<String>,
    },
}

/// What the ground under a floor is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Soil {
    /// Clay or silt.
    Clay,
    /// Sand or gravel.
    Sand,
    /// Homogeneous rock.
    Rock,
}

/// Insulation along the edge of a slab.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EdgeInsulation {
    /// Which way it lies.
    pub lies: EdgeLies,
    /// How far it reaches from the edge, inward or downward (m).
    #[schema(exclusive_minimum = 0.0, maximum = 20.0)]
    pub reach_m: f64,
    /// Thickness (mm).
    #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
    pub thickness_mm: f64,
    /// Thermal conductivity (W/(mK)).
    #[schema(minimum = 0.005, maximum = 500.0)]
    pub conductivity_w_mk: f64,
}

/// Which way edge insulation lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum EdgeLies {
    /// Along the slab, inward.
    Horizontal,
    /// Along the foundation, downward.
    Vertical,
}

impl Construction {
    /// Whether it lies on or in the ground, so that a surface made of it faces the ground.
    #[must_use]
    pub fn is_in_the_ground(&self) -> bool {
        match self {
            Self::GroundFloor { .. } | Self::SuspendedFloor { .. } | Self::Basement { .. } => true,
            Self::Known { .. } | Self::Typical { .. } | Self::Layered { .. } | Self::Window { .. } => false,
        }
    }
}

impl Validate for Construction {
    fn validate(&self) -> Result<(), ValidationErrors> {
        rules::of_object(match self {
            Self::GroundFloor { area_m2, exposed_perimeter_m, wall_thickness_mm, layers, .. }
            | Self::SuspendedFloor { area_m2, exposed_perimeter_m, wall_thickness_mm, layers, .. } => {
                let slab = slab_too_narrow(*area_m2, *exposed_perimeter_m, *wall_thickness_mm);
                slab.into_iter().chain(broken_below("layers", layers)).collect()
            }
            Self::Basement { area_m2, exposed_perimeter_m, wall_thickness_mm, floor_layers, wall_layers, .. } => {
                let slab = slab_too_narrow(*area_m2, *exposed_perimeter_m, *wall_thickness_mm);
                let layers = broken_below("floor_layers", floor_layers).into_iter();
                slab.into_iter().chain(layers).chain(broken_below("wall_layers", wall_layers)).collect()
            }
            Self::Layered { layers, corrections, .. } => broken_layers("layers", layers, corrections.as_ref()),
            Self::Window { measures, .. } => all_frame(measures).into_iter().collect(),
            Self::Known { .. } | Self::Typical { .. } => Vec::new(),
        })
    }
}

/// A slab is at most as narrow as its walls allow: half its perimeter times the wall's thickness cannot exceed
/// its area, or the walls would fill it.
fn slab_too_narrow(area_m2: f64, perimeter_m: f64, wall_mm: f64) -> Option<Broken> {
    let walls_m2 = 0.5 * perimeter_m * wall_mm / 1000.0;
    (walls_m2 > area_m2).then(|| {
        let detail = format!(
            "a slab of {area_m2} m² cannot have an exposed perimeter of {perimeter_m} m and walls {wall_mm} mm thick"
        );
        Broken::new(FaultCode::SlabTooNarrow).at("area_m2").says(detail).limit(walls_m2)
    })
}

/// Layers in the ground are even.
fn broken_below(field: &str, layers: &[Layer]) -> Vec<Broken> {
    let tapered = layers.iter().enumerate().filter(|(_, layer)| layer.taper().is_some()).map(|(index, _)| {
        Broken::new(FaultCode::TaperedInTheGround)
            .at(format!("{field}/{index}/taper"))
            .says("a layer in the ground is not tapered")
    });
    let tapered: Vec<Broken> = tapered.collect();
    if tapered.is_empty() {
        return broken_layers(field, layers, None);
    }
    tapered.into_iter().chain(too_many_bridged(field, layers)).collect()
}
