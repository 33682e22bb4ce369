//! The record of one build: events written one by one, state folded from them, nothing else stored.

mod enter;
pub mod event;
mod frame;
pub mod instruments;
mod judge;
mod record;
mod session;
mod store;
#[cfg(test)]
mod tests;

pub use enter::{Entry, EntryError, Outcome, Release, barred, running_waits, wait_ends};
pub use event::{Disposition, DispositionKind, EndedEarly, Paper, Remote, Verdict};
pub use judge::{is_round, summary};
pub use record::{BuildState, CheckState, Integrity, Kept, NoRecord, Record, StepState, code};
pub use session::{Session, time};
pub use store::{FILE, Listing, Start, Store, StoreError, initials_fit, serial_fits};
