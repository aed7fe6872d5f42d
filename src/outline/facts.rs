//! The few facts that an outline is made from.

use crate::intake::FaultCode;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use crate::catalogue::Defaults;
use crate::catalogue::rules::Nation;
use crate::intake::Id;
use crate::job::dwelling::DwellingKind;
use crate::job::rules::Broken;

/// What is known of a dwelling before anyone has been there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[validate(schema(function = "storeys_fit", skip_on_field_errors = false))]
pub struct Facts {
    /// What the firm calls the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub title: Option<String>,
    /// How the dwelling stands to its neighbours.
    pub dwelling_kind: DwellingKind,
    /// Year in which the dwelling was built.
    #[schema(minimum = 1000, maximum = 2100)]
    pub construction_year: u32,
    /// Heated floor area over all storeys (m²).
    #[schema(minimum = 20.0, maximum = 1000.0)]
    pub floor_area_m2: f64,
    /// Number of storeys; one for a bungalow or a flat and two for other houses when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 4)]
    pub storeys: Option<u32>,
    /// Number of bedrooms; by the floor area when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 10)]
    pub bedrooms: Option<u32>,
    /// Nation whose rules of tax, grant and planning hold.
    pub nation: Nation,
    /// Id of the climate station in the catalogue that stands for the town.
    pub station: Id,
    /// What was done to the dwelling since it was built.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub improvements: Option<Improvements>,
    /// Date of the quote; the job can be priced only with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub quote_date: Option<Date>,
}

/// What was done to a dwelling since it was built; whatever is left out is as it was built.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Improvements {
    /// Insulation of the outer walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walls: Option<WallImprovement>,
    /// Insulation that lies in the loft now (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.0, maximum = 500.0)]
    pub loft_insulation_mm: Option<f64>,
    /// Windows as they are now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub windows: Option<Glazing>,
    /// Insulation of the lowest floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor: Option<FloorImprovement>,
    /// Whether gaps at windows, doors and floors were sealed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draught_proofed: Option<bool>,
}

/// Insulation of outer walls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WallImprovement {
    /// As built.
    None,
    /// The cavity was filled.
    CavityFilled,
    /// At least 50 mm were laid on the walls, inside or outside, the cavity filled if there is one.
    Insulated,
}

/// Glazing of windows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Glazing {
    /// One pane.
    Single,
    /// Two panes.
    Double,
    /// Two panes, coated, with argon between them.
    DoubleLowE,
    /// Three panes, coated.
    Triple,
}

/// Insulation of the lowest floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FloorImprovement {
    /// As built.
    None,
    /// At least `default:outline_improved_floor_mm` mm were laid.
    Insulated,
}

impl Facts {
    /// Storeys, as told or by the kind of dwelling.
    #[must_use]
    pub fn storeys(&self, defaults: &Defaults) -> u32 {
        let by_kind = if on_one_level(self.dwelling_kind) { 1 } else { defaults.outline_house_storeys.value };
        self.storeys.unwrap_or(by_kind)
    }

    /// Whether anything is told of walls, loft, windows, floor or gaps.
    #[must_use]
    pub fn tells_of_improvements(&self) -> bool {
        self.improvements.as_ref().is_some_and(|done| *done != Improvements::default())
    }

    /// Bedrooms, as told or by the floor area.
    #[must_use]
    pub fn bedrooms(&self, defaults: &Defaults) -> u32 {
        self.bedrooms.unwrap_or_else(|| defaults.outline_bedrooms_by_area.value.at(self.floor_area_m2).unwrap_or(0))
    }
}

fn on_one_level(kind: DwellingKind) -> bool {
    match kind {
        DwellingKind::Bungalow | DwellingKind::Flat => true,
        DwellingKind::Detached | DwellingKind::SemiDetached | DwellingKind::EndTerrace | DwellingKind::MidTerrace => {
            false
        }
    }
}

/// A bungalow and a flat lie on one level.
fn storeys_fit(facts: &Facts) -> Result<(), ValidationError> {
    match facts.storeys {
        Some(storeys) if storeys > 1 && on_one_level(facts.dwelling_kind) => {
            Err(Broken::new(FaultCode::TooManyStoreys)
                .at("storeys")
                .says(format!("a bungalow or a flat lies on one level, not on {storeys}"))
                .limit(1.0)
                .into())
        }
        Some(_) | None => Ok(()),
    }
}
