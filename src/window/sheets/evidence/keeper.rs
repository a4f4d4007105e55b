//! What the readings that the project keeps come to, found on a thread, and how it stands to the project on show.

use std::sync::Arc;

use eframe::egui;

use super::kept::Kept;
use crate::project::{KeptSweep, MeasuredPoint, Project, TorqueKind};
use crate::window::tasks::task::{Same, Task};
use crate::window::views::view::View;
use crate::wording::Refusal;
use crate::worksheet::{SweepAnswer, SweepSetting};

/// The name of the work, for messages.
pub(super) const JUDGING: &str = "Judging the sweeps";

/// What the answers depend on.
#[derive(Clone)]
struct Key {
    sweeps: Vec<Arc<KeptSweep>>,
    /// How they are judged; of the sweeps' own kinds of torque it knows nothing.
    setting: SweepSetting,
    /// The names of points that come from elsewhere.
    others: Vec<String>,
}

impl Key {
    fn of(project: &Project) -> Self {
        let sweeps = project.evidence.sweeps.clone();
        let is_of_sweep = |point: &&Arc<MeasuredPoint>| sweeps.iter().any(|sweep| sweep.name == point.source);
        let others = project.evidence.points.iter().filter(|point| !is_of_sweep(point));
        Self {
            others: others.map(|point| point.name.clone()).collect(),
            setting: SweepSetting::of(project, TorqueKind::default()),
            sweeps,
        }
    }
}

impl Same for Key {
    fn is_same(&self, other: &Self) -> bool {
        let same = |(a, b): (&Arc<KeptSweep>, &Arc<KeptSweep>)| Arc::ptr_eq(a, b) || a == b;
        self.setting == other.setting
            && self.others == other.others
            && self.sweeps.len() == other.sweeps.len()
            && self.sweeps.iter().zip(&other.sweeps).all(same)
    }
}

/// The newest answer and the work for the next.
#[derive(Default)]
pub(super) struct Keeper {
    task: Task<Key, Kept>,
    /// What the answer for the project on show depends on, and which content that is.
    key: Option<(u64, Key)>,
    shown: Option<Shown>,
}

/// An answer with how its points stand to a project.
struct Shown {
    answer: Arc<Kept>,
    content_key: u64,
    kept: Kept,
}

impl Keeper {
    /// What the sweeps of the project come to; while that is being found, what the former ones came to.
    pub(super) fn settle(&mut self, view: &View<'_>, ctx: &egui::Context) {
        if self.key.as_ref().is_none_or(|(content, _)| *content != view.content_key) {
            self.key = Some((view.content_key, Key::of(view.project)));
        }
        self.task.receive();
        if let Some((_, key)) = &self.key {
            let project = view.project.clone();
            self.task.ask(key, ctx, JUDGING, move |link| judge(&project, &|| !link.is_stopped()));
        }
        let Some((_, answer)) = self.task.newest() else {
            self.shown = None;
            return;
        };
        if self.shown.as_ref().is_none_or(|shown| !Arc::ptr_eq(&shown.answer, answer)) {
            let serial = self.shown.as_ref().map_or(0, |shown| shown.kept.serial + 1);
            let kept = Kept { serial, ..(**answer).clone() };
            self.shown = Some(Shown { answer: Arc::clone(answer), content_key: view.content_key, kept });
        } else if self.shown.as_ref().is_some_and(|shown| shown.content_key == view.content_key) {
            return;
        }
        if let Some(shown) = &mut self.shown {
            shown.content_key = view.content_key;
            shown.kept.stand_to(view.project);
        }
    }

    /// What [`Self::settle`] found.
    pub(super) fn kept(&self) -> Option<&Kept> {
        self.shown.as_ref().map(|shown| &shown.kept)
    }

    /// Why there is no answer.
    pub(super) fn fault(&self) -> Option<String> {
        self.key.as_ref().and_then(|(_, key)| self.task.fault_of(key)).map(ToString::to_string)
    }
}

fn judge(project: &Project, goes_on: &dyn Fn() -> bool) -> Result<Kept, Refusal> {
    let mut kept = Kept::default();
    let others = Key::of(project).others;
    let sweeps = &project.evidence.sweeps;
    let answers = SweepAnswer::of_kept(sweeps, project);
    if !goes_on() {
        return Err(Refusal::new("nobody waits for it any more"));
    }
    for (sweep, answer) in sweeps.iter().zip(answers) {
        match answer {
            Ok(answer) => kept.take((sweep, sweeps), &answer, &others),
            Err(why) => kept.remarks.push(format!("{}: {why}.", sweep.name)),
        }
    }
    kept.settle_scales();
    Ok(kept)
}
