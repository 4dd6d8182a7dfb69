//! The demo: an invented car, two keepers and a year of their evenings, told in readable source files under
//! `demo-project`, carried inside the program, checked, drawn and played through the notebook's own commands.
//!
//! It never writes to a record by any other way than a command that a person could give, and it holds no real make,
//! person or workshop.

mod act;
mod apart;
mod build;
mod closing;
mod days;
mod drawing;
mod error;
mod event;
mod key;
mod laid;
mod letters;
mod people;
mod sources;
mod story;
mod tables;
mod tour;
mod value;

pub use act::{Act, Call, Step};
pub use build::{Built, build, build_story, told};
pub use drawing::{Easel, SIZE};
pub use error::DemoError;
pub use key::{Ids, Key};
pub use letters::Letters;
pub use people::{Keeper, People, Who};
pub use sources::Sources;
pub use story::{Scene, Story};
pub use value::{FieldValues, Value};
