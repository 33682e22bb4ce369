//! The record of one build: events written one by one, state folded from them, nothing else stored.

mod adopted;
mod again;
mod alone;
mod answer;
mod attach;
mod balanced;
mod bare;
mod beside;
#[cfg(test)]
mod byte_tests;
mod changing;
mod compare;
mod compare_trials;
mod computed;
mod copies;
mod derived;
mod deviation;
mod document;
mod due;
#[cfg(test)]
mod due_tests;
mod ending;
mod ends;
mod enter;
#[cfg(test)]
mod entry_tests;
pub mod event;
#[cfg(test)]
mod failing;
#[cfg(test)]
mod fault_tests;
mod fingerprint;
pub mod follows;
mod frame;
mod given_up;
mod guarded;
#[cfg(test)]
mod holds_tests;
#[cfg(test)]
pub(crate) mod hostile;
mod hours;
mod indexed;
pub mod instruments;
mod judge;
mod kept;
mod kits;
mod listing;
mod lock;
mod lost;
mod machine;
mod offers;
mod parts;
pub mod people;
mod place;
pub mod plausible;
mod progress;
mod proof;
mod record;
mod register;
#[cfg(test)]
mod register_fault_tests;
mod remembered;
pub mod report;
mod retype;
pub mod rounds;
#[cfg(test)]
mod rules_tests;
#[cfg(test)]
mod sample_tests;
mod session;
mod shift;
mod side_by_side;
mod signature;
mod sled;
mod slips;
mod state;
mod step_states;
mod store;
#[cfg(test)]
mod tests;
mod tightening;
mod too_fast;
mod trend;
pub mod trial;
#[cfg(test)]
mod trial_tests;
mod trialling;
mod unfinished;
mod used;
mod visits;
mod waits;
mod wanted;

pub use adopted::Adopted;
pub use again::Differs;
pub use alone::{alone_words, opens_power};
pub use answer::Release;
pub use attach::{CopyState, copy_state};
pub use balanced::{AtAdopted, BalanceValue};
pub use bare::with_units;
pub use changing::{CannotChange, Goal, Prospect, parts_of, prospect, way};
pub use compare::{BuildValue, CannotCompare, Compared, Comparison, compare};
pub use copies::{Relation, apart, relation};
pub use due::{Calibration, Due, Promised, foreseen};
pub use enter::{Entry, EntryError, Outcome, barred};
pub use event::{Disposition, DispositionKind, EndedEarly, Paper, Remote, Verdict};
pub use fingerprint::Fingerprint;
pub use indexed::{Discs, IndexKept, IndexedDisc};
pub use judge::{MOST_ROUNDS, NOT_CONSIDERED, NoValue, is_round, pair, summary, unreadable, value};
pub use kept::Kept;
pub use kits::{Tick, Ticks};
pub use listing::{Checked, Listing, setup_words};
pub use offers::{Ability, Offer};
pub use parts::{FACTS, PartEvent, PartHistory, PartNoted, parts};
pub use place::{OpenJoint, fits, side};
pub use progress::Progress;
pub use record::{NoRecord, Record, code};
pub use retype::Standing;
pub use session::{Session, time};
pub use shift::Exchanged;
pub use side_by_side::SetupRuns;
pub use signature::{NAMESPACE, SignError, Signature};
pub use sled::Centre;
pub use slips::contradicts;
pub use state::{BuildState, CheckState, Integrity, StepState};
pub use store::{FILE, Start, Store, StoreError, Trouble, initials_fit, serial_fits};
pub use tightening::{EASED, LEFT_TIGHT, ORDER, above, ease_first, too_tight};
pub use trend::{Point, Trend};
pub use trial::{Trial, setup_said};
pub use trialling::{TrialEntry, TrialOutcome};
pub use unfinished::Begun;
pub use visits::Wanted;
pub use waits::{running_waits, wait_ends};
