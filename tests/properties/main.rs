//! What must hold whatever the numbers are: conservation, monotonicity, round trips, agreement of two readers.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a helper of a test has nobody to hand an error to")]
#![expect(clippy::float_cmp, reason = "a test compares exactly where the value is exact")]

mod all_faults;
mod budgets;
mod emitters;
mod en_1264;
#[path = "../api/figures.rs"]
mod figures;
mod floors;
mod heat_loss;
mod hidden_tubes;
mod houses;
mod intake;
mod money;
mod network_flow;
mod pipes;
mod round_trip;
mod routes;
mod settings;
#[path = "../api/steps.rs"]
mod steps;
