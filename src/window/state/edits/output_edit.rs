//! The changes that can be made to the list of outputs; each is one labelled step.

use crate::project::{Condition, Output, Project, ReadyOutput, Signal};
use crate::wording::{Refusal, free_name};

/// A change to the list of outputs, or to an output's conditions.
#[derive(Clone, Debug, PartialEq)]
pub enum OutputEdit {
    /// Append a ready-made output.
    Add(ReadyOutput),
    /// Append an output to be adapted, initially switched by coolant temperature.
    AddOther,
    /// Remove an output.
    Remove(usize),
    /// Swap an output with the one before it.
    Up(usize),
    /// Swap an output with the one after it.
    Down(usize),
    /// Add a condition to an output, on a signal that it does not watch yet.
    AddCondition(usize),
    /// Remove a condition of an output.
    RemoveCondition(usize, usize),
    /// Let a condition watch another signal, with the usual thresholds for it.
    Watch(usize, usize, Signal),
}

fn free_output_name(project: &Project, wanted: &str) -> String {
    free_name(wanted, |name| project.outputs.iter().any(|output| output.name == name))
}

fn new_output(project: &Project, ready: ReadyOutput, name: &str) -> Output {
    Output { name: free_output_name(project, name), ..ready.output(&project.limits) }
}

/// The initial name of an output that is to be adapted.
const OTHER: &str = "output";

impl OutputEdit {
    /// The project with the change.
    ///
    /// # Errors
    /// Why it is not possible; the project is unchanged.
    pub fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        let mut outputs = project.outputs.clone();
        let gone = || Refusal::new("that output is not there any more");
        match *self {
            Self::Add(ready) => outputs.push(new_output(project, ready, ready.name())),
            Self::AddOther => outputs.push(new_output(project, ReadyOutput::Fan, OTHER)),
            Self::Remove(at) if at < outputs.len() => drop(outputs.remove(at)),
            Self::Up(at) if at > 0 && at < outputs.len() => outputs.swap(at - 1, at),
            Self::Down(at) if at + 1 < outputs.len() => outputs.swap(at, at + 1),
            Self::AddCondition(at) => {
                let output = outputs.get_mut(at).ok_or_else(gone)?;
                let watched = |signal: &&Signal| output.conditions.iter().all(|condition| condition.signal != **signal);
                let signal = Signal::ALL.iter().find(watched).copied().unwrap_or(Signal::Speed);
                output.conditions.push(Condition::usual(signal, &project.limits));
            }
            Self::RemoveCondition(at, place) => {
                let output = outputs.get_mut(at).filter(|output| place < output.conditions.len()).ok_or_else(gone)?;
                output.conditions.remove(place);
            }
            Self::Watch(at, place, signal) => {
                let output = outputs.get_mut(at).ok_or_else(gone)?;
                *output.conditions.get_mut(place).ok_or_else(gone)? = Condition::usual(signal, &project.limits);
            }
            Self::Remove(_) | Self::Up(_) | Self::Down(_) => return Err(gone()),
        }
        project.edit(|parts| parts.outputs = outputs).map_err(Refusal::from)
    }

    /// What its step is called.
    pub fn label(&self, project: &Project) -> String {
        let name = |at: usize| project.outputs.get(at).map_or("output", |output| output.name.as_str());
        match *self {
            Self::Add(ready) => format!("Add output '{}'", free_output_name(project, ready.name())),
            Self::AddOther => format!("Add output '{}'", free_output_name(project, OTHER)),
            Self::Remove(at) => format!("Remove output '{}'", name(at)),
            Self::Up(at) => format!("Move output '{}' up", name(at)),
            Self::Down(at) => format!("Move output '{}' down", name(at)),
            Self::AddCondition(at) => format!("Add a condition to '{}'", name(at)),
            Self::RemoveCondition(at, place) => format!("Remove condition {} of '{}'", place + 1, name(at)),
            Self::Watch(at, place, signal) => {
                format!("Let condition {} of '{}' watch {}", place + 1, name(at), signal.name())
            }
        }
    }

    /// Which output is to be open afterwards, if that changes.
    pub fn opens(&self, project: &Project) -> Option<usize> {
        match *self {
            Self::Add(_) | Self::AddOther => Some(project.outputs.len()),
            Self::Remove(at) => Some(at.saturating_sub(usize::from(at + 1 == project.outputs.len()))),
            Self::Up(at) => Some(at.saturating_sub(1)),
            Self::Down(at) => Some(at + 1),
            Self::AddCondition(_) | Self::RemoveCondition(..) | Self::Watch(..) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::run;
    use crate::project::{LoadKind, NewProject};

    fn project() -> Project {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create_with_outputs()
    }

    fn names(project: &Project) -> Vec<&str> {
        project.outputs.iter().map(|output| output.name.as_str()).collect()
    }

    #[test]
    fn outputs_are_added_moved_and_removed() {
        let start = project();
        assert_eq!(names(&start), ["shift light", "fan"]);
        let add = OutputEdit::Add(ReadyOutput::ShiftLight);
        assert_eq!(add.label(&start), "Add output 'shift light 2'");
        let more = add.apply(&start).unwrap();
        assert_eq!(names(&more), ["shift light", "fan", "shift light 2"]);
        assert_eq!(names(&OutputEdit::Up(2).apply(&more).unwrap()), ["shift light", "shift light 2", "fan"]);
        assert_eq!(names(&OutputEdit::Down(0).apply(&more).unwrap()), ["fan", "shift light", "shift light 2"]);
        assert_eq!(names(&OutputEdit::Remove(1).apply(&more).unwrap()), ["shift light", "shift light 2"]);
        for nothing in [OutputEdit::Up(0), OutputEdit::Down(2), OutputEdit::Remove(3), OutputEdit::AddCondition(9)] {
            assert!(nothing.apply(&more).is_err(), "{nothing:?}");
        }
    }

    #[test]
    fn three_are_offered_to_a_project_without_any_and_no_check_minds_them() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 8, loads: 8 };
        let mut project = new.create().unwrap();
        let before = run(&project).len();
        for ready in ReadyOutput::ALL {
            project = OutputEdit::Add(ready).apply(&project).unwrap();
        }
        assert_eq!(names(&project), ["shift light", "fan", "fuel pump"]);
        assert_eq!(run(&project).len(), before);
        assert_eq!(names(&OutputEdit::AddOther.apply(&project).unwrap())[3], "output");
    }

    #[test]
    fn a_condition_starts_from_usual_thresholds_of_its_signal() {
        let start = project();
        let more = OutputEdit::AddCondition(1).apply(&start).unwrap();
        assert_eq!(more.outputs[1].conditions[1].signal, Signal::Speed);
        for signal in Signal::ALL {
            let watching = OutputEdit::Watch(1, 1, signal).apply(&more).unwrap();
            let condition = &watching.outputs[1].conditions[1];
            assert!(condition.signal == signal && condition.on != condition.off);
        }
        assert_eq!(OutputEdit::Watch(1, 1, Signal::Air).label(&more), "Let condition 2 of 'fan' watch air");
        let fewer = OutputEdit::RemoveCondition(1, 0).apply(&more).unwrap();
        assert_eq!(fewer.outputs[1].conditions.len(), 1);
    }
}
