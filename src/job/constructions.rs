//! What walls, floors, roofs and openings are made of.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError, ValidationErrors};

use super::rules::{self, Broken};

/// A construction that surfaces and openings refer to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Construction {
    /// A construction whose U-value is known, surface films included.
    Known {
        /// Thermal transmittance (W/(m²K)).
        #[schema(exclusive_minimum = 0.0, maximum = 10.0)]
        u_value_w_m2k: f64,
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

/// One layer of a construction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Layer {
    /// A layer by thickness and conductivity.
    Conductivity {
        /// Thickness (mm).
        #[schema(exclusive_minimum = 0.0, maximum = 2000.0)]
        thickness_mm: f64,
        /// Thermal conductivity (W/(mK)).
        #[schema(minimum = 0.005, maximum = 500.0)]
        conductivity_w_mk: f64,
    },
    /// A layer by its thermal resistance.
    Resistance {
        /// Thermal resistance (m²K/W).
        #[schema(minimum = 0.0, maximum = 50.0)]
        resistance_m2k_w: f64,
    },
}

impl Validate for Construction {
    fn validate(&self) -> Result<(), ValidationErrors> {
        match *self {
            Self::GroundFloor { area_m2, exposed_perimeter_m, wall_thickness_mm, .. } => {
                rules::of_object(ground_floor_holds_together(area_m2, exposed_perimeter_m, wall_thickness_mm))
            }
            Self::Known { .. } => Ok(()),
        }
    }
}

/// A slab is at most as narrow as its walls allow: half its perimeter times the wall's thickness cannot exceed
/// its area, or the walls would fill it.
fn ground_floor_holds_together(area_m2: f64, perimeter_m: f64, wall_mm: f64) -> Result<(), ValidationError> {
    let walls_m2 = 0.5 * perimeter_m * wall_mm / 1000.0;
    if walls_m2 <= area_m2 {
        Ok(())
    } else {
        Err(Broken::new("slab_too_narrow")
            .at("area_m2")
            .says(format!("a slab of {area_m2} m² cannot have an exposed perimeter of {perimeter_m} m and walls {wall_mm} mm thick"))
            .limit(walls_m2)
            .into())
    }
}
