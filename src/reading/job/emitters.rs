//! What heats a room: radiators, fan convectors and heated floors.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::{Validate, ValidationErrors};

use super::heated_floors::{Covering, DesignOn, DropRule, FloorSystem, Passes, Screed, Spacing};
use crate::intake::{ById, Id, by_kind};

/// An emitter of a room.
#[expect(clippy::large_enum_variant, reason = "a job has a few dozen, and a box would hide the members of one kind")]
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Emitter {
    /// A radiator, chosen from the catalogue within its fit limits, or one that hangs there already.
    Radiator {
        /// Space that the radiator must fit into.
        #[serde(skip_serializing_if = "Option::is_none")]
        fit: Option<Fit>,
        /// Whether a towel rail is wanted: only towel rails are then chosen from, and they are chosen nowhere else.
        #[serde(skip_serializing_if = "Option::is_none")]
        towel_rail: Option<bool>,
        /// Where flow and return are connected; at the same end when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        connection: Option<Connection>,
        /// How its surface is painted; as it was rated when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        finish: Option<Finish>,
        /// Part of its output that a cover, a niche or a shelf above it leaves; `default:radiator_enclosure_factor` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.5, maximum = 1.0)]
        enclosure_factor: Option<f64>,
        /// Ratio of what it could give to what it should carry above which a new one is taken only where nothing smaller is
        /// enough, and the answer warns; none when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1.0, maximum = 20.0)]
        oversize_max: Option<f64>,
        /// The radiator that hangs there now.
        #[serde(skip_serializing_if = "Option::is_none")]
        existing: Option<ExistingRadiator>,
        /// Share of the room's loss that this emitter carries (0–1). Left out it is what the others leave; where several leave
        /// it out it is found at each flow temperature: heated floors as much as they can, the others equal parts of the rest
        /// as far as they can.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 1.0)]
        share: Option<f64>,
    },
    /// A fan convector, chosen from the catalogue within its fit limits. It runs at the nominal drop, and its fan follows
    /// the load.
    FanConvector {
        /// Space that it must fit into.
        #[serde(skip_serializing_if = "Option::is_none")]
        fit: Option<Fit>,
        /// Greatest sound power level that it may have (dB); speeds above it are not used. No limit when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 120.0)]
        sound_max_db: Option<f64>,
        /// Share of the room's loss that this emitter carries (0–1). Left out it is what the others leave; where several leave
        /// it out it is found at each flow temperature: heated floors as much as they can, the others equal parts of the rest
        /// as far as they can.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 1.0)]
        share: Option<f64>,
    },
    /// A heated floor.
    HeatedFloor {
        /// Id of the manifold that feeds its loops; the nearest on its storey when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        manifold: Option<Id>,
        /// Code of the floor tube in the catalogue or price book.
        tube: Id,
        /// Where the pipes lie; in the screed when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        system: Option<FloorSystem>,
        /// Height of the pipe above the insulation (mm), with screed under it; on the insulation when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 200.0)]
        pipe_height_mm: Option<f64>,
        /// Screed above the pipe. Only a floor of tested boards may be laid without one.
        #[serde(skip_serializing_if = "Option::is_none")]
        screed: Option<Screed>,
        /// Floor covering on the screed; none when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        covering: Option<Covering>,
        /// Covering of the highest resistance that may come to lie there later. The floor is designed for `covering`;
        /// the answer warns where it would not carry its room under this one.
        #[serde(skip_serializing_if = "Option::is_none")]
        worst_covering: Option<Covering>,
        /// Pipe spacings that may be laid (mm); `default:floor_spacing_least_mm` to `default:floor_spacing_most_mm` in steps of `default:floor_spacing_step_mm` when left out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schema(max_items = 20)]
        spacings_mm: Vec<Spacing>,
        /// Part of the room's floor without pipes: under units and fixed furniture (m²).
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 5000.0)]
        unheated_area_m2: Option<f64>,
        /// Area of the edge zone, the strip of at most `default:edge_zone_max_m` m along outer walls (m²); it has loops of its own.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 5000.0)]
        edge_area_m2: Option<f64>,
        /// Pipe spacing of the edge zone (mm); the closest of `spacings_mm` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        edge_spacing_mm: Option<Spacing>,
        /// Highest temperature that the floor's surface may have (°C); `default:floor_surface_max_c`, in bathrooms `default:bathroom_surface_above_room_k` K above the room, and `default:timber_surface_max_c` under
        /// timber and laminate when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 15.0, maximum = 35.0)]
        surface_limit_c: Option<f64>,
        /// The same in the edge zone (°C); `default:edge_surface_max_c`, and `default:timber_surface_max_c` under timber and laminate when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 15.0, maximum = 35.0)]
        edge_surface_limit_c: Option<f64>,
        /// How each circuit's own drop follows from the common flow temperature; by the logarithm when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        drop_rule: Option<DropRule>,
        /// Length of each tail from manifold to field, one way (m); by `position` of room and manifold when left out, and `default:floor_tail_m`
        /// where these are not known.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0.0, maximum = 100.0)]
        tail_m: Option<f64>,
        /// Rooms that the tails pass through on their way, by id. What they give there heats that room, as a floor with pipes
        /// `default:lines_apart_mm` mm apart does under this floor's covering. The strip that they take is not taken off that room's own floor:
        /// give it as unheated there.
        #[serde(default, skip_serializing_if = "ById::is_empty")]
        passes_through: Passes,
        /// Longest loop that may be laid, tails included (m); `default:floor_loop_max_m` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 10.0, maximum = 200.0)]
        loop_max_m: Option<f64>,
        /// Greatest pressure drop of a loop with its valves (kPa); `default:floor_loop_pressure_drop_max_kpa` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1.0, maximum = 100.0)]
        loop_pressure_drop_max_kpa: Option<f64>,
        /// Bends of 90° in each loop; none are counted when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 0, maximum = 500)]
        loop_bends: Option<u32>,
        /// Whether a room thermostat of its own shuts its loops; it does not when left out, and they stay open.
        #[serde(skip_serializing_if = "Option::is_none")]
        room_thermostat: Option<bool>,
        /// What the output is designed on; the lower of both when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        design_on: Option<DesignOn>,
        /// Share of the room's loss that this emitter carries (0–1). Left out it is what the others leave; where several leave
        /// it out it is found at each flow temperature: heated floors as much as they can, the others equal parts of the rest
        /// as far as they can.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(exclusive_minimum = 0.0, maximum = 1.0)]
        share: Option<f64>,
    },
}

