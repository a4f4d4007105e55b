//! The states of a project in the order in which they came to be. The list only grows, so that no state is ever lost.

use jiff::Timestamp;

use crate::project::Project;
use crate::table::Selection;

use super::{Revision, Step};

/// A state with its revision.
#[derive(Clone, Debug)]
struct State {
    project: Project,
    revision: Revision,
}

impl State {
    fn new(project: Project) -> Self {
        Self { project, revision: Revision::next() }
    }
}

/// What makes a step besides the project.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub(super) label: String,
    pub(super) at: Timestamp,
    pub(super) selected: Option<Selection>,
}

/// The steps, the one that is current, and the gesture in progress.
///
/// There is always at least one step, and `current` is the index of one.
#[derive(Debug)]
pub(super) struct History {
    steps: Vec<Step>,
    current: usize,
    gesture: Option<State>,
}

impl History {
    pub(super) fn new(project: Project, first: Change) -> Self {
        let mut history = Self { steps: Vec::new(), current: 0, gesture: None };
        history.push(first, State::new(project), None);
        history
    }

    pub(super) fn steps(&self) -> &[Step] {
        &self.steps
    }

    pub(super) fn current(&self) -> usize {
        self.current
    }

    fn step(&self) -> &Step {
        &self.steps[self.current]
    }

    /// The project of the current step, whatever the gesture shows.
    pub(super) fn settled(&self) -> &Project {
        &self.step().project
    }

    /// The project: the preview while a gesture is open.
    pub(super) fn project(&self) -> &Project {
        self.gesture.as_ref().map_or(self.settled(), |shown| &shown.project)
    }

    pub(super) fn revision(&self) -> Revision {
        self.gesture.as_ref().map_or(self.step().revision, |shown| shown.revision)
    }

    /// Appends a step, unless the project is the one of the current step. Says whether it did.
    pub(super) fn append(&mut self, change: Change, project: Project) -> bool {
        if is_equal(&project, self.settled()) {
            return false;
        }
        self.append_state(change, State::new(project));
        true
    }

    fn append_state(&mut self, change: Change, state: State) {
        if self.current + 1 < self.steps.len() {
            self.append_return(change.at);
        }
        self.push(change, state, None);
    }

    /// Writes down that an earlier step became the present one, before a change is made to it.
    fn append_return(&mut self, at: Timestamp) {
        let target = self.step().back_to.unwrap_or(self.current);
        let (label, state) = {
            let step = &self.steps[target];
            (format!("Back to: {}", step.label), State { project: step.project.clone(), revision: step.revision })
        };
        let selected = self.step().selected.clone();
        self.push(Change { label, at, selected }, state, Some(target));
    }

    fn push(&mut self, change: Change, state: State, back_to: Option<usize>) {
        let Change { label, at, selected } = change;
        let State { project, revision } = state;
        self.current = self.steps.len();
        self.steps.push(Step { label, at, selected, project, revision, back_to });
    }

    pub(super) fn undo(&mut self) -> bool {
        self.current.checked_sub(1).is_some_and(|step| self.jump(step))
    }

    pub(super) fn redo(&mut self) -> bool {
        self.jump(self.current + 1)
    }

    /// Makes a step current; false when it already is or does not exist.
    pub(super) fn jump(&mut self, step: usize) -> bool {
        if step == self.current || step >= self.steps.len() {
            return false;
        }
        self.current = step;
        true
    }

    pub(super) fn undo_label(&self) -> Option<&str> {
        (self.current > 0).then(|| self.step().label.as_str())
    }

    pub(super) fn redo_label(&self) -> Option<&str> {
        self.steps.get(self.current + 1).map(|step| step.label.as_str())
    }

    pub(super) fn begin_gesture(&mut self) {
        let Step { project, revision, .. } = self.step();
        self.gesture = Some(State { project: project.clone(), revision: *revision });
    }

