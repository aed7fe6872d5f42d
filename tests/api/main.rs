//! The service as its clients meet it: a real server on a free port, asked over HTTP.
#![expect(clippy::unwrap_used, clippy::panic, reason = "a helper of a test has nobody to hand an error to")]

mod agreement;
mod air;
mod auth;
mod circuits;
mod circuits_limits;
mod commands;
mod edge;
mod emitters;
mod fabric;
mod faults;
mod floor_faults;
mod floor_job;
mod floor_promises;
mod floors;
mod flow_temperatures;
mod formulas;
mod hand_house;
mod health;
mod heat_loss;
mod helpers;
mod labour;
mod next_changes;
mod notes;
mod openapi;
mod outline;
mod pipes;
mod price;
mod process;
mod proposal;
mod quotes;
mod screeds;
mod shares;
mod steps;
mod uncertainty;
mod walls;
