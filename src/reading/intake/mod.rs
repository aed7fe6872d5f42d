//! From JSON text to a typed document, with every fault at once and where it stands.
//!
//! The published schema is the gate: `schema` takes it from the types, `gate` compiles it once, `walk`
//! holds a document against it and collects every fault with its pointer, and `mend` puts stand-ins in the places at
//! fault, so that the rest can be looked at further. What passes becomes the typed document without a second reading
//! of the text. This layer knows no job: any type with a schema can be read.

pub mod by_id;
pub(crate) mod by_kind;
pub mod by_pointer;
mod codes;
mod de;
pub mod fault;
mod form;
pub mod gate;
mod mend;
pub mod node;
pub mod not_json;
mod parameters;
mod place;
pub mod read;
pub mod schema;
mod seen;
mod strict;
mod walk;
pub mod words;

pub use by_id::{ById, Id};
pub(crate) use by_kind::by_kind;
pub use by_pointer::ByPointer;
pub use codes::FaultCode;
pub use fault::{Fault, Places, Severity};
pub use gate::Gate;
pub use node::{Node, utf8};
pub use place::holds;
#[cfg(test)]
pub(crate) use read::both_ways;
pub use read::{Document, Reading, read, read_parameters};
