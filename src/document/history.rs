//! The states of a project in the order in which they arose. The list only grows, so that no state is ever
//! lost.
//!
//! Each step has a parent, the step from which it was made, so the steps form a tree: undo goes to the parent,
//! redo to the newest child. What was undone and then replaced remains as a side branch that only a jump
//! reaches.

use std::sync::atomic::{AtomicU64, Ordering};

use jiff::Timestamp;

use crate::project::Project;
use crate::table::Selection;

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

/// Everything about a step except the project.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub(super) label: String,
    pub(super) at: Timestamp,
    pub(super) selected: Option<Selection>,
}

/// The steps, the current one, and the gesture in progress.
///
/// Invariant: there is always at least one step, and `current` is the index of one.
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

    /// The project of the current step, whatever a gesture shows.
    pub(super) fn settled(&self) -> &Project {
        &self.step().project
    }

    /// The present project: the preview while a gesture is open.
    pub(super) fn project(&self) -> &Project {
        self.gesture.as_ref().map_or(self.settled(), |shown| &shown.project)
    }

    pub(super) fn revision(&self) -> Revision {
        self.gesture.as_ref().map_or(self.step().revision, |shown| shown.revision)
    }

    /// Appends a step, unless the project equals that of the current step. Returns whether it did.
    pub(super) fn append(&mut self, change: Change, project: Project) -> bool {
        if is_equal(&project, self.settled()) {
            return false;
        }
        self.append_state(change, State::new(project));
        true
    }

    fn append_state(&mut self, change: Change, state: State) {
        let parent = Some(self.current);
        self.push(change, state, parent);
    }

    fn push(&mut self, change: Change, state: State, parent: Option<usize>) {
        let Change { label, at, selected } = change;
        let State { project, revision } = state;
        self.current = self.steps.len();
        self.steps.push(Step { label, at, selected, project, revision, parent });
    }

    pub(super) fn undo(&mut self) -> bool {
        self.step().parent.is_some_and(|parent| self.jump(parent))
    }

    pub(super) fn redo(&mut self) -> bool {
        self.newest_child(self.current).is_some_and(|child| self.jump(child))
    }

    /// The newest of the steps made from a step.
    fn newest_child(&self, parent: usize) -> Option<usize> {
        // A child always comes after its parent.
        let younger = self.steps.iter().enumerate().skip(parent + 1).rev();
        younger.into_iter().find(|(_, step)| step.parent == Some(parent)).map(|(child, _)| child)
    }

    /// For every step, whether undo or redo leads to it from the current one; the others are side branches.
    pub(super) fn line(&self) -> Vec<bool> {
        let mut line = vec![false; self.steps.len()];
        let back = std::iter::successors(Some(self.current), |&step| self.steps[step].parent);
        let ahead = std::iter::successors(self.newest_child(self.current), |&step| self.newest_child(step));
        back.chain(ahead).for_each(|step| line[step] = true);
        line
    }

    /// Makes a step current; returns false if it already is or does not exist.
    pub(super) fn jump(&mut self, step: usize) -> bool {
        if step == self.current || step >= self.steps.len() {
            return false;
        }
        self.current = step;
        true
    }

    pub(super) fn undo_label(&self) -> Option<&str> {
        self.step().parent.map(|_| self.step().label.as_str())
    }

    pub(super) fn redo_label(&self) -> Option<&str> {
        self.newest_child(self.current).map(|child| self.steps[child].label.as_str())
    }

    pub(super) fn begin_gesture(&mut self) {
        let Step { project, revision, .. } = self.step();
        self.gesture = Some(State { project: project.clone(), revision: *revision });
    }

    pub(super) fn gesture_open(&self) -> bool {
        self.gesture.is_some()
    }

    /// Shows a project without making a step; a project that is already shown keeps its revision.
    pub(super) fn preview(&mut self, project: Project) {
        if is_equal(&project, self.settled()) {
            self.begin_gesture();
        } else if !is_equal(&project, self.project()) {
            self.gesture = Some(State::new(project));
        }
    }

    /// Turns the preview into a step; returns whether there was anything to turn.
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

