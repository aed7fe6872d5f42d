//! The job document as written: one set of types for reading, for the published schema and for the rules that
//! hold within one object. What the rules across the document say (references, mirrored partitions, pipe
//! trees) lives in [`survey`](crate::survey).
//!
//! Everything with an identity is a map from id to object; alternatives are told apart by `kind`; a field that
//! is left out, or null, is filled by a default that the answer names.

pub mod certainty;
pub mod circuits;
pub mod commercial;
pub mod constructions;
pub mod cooling;
pub mod dwelling;
pub mod emitters;
pub mod heated_floors;
pub mod heating;
pub mod layers;
#[cfg(test)]
mod one_pass;
pub mod pipework;
pub mod plant;
pub mod rooms;
pub mod rules;
pub mod runs;
pub mod site;
pub mod spaces;
pub mod windows;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::Validate;

use crate::intake::ById;

/// Constructions by id.
pub type Constructions = ById<constructions::Construction, 0, 200>;

/// Unheated spaces by id.
pub type UnheatedSpaces = ById<spaces::UnheatedSpace, 0, 20>;

/// Rooms by id.
pub type Rooms = ById<rooms::Room, 1, 200>;

/// Number of the schema that this program reads and writes.
pub const SCHEMA: u32 = 1;

/// A whole job: what was surveyed and what the firm wants.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, Validate)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Number of the schema that this document is written in.
    #[schema(minimum = 1, maximum = 1)]
    pub schema: u32,
    /// What the firm calls the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub title: Option<String>,
    /// The firm's own reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200)]
    pub reference: Option<String>,
    /// Where the dwelling stands.
    pub site: site::Site,
    /// The dwelling as a whole.
    #[validate(nested)]
    pub dwelling: dwelling::Dwelling,
    /// What walls, floors, roofs and openings are made of.
    #[validate(nested)]
    pub constructions: Constructions,
    /// Unheated spaces that rooms meet, each by its own balance.
    #[serde(default, skip_serializing_if = "ById::is_empty")]
    #[validate(nested)]
    pub unheated_spaces: UnheatedSpaces,
    /// The rooms, each with its surfaces and emitters.
    #[validate(nested)]
    pub rooms: Rooms,
    /// Flow temperature, drop and fluid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heating: Option<heating::Heating>,
    /// Pipe runs and what they are made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[validate(nested)]
    pub pipework: Option<pipework::Pipework>,
    /// Heat source, cylinder and expansion vessel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plant: Option<plant::Plant>,
    /// Hot-water demand and storage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot_water: Option<plant::HotWater>,
    /// Cooling through the heated floors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling: Option<cooling::Cooling>,
    /// Prices, margins, tax points and grant.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[validate(nested)]
    pub commercial: Option<commercial::Commercial>,
    /// That the answer shall tell how sure its heat losses are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<certainty::Uncertainty>,
    /// How parts of the job are known; what is not named is known as the default of its kind says.
    #[serde(default, skip_serializing_if = "certainty::Basis::is_empty")]
    pub basis: certainty::Basis,
}
