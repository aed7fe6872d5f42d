//! Pure engineering: one file per published method, figures in and figures out.
//!
//! No serde, no input or output, and no clock but that of a budget, which ends a search and never turns it. Every public
//! function says what it computes and gives its source, units, validity, errors and an example that runs.

mod banded;
pub mod budget;
/// Water about a heat source whose flow goes round in part.
pub mod bypass;
/// Heat that flowing water or air carries.
pub mod carried_heat;
/// Outside design temperature of a site.
pub mod climate;
/// Floor loops cut from coils.
pub mod cutting;
/// Water that a heat source needs while it defrosts.
pub mod defrost;
/// Draws that repeat by their seed.
pub mod draws;
/// Output of heated floors, EN 1264-2.
pub mod en_1264_2;
/// Dimensioning of heated floors, EN 1264-3.
pub mod en_1264_3;
/// Insulation below heated floors, EN 1264-4.
pub mod en_1264_4;
/// Expansion vessels, EN 12828.
pub mod en_12828;
/// Design heat loss of rooms, EN 12831.
pub mod en_12831;
/// Output of radiators, EN 442.
pub mod en_442;
pub mod error;
/// Fan convectors by their own data.
pub mod fan_convector;
/// Heat transfer from water to its tube.
pub mod film;
/// Pressure lost in fittings and valves.
pub mod fittings;
/// The water of a heated floor.
pub mod floor_circuit;
/// Conduction through the section of a heated floor.
pub mod floor_conduction;
/// Loops of a heated floor.
pub mod floor_loops;
/// Water, or water with glycol.
pub mod fluid;
/// Friction of water in straight tubes.
pub mod friction;
/// With what power of the flow friction goes.
pub mod friction_exponent;
/// Mixtures of water and glycol.
pub mod glycol;
/// Loss coefficients of named fittings.
pub mod handbook_zeta;
/// What a tube that nobody can see can carry.
pub mod hidden_tube;
/// Hot water of a household, and its share of the day.
pub mod hot_water;
mod interpolation;
/// Windows from their parts, ISO 10077-1.
pub mod iso_10077;
/// Plated and plane heated floors, surfaces that heat or cool, ISO 11855-2.
pub mod iso_11855_2;
/// Floors and walls in the ground, ISO 13370.
pub mod iso_13370;
/// Dew point of air, ISO 13788.
pub mod iso_13788;
/// Unheated spaces by their own balance, ISO 13789.
pub mod iso_13789;
/// Layers between air and air, ISO 6946.
pub mod iso_6946;
/// Holes and notches in joists.
pub mod joists;
/// The last step to a figure that is told.
pub mod last_steps;
/// Tube sizes of a tree at least cost.
pub mod least_cost_tree;
/// Logarithmic mean of excess temperatures.
pub mod log_mean;
pub mod math;
/// Flows in a tree of tubes and valves, at what its pump gives.
pub mod network_flow;
/// What a tube carried in the system that it was laid for.
pub mod old_tube;
/// Heat through an open door between two rooms.
pub mod open_door;
/// A house on a milder day.
pub mod part_load;
/// Declared points of heat sources and pumps.
pub mod performance_map;
/// Heat that pipes lose.
pub mod pipe_loss;
/// A pump at another speed.
pub mod pump_laws;
/// What a radiator gives at a flow of water.
pub mod radiator_flow;
/// A tree of right-angled ways on a plan.
pub mod rectilinear_tree;
/// Roots between two ends.
pub mod root;
/// Lengths of routes that nobody has drawn.
pub mod routes;
/// Height of a storey.
pub mod storey;
/// Parts added up, told as they grow.
pub mod sums;
/// Floors by their own published outputs.
pub mod tested_floor;
pub mod tube;
/// Names of figures as people read them.
pub mod unit_names;
/// Rooms whose emitters are not throttled.
pub mod warmed_room;
/// Properties of liquid water.
pub mod water;
mod water_tables;
pub mod workings;

pub use budget::{Budget, Watch};
pub use error::{MethodError, Range, where_it_holds};
pub use workings::{Book, Off, Step, Workings};