/// Whether both have the same values; quick if they are the same in memory.
pub(super) fn is_equal(a: &Project, b: &Project) -> bool {
    a.is_same(b) || a == b
}

/// Identifies one state of a project. No two states in a process, of whatever documents, have the same one, so
/// that work done for one state can be told from work done for another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Revision(u64);

impl Revision {
    pub(super) fn next() -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        Self(NEXT.fetch_add(1, Ordering::Relaxed))
    }
}

/// A state of the project, and the change that led to it.
#[derive(Clone, Debug)]
pub struct Step {
    /// The change in words: 'Raise 12 cells by 1.0°'.
    pub label: String,
    /// When it was made.
    pub at: Timestamp,
    /// Which cells were selected for it.
    pub selected: Option<Selection>,
    /// The project after it; what did not change is shared with the other steps.
    pub project: Project,
    /// The revision of the state.
    pub revision: Revision,
    /// The step from which it was made; none for the first.
    pub parent: Option<usize>,
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
    fn what_was_undone_and_replaced_does_not_come_back_by_undo() {
        let mut history = history();
        assert!(set(&mut history, 0, 5.0) && history.undo() && set(&mut history, 9, 44.0));
        assert_eq!(labels(&history), ["Opened", "Set 0 to 5", "Set 9 to 44"]);
        assert_eq!((history.undo_label(), history.redo_label()), (Some("Set 9 to 44"), None));
        assert!(history.undo() && history.project().is_same(&history.steps()[0].project));
        assert_eq!((history.undo_label(), history.redo_label()), (None, Some("Set 9 to 44")));
        assert!(!history.undo(), "the 5 is no ancestor");
        // It is not lost: a jump reaches it, and whatever is made from it.
        assert!(history.jump(1) && history.undo_label() == Some("Set 0 to 5") && history.redo_label().is_none());
        assert!(set(&mut history, 1, 6.0));
        assert_eq!(history.steps()[3].parent, Some(1));
        assert!(history.undo() && history.undo() && history.redo(), "redo goes to the child made last");
        assert_eq!(history.current(), 2);
    }

    #[test]
    fn the_line_is_what_undo_and_redo_reach() {
        let mut history = history();
        assert!(set(&mut history, 0, 1.0) && set(&mut history, 0, 2.0) && history.undo() && history.undo());
        assert!(set(&mut history, 0, 3.0) && set(&mut history, 0, 4.0));
        assert_eq!(history.line(), [true, false, false, true, true]);
        assert!(history.undo() && history.undo());
        assert_eq!(history.line(), [true, false, false, true, true]);
        assert!(history.jump(1));
        assert_eq!(history.line(), [true, true, true, false, false]);
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
            // The bits of every state that was ever current.
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
            // From every step, undo goes exactly through its ancestors, down to the first.
            for start in 0..reachable.len() {
                history.jump(start);
                while let Some(parent) = history.steps()[history.current()].parent {
                    prop_assert!(parent < history.current() && history.undo());
                    prop_assert_eq!(history.current(), parent);
                    prop_assert_eq!(&bits(history.project()), &reachable[parent]);
                }
                prop_assert!(!history.undo());
                prop_assert_eq!(&bits(history.project()), &seen[0]);
            }
        }

        #[test]
        fn after_undo_and_an_edit_only_ancestors_are_undone_to(
            before in prop::collection::vec(action(), 1..20),
            undone in 1_usize..6,
            after in prop::collection::vec(action(), 1..6),
        ) {
            let mut history = history();
            before.into_iter().for_each(|action| perform(&mut history, action));
            let given_up: Vec<_> = (0..undone).map_while(|_| {
                let step = history.current();
                history.undo().then_some(step)
            }).collect();
            let start = history.current();
            // Only edits here, so that nothing leads back to what was deliberately discarded.
            for action in after {
                if matches!(action, Action::Set(..) | Action::Drag(..) | Action::GiveUp(..)) {
                    perform(&mut history, action);
                }
            }
            prop_assume!(history.current() != start);
            loop {
                prop_assert!(!given_up.contains(&history.current()));
                if !history.undo() {
                    break;
                }
            }
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
