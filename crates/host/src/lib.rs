//! What a machine does for a notebook, once for shell, window and browser page: it opens a data folder, shares the notebook among
//! faces, meets other devices over a network, looks at drops, and looks at photos beside the work.
//!
//! It decides nothing of what a change means, draws no screen, and holds the notebook for one turn at a time: what waits for a
//! network, a disk or a decoder waits without it.

mod behind;
mod calling;
mod darkroom;
mod drop;
mod handle;
mod live;
mod long;
mod trace;
mod turns;

pub use handle::{Handle, is_there, open, open_telling, open_to_stay};
pub use live::Surroundings;
pub use trace::leave_trace;
