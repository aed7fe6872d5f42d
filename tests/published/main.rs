//! The methods against figures from outside of this program: standards, government documents, open data and sheets
//! worked by hand. Every expected figure stands with its source in `fixtures/published` or beside its assertion.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test that cannot read or compute fails by panic")]

mod dew_point;
mod fabric_ground;
mod fabric_layers;
mod film;
mod fixture;
mod floor_circuit;
mod floor_conduction;
mod layer_rows;
mod methods_en_1264;
mod methods_en_442;
mod methods_fan_convector;
mod methods_friction;
mod methods_glycol;
mod methods_hidden_tube;
mod methods_iso_11855;
mod methods_part_load;
mod methods_pipes;
mod methods_plant;
mod methods_tested_floor;
mod methods_water;
mod methods_workings;
mod methods_workings_floors;
mod network_flow;
mod outline;
mod states;
