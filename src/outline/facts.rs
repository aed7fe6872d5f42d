//! The few facts that an outline is made from.

use crate::intake::FaultCode;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationError};

use crate::catalogue::Defaults;
use crate::catalogue::rules::Nation;
use crate::intake::Id;
use crate::job::dwelling::{DwellingKind, ExistingHeating};
use crate::job::rules::Broken;

/// What is known of a dwelling before anyone has been there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
#[expect(clippy::duplicated_attributes, reason = "each rule says for itself that it is held beside others")]
#[validate(schema(function = "storeys_fit", skip_on_field_errors = false))]
#[validate(schema(function = "flat_has_the_storey", skip_on_field_errors = false))]
#[validate(schema(function = "gas_feeds_the_boiler", skip_on_field_errors = false))]
#[validate(schema(function = "pipes_lie_there", skip_on_field_errors = false))]
#[validate(schema(function = "grant_has_a_date", skip_on_field_errors = false))]
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
    /// Where a flat lies in its building. Left out, its floor and its roof are what a flat of such buildings has on average: a part
    /// of each.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flat_storey: Option<FlatStorey>,
    /// Number of bedrooms; by the floor area when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 10)]
    pub bedrooms: Option<u32>,
    /// Number of people who live there; by the bedrooms when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 20)]
    pub occupants: Option<u32>,
    /// What heats the dwelling now. Where that is a boiler on gas, oil or liquefied gas, or a heat pump, an old radiator hangs in every
    /// room and is taken off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_heating: Option<ExistingHeating>,
    /// Whether mains gas is at hand, in the house or in the street. Grants may hang on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mains_gas: Option<bool>,
    /// Whether the pipes of the old heating are to stay, as far as they carry what they then must; new ones are laid when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pipes_kept: Option<bool>,
    /// Whether the client wants a grant, as far as the nation has one for the day of the quote; nothing is said of one when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grant_wanted: Option<bool>,
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

/// Where a flat lies in its building.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FlatStorey {
    /// On the ground, with a neighbour above.
    Ground,
    /// With neighbours below and above.
    Middle,
    /// Under the roof, with a neighbour below.
    Top,
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

    /// Whether radiators of an old heating hang there: its kind has them, or its tubes are to stay.
    #[must_use]
    pub fn has_old_radiators(&self) -> bool {
        let by_kind = match self.existing_heating {
            Some(
                ExistingHeating::GasBoiler {}
                | ExistingHeating::OilBoiler {}
                | ExistingHeating::LpgBoiler {}
                | ExistingHeating::HeatPump {},
            ) => true,
            // heaters and stoves stand by themselves, unless tubes are told of
            Some(ExistingHeating::Electric {} | ExistingHeating::SolidFuel {} | ExistingHeating::None {}) | None => {
                false
            }
        };
        by_kind || self.pipes_kept == Some(true)
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

/// Only a flat has other dwellings of its building below or above it.
fn flat_has_the_storey(facts: &Facts) -> Result<(), ValidationError> {
    if facts.flat_storey.is_none() || facts.dwelling_kind == DwellingKind::Flat {
        return Ok(());
    }
    Err(Broken::new(FaultCode::StoreyOfAHouse)
        .at("flat_storey")
        .says("only a flat lies on a storey of a building; the storeys of a house are told as storeys")
        .into())
}

/// A boiler on mains gas has mains gas.
fn gas_feeds_the_boiler(facts: &Facts) -> Result<(), ValidationError> {
    if facts.mains_gas != Some(false) || facts.existing_heating != Some(ExistingHeating::GasBoiler {}) {
        return Ok(());
    }
    Err(Broken::new(FaultCode::BoilerWithoutGas)
        .at("mains_gas")
        .says("a gas boiler heats the house, so mains gas is at hand; bottled gas is an lpg_boiler")
        .into())
}

/// Pipes can stay where a heating has pipes.
fn pipes_lie_there(facts: &Facts) -> Result<(), ValidationError> {
    match (facts.pipes_kept, &facts.existing_heating) {
        (Some(true), Some(ExistingHeating::None {})) => Err(Broken::new(FaultCode::NoPipesToKeep)
            .at("pipes_kept")
            .says("nothing heats the dwelling now, so there are no pipes to keep")
            .into()),
        (Some(_) | None, _) => Ok(()),
    }
}

/// A grant goes by the date of its application.
fn grant_has_a_date(facts: &Facts) -> Result<(), ValidationError> {
    if facts.grant_wanted != Some(true) || facts.quote_date.is_some() {
        return Ok(());
    }
    Err(Broken::new(FaultCode::GrantWithoutDate)
        .at("grant_wanted")
        .says("a grant goes by the date of its application: say quote_date")
        .into())
}
