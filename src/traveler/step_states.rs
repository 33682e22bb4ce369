//! Steps by their id, and how far each has come: worked out when first asked for, and kept until the next event.

use std::collections::HashMap;
use std::sync::OnceLock;

use crate::procedure::plan::Step;

use super::event::{Body, Event};
use super::record::Record;
use super::state::{CheckState, StepState};

/// What was asked for since the last event. A screen asks for the states of all steps many times over.
#[derive(Debug, Clone, Default)]
pub(super) struct Steps {
    /// Where the steps of the plan in hand stand in it.
    places: OnceLock<HashMap<String, usize>>,
    /// The state of each.
    states: OnceLock<Vec<OnceLock<StepState>>>,
}

/// Follows from the events: two records with the same are the same, whatever was asked of them.
impl PartialEq for Steps {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Steps {
    /// Before an event is added: states follow from all events, the plan from those that begin a round.
    pub(super) fn forget(&mut self, event: &Event) {
        self.states = OnceLock::new();
        if matches!(event.body, Body::Changed(_)) {
            self.places = OnceLock::new();
        }
    }
}

impl Record {
    fn place(&self, id: &str) -> Option<usize> {
        // Of two steps with one id, which no plan of ours has, the first.
        let places = || self.plan().steps.iter().enumerate().rev().map(|(at, s)| (s.id.clone(), at)).collect();
        self.steps.places.get_or_init(places).get(id).copied()
    }

    /// The step of that id.
    #[must_use]
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.plan().steps.get(self.place(id)?)
    }

    /// State of a step; to do for one that the plan in hand does not have.
    #[must_use]
    pub fn step_state(&self, id: &str) -> StepState {
        let steps = &self.plan().steps;
        let states = self.steps.states.get_or_init(|| vec![OnceLock::new(); steps.len()]);
        let known = self.place(id).and_then(|at| Some((steps.get(at)?, states.get(at)?)));
        known.map_or(StepState::ToDo, |(step, state)| *state.get_or_init(|| self.state_of(step)))
    }

    fn state_of(&self, step: &Step) -> StepState {
        let states: Vec<CheckState> = step.checks.iter().map(|c| self.check_state(step, c)).collect();
        if states.contains(&CheckState::Stopped) {
            return StepState::Held;
        }
        if states.iter().all(|s| *s == CheckState::Answered) {
            return if step.hold.is_none() || self.release(&step.id).is_some() {
                StepState::Done
            } else {
                StepState::Held
            };
        }
        // A value computed from a reading elsewhere is no work begun here.
        let mut entered = step.checks.iter().zip(&states).filter(|(c, _)| c.derive.is_none());
        if entered.all(|(_, s)| *s == CheckState::Blank) { StepState::ToDo } else { StepState::InHand }
    }
}
