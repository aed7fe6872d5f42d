//! What the program ships: products, labour norms, climate, room uses, floor coverings, building materials, typical
//! U-values, dated rules, and what stands in for what a job leaves out.
//!
//! Every figure stands in a CSV file of `data/`, one file per kind of row, read and checked once. Products,
//! prices and hours are invented and say so; each other row names its source and how far it is to be trusted.
//!
//! - `built_in`: all that is shipped, read once
//! - `binder`: what binds a screed
//! - `price_book`: products, labour, waste and rules as one document, shipped or given with a job
//! - `offer`: what a price book offers, by kind
//! - `undominated`: the radiators among it that may be the cheapest
//! - `products`: products that a bill can hold, told apart by kind
//! - `product_coils`: coils that a floor tube is on sale in
//! - `product_points`: points of the tables that products bring
//! - `product_common`: what every product has in common, whatever its kind
//! - `feeds`: how wide the tube to a floor manifold is at least
//! - `tube_material`: what tubes are made of, and what follows from it
//! - `glycol`: what keeps heating water from freezing
//! - `labour`: hours per task
//! - `rules`: dated rules of tax and grants, asked by key, nation and date
//! - `climate`: outside design temperatures and annual means
//! - `room_use`: default inside temperatures and air changes
//! - `coverings`: floor coverings and their conductivity
//! - `materials`: building materials, their conductivity, density and specific heat
//! - `typical`: U-values to take by element and year where the build-up is not known
//! - `typology`: dwellings that stand for their kind and their years, with their areas and U-values
//! - `defaults`: what stands in for what a job leaves out
//! - `default_rows`: what such a value may be, and how it is told
//! - `provenance`: where a row is from, and how far it is to be trusted
//! - `digest`: by what the files that are shipped are told from others
//! - `error`: what a problem in a data file or in a price book looks like

pub mod binder;
pub mod built_in;
pub mod climate;
pub mod coverings;
pub mod default_rows;
pub mod defaults;
pub mod digest;
pub mod error;
pub mod feeds;
pub mod glycol;
pub mod labour;
pub mod materials;
pub mod offer;
pub mod price_book;
pub(crate) mod product_checks;
mod product_coils;
mod product_common;
pub mod product_points;
mod product_rows;
pub mod products;
pub mod provenance;
pub mod room_use;
mod rows;
pub mod rules;
pub mod tube_material;
pub mod typical;
pub mod typology;
mod undominated;

pub use built_in::Catalogue;
pub use defaults::Defaults;
pub use error::{CatalogueError, Problem};
pub use offer::Offer;
pub use price_book::PriceBook;
pub use products::Product;
pub use provenance::{Confidence, Provenance};