    pub(super) fn gesture_open(&self) -> bool {
        self.gesture.is_some()
    }

    /// Shows a project without making a step; a project already shown keeps its revision.
    pub(super) fn preview(&mut self, project: Project) {
        if is_equal(&project, self.settled()) {
            self.begin_gesture();
        } else if !is_equal(&project, self.project()) {
            self.gesture = Some(State::new(project));
        }
    }

    /// Turns the preview into a step; says whether there was anything to turn.
    pub(super) fn finish_gesture(&mut self, change: Change) -> bool {
        let Some(shown) = self.gesture.take() else {
            return false;
        };
        if is_equal(&shown.project, self.settled()) {
            return false;
        }
        self.append_state(change, shown);
        true
    }

    pub(super) fn cancel_gesture(&mut self) {
        self.gesture = None;
    }
}

/// Whether both hold the same values; quick when they are the same in memory.
pub(super) fn is_equal(a: &Project, b: &Project) -> bool {
    a.is_same(b) || a == b
}

#[cfg(test)]
mod tests {
    use super::super::trial::{project, with_cell};
    use super::*;
    use crate::project::write;
    use proptest::prelude::*;

    fn change(label: &str) -> Change {
        Change { label: label.into(), at: Timestamp::UNIX_EPOCH, selected: None }
    }

    fn history() -> History {
        History::new(project(), change("Opened"))
    }

    fn labels(history: &History) -> Vec<&str> {
        history.steps().iter().map(|step| step.label.as_str()).collect()
    }

    fn set(history: &mut History, cell: usize, advance_deg: f64) -> bool {
        let project = with_cell(history.project(), cell, advance_deg);
        history.append(change(&format!("Set {cell} to {advance_deg}")), project)
    }

    #[test]
    fn an_edit_after_undo_keeps_what_was_undone() {
        let mut history = history();
        assert!(set(&mut history, 0, 1.0) && set(&mut history, 0, 2.0));
        assert!(history.undo() && history.undo() && !history.undo());
        assert_eq!((history.undo_label(), history.redo_label()), (None, Some("Set 0 to 1")));
        assert!(set(&mut history, 0, 3.0));
        let expected = ["Opened", "Set 0 to 1", "Set 0 to 2", "Back to: Opened", "Set 0 to 3"];
        assert_eq!(labels(&history), expected);
        assert_eq!((history.undo_label(), history.redo_label()), (Some("Set 0 to 3"), None));
        assert!(history.steps()[3].project.is_same(&history.steps()[0].project));
        assert_eq!(history.steps()[3].revision, history.steps()[0].revision);
        // Editing on top of the return names the step meant, not the return.
        assert!(history.undo() && set(&mut history, 0, 4.0));
        assert_eq!(labels(&history)[5..], ["Back to: Opened", "Set 0 to 4"]);
        assert_eq!(history.steps()[5].back_to, Some(0));
    }

    #[test]
    fn nothing_changed_makes_no_step_even_after_undo() {
        let mut history = history();
        assert!(set(&mut history, 0, 1.0) && history.undo());
        let same = history.project().edit(|_| ()).unwrap();
        assert!(!history.append(change("Nothing"), same));
        assert_eq!(labels(&history), ["Opened", "Set 0 to 1"]);
    }

    #[test]
    fn a_gesture_is_one_step_and_none_when_it_comes_back() {
        let mut history = history();
        let first = history.revision();
        history.begin_gesture();
        let base = history.settled().clone();
        for deg in [1.0, 2.0, 3.0] {
            let before = history.revision();
            history.preview(with_cell(&base, 5, deg));
            assert_ne!(history.revision(), before);
        }
        let shown = history.revision();
        history.preview(with_cell(&base, 5, 3.0));
        assert_eq!(history.revision(), shown, "the same preview again is no new state");
        assert!(history.finish_gesture(change("Drag")));
        assert_eq!((labels(&history), history.revision()), (vec!["Opened", "Drag"], shown));
        assert!(history.undo());
        assert_eq!(history.revision(), first);
        history.begin_gesture();
        history.preview(with_cell(&base, 5, 9.0));
        history.preview(base.clone());
        assert_eq!(history.revision(), first);
        assert!(!history.finish_gesture(change("Drag back")));
        history.begin_gesture();
        history.preview(with_cell(&base, 5, 9.0));
        history.cancel_gesture();
        assert!(history.project().is_same(&base) && history.steps().len() == 2);
    }