impl Emitter {
    /// The share of the room's loss that the job gives it.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        match self {
            Self::Radiator { share, .. } | Self::FanConvector { share, .. } | Self::HeatedFloor { share, .. } => *share,
        }
    }

    /// Whether it may be chosen from a range of products.
    #[must_use]
    pub fn is_chosen(&self) -> bool {
        match self {
            Self::Radiator { existing, .. } => existing.as_ref().map(ExistingRadiator::keep) != Some(Keep::Always),
            Self::FanConvector { .. } => true,
            Self::HeatedFloor { .. } => false,
        }
    }

    /// Whether what hangs there now comes off in any case.
    #[must_use]
    pub fn goes_in_any_case(&self) -> bool {
        match self {
            Self::Radiator { existing, .. } => existing.as_ref().map(ExistingRadiator::keep) == Some(Keep::Never),
            Self::FanConvector { .. } | Self::HeatedFloor { .. } => false,
        }
    }

    /// Whether something hangs there now, so that tubes lead to it.
    #[must_use]
    pub fn hung_before(&self) -> bool {
        matches!(self, Self::Radiator { existing: Some(_), .. })
    }
}

impl Validate for Emitter {
    fn validate(&self) -> Result<(), ValidationErrors> {
        Ok(())
    }
}

/// Where flow and return are connected to a radiator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Connection {
    /// Flow at the top and return at the bottom of the same end, as it was rated.
    SameEnd,
    /// Flow at the top of one end and return at the bottom of the other: no less than it was rated at.
    TopBottomOppositeEnds,
    /// Both at the bottom, at opposite ends: it gives somewhat less.
    BottomOppositeEnds,
}

/// How the surface of a radiator is painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Finish {
    /// As it was rated: an ordinary paint, of any colour.
    Standard,
    /// A metallic paint, which radiates less.
    Metallic,
}

/// Space that an emitter must fit into: the body itself, as its product gives height, length and depth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Greatest height (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 5000.0)]
    pub height_max_mm: Option<f64>,
    /// Greatest length (mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
    pub length_max_mm: Option<f64>,
    /// Greatest depth of its body from back to front (mm). Brackets leave a gap to the wall besides, often 30 to 50 mm (common
    /// practice): take it off.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 1000.0)]
    pub depth_max_mm: Option<f64>,
    /// Height of the window sill above it over the floor (mm): `default:below_radiator_mm` mm are left below the radiator, and `default:below_sill_mm` mm above it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 5000.0)]
    pub sill_height_mm: Option<f64>,
    /// Length of clear wall that it hangs on (mm): `default:radiator_valve_mm` mm are left at each end for its valves.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 10000.0)]
    pub clear_wall_mm: Option<f64>,
}

/// A radiator that hangs there already.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum ExistingRadiator {
    /// One that the catalogue or price book describes.
    Product {
        /// Its code.
        product: Id,
        /// When it stays.
        keep: Keep,
    },
    /// One known by its rating alone.
    Rated {
        /// Output at 75/65/20 °C (W).
        #[schema(exclusive_minimum = 0.0, maximum = 20000.0)]
        output_w: f64,
        /// Exponent of its output over excess temperature; `default:existing_radiator_exponent` when left out.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1.0, maximum = 1.6)]
        exponent: Option<f64>,
        /// Water content (l).
        #[schema(minimum = 0.0, maximum = 200.0)]
        water_l: f64,
        /// When it stays.
        keep: Keep,
    },
}

impl ExistingRadiator {
    /// When it stays.
    #[must_use]
    pub fn keep(&self) -> Keep {
        match self {
            Self::Product { keep, .. } | Self::Rated { keep, .. } => *keep,
        }
    }
}

/// When an existing radiator stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Keep {
    /// It stays if it carries its room at the flow temperature, and is replaced if it does not.
    IfEnough,
    /// It stays in any case; what it cannot carry is told as unmet.
    Always,
    /// It goes in any case, and a new one is chosen.
    Never,
}