    #[derive(Clone, Debug)]
    enum Action {
        Set(usize, f64),
        Undo,
        Redo,
        Jump(usize),
        Drag(usize, Vec<f64>),
        GiveUp(usize, f64),
    }

    fn action() -> impl Strategy<Value = Action> {
        // Few different values, so that an edit often changes nothing.
        let deg = || (-3_i32..4).prop_map(f64::from);
        prop_oneof![
            3 => (0_usize..16, deg()).prop_map(|(cell, deg)| Action::Set(cell, deg)),
            3 => Just(Action::Undo),
            1 => Just(Action::Redo),
            1 => (0_usize..30).prop_map(Action::Jump),
            2 => (0_usize..16, prop::collection::vec(deg(), 1..4)).prop_map(|(cell, degs)| Action::Drag(cell, degs)),
            1 => (0_usize..16, deg()).prop_map(|(cell, deg)| Action::GiveUp(cell, deg)),
        ]
    }

    fn perform(history: &mut History, action: Action) {
        match action {
            Action::Set(cell, deg) => _ = set(history, cell, deg),
            Action::Undo => _ = history.undo(),
            Action::Redo => _ = history.redo(),
            Action::Jump(step) => _ = history.jump(step),
            Action::Drag(cell, degs) => {
                history.begin_gesture();
                let base = history.settled().clone();
                degs.iter().for_each(|&deg| history.preview(with_cell(&base, cell, deg)));
                history.finish_gesture(change("Drag"));
            }
            Action::GiveUp(cell, deg) => {
                history.begin_gesture();
                history.preview(with_cell(history.settled(), cell, deg));
                history.cancel_gesture();
            }
        }
    }

    fn bits(project: &Project) -> (Vec<u64>, String) {
        let values = project.advance.table().values();
        (values.iter().map(|value| value.to_bits()).collect(), write(project).unwrap())
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]
        #[test]
        fn every_state_stays_reachable_and_undo_is_bit_identical(actions in prop::collection::vec(action(), 1..30)) {
            let mut history = history();
            // Every state that was ever the present one, as bits.
            let mut seen = vec![bits(history.project())];
            for action in actions {
                perform(&mut history, action);
                prop_assert!(!history.gesture_open());
                let now = bits(history.project());
                if !seen.contains(&now) {
                    seen.push(now);
                }
            }
            let reachable: Vec<_> = (0..history.steps().len()).map(|step| {
                history.jump(step);
                bits(history.project())
            }).collect();
            for state in &seen {
                prop_assert!(reachable.contains(state), "a state was lost");
            }
            // Undo walks the same list backwards, exactly, down to the opening.
            for step in (0..reachable.len() - 1).rev() {
                prop_assert!(history.undo());
                prop_assert_eq!(&bits(history.project()), &reachable[step]);
            }
            prop_assert!(!history.undo());
            prop_assert_eq!(&bits(history.project()), &seen[0]);
        }

        #[test]
        fn a_revision_never_stands_for_two_states(actions in prop::collection::vec(action(), 1..30)) {
            let mut history = history();
            actions.into_iter().for_each(|action| perform(&mut history, action));
            let steps = history.steps();
            for (index, a) in steps.iter().enumerate() {
                for b in &steps[..index] {
                    prop_assert!(a.revision != b.revision || a.project.is_same(&b.project));
                }
            }
        }
    }
}
