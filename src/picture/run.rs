//! A run of the rig as a picture: the whole run over time, and below it one revolution in detail.

use super::heading::{self, Key};
use super::views::PictureError;
use super::{BODY, Lettering, Plate};
use crate::drawing::{DrivenRun, Frame, Look, Point, Rect, Scene, Strip, StripAxis, StripSpec, Trace, TraceSpec};
use crate::project::Project;
use crate::rig::Revolution;
use crate::wording::{Unit, fixed, with_unit};

/// The share of the height for the whole run.
const TRACE_SHARE: f32 = 0.52;
/// Height of the line of text above the revolution.
const HEAD: f32 = 30.0;

/// What a picture of a run shows.
#[derive(Clone, Copy, Debug)]
pub struct RunPicture<'a> {
    /// The project.
    pub project: &'a Project,
    /// What the run is called.
    pub name: &'a str,
    /// The run.
    pub driven: DrivenRun<'a>,
    /// The revolution to show in detail.
    pub revolution: &'a Revolution,
    /// The quantity along it.
    pub axis: StripAxis,
    /// Colours.
    pub look: Look,
    /// Width and height in points.
    pub size: (f32, f32),
}

/// Lays out the picture of a run.
///
/// # Errors
/// [`PictureError::TooSmall`] if there is not enough room.
pub fn run_plate(spec: &RunPicture<'_>) -> Result<Plate, PictureError> {
    let too_small = || PictureError::TooSmall { width: spec.size.0, height: spec.size.1 };
    let line = format!("On the simulated rig: {}", spec.name);
    let (mut plate, rect) = heading::begin(spec.project, spec.look, spec.size, &line, &Key::None);
    let mut scene = Scene::default();
    let above = Rect { height: rect.height * TRACE_SHARE, ..rect };
    let (driven, look) = (spec.driven, spec.look);
    let trace_spec =
        TraceSpec { driven, shown_s: driven.record.span_s(), frame: Frame { look, rect: above, names: true } };
    Trace::new(&trace_spec).ok_or_else(too_small)?.draw(&trace_spec, &mut scene);
    plate.add(&scene);
    let top = above.top + above.height + HEAD;
    let below = Rect { top, height: rect.top + rect.height - top, ..rect };
    let frame = Frame { look, rect: below, names: true };
    let strip_spec = StripSpec { driven, revolution: spec.revolution, axis: spec.axis, frame };
    Strip::new(&strip_spec).ok_or_else(too_small)?.draw(&strip_spec, &mut scene);
    plate.add(&scene);
    let [a, b] = spec.project.engine.channels.first().map_or([1, 1], |channel| channel.cylinders);
    let (from_s, to_s) = spec.revolution.turn.time_s;
    let words = format!(
        "One revolution, {} to {}; 0 is TDC {a} and {b}",
        fixed(from_s, 3),
        with_unit(&fixed(to_s, 3), Unit::Second)
    );
    let at = Point::new(rect.left, top - HEAD * 0.45);
    plate.texts.push(Lettering::new(at, (0.0, 0.5), words, BODY, spec.look.palette().ink).strong());
    Ok(plate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{png, svg};
    use crate::project::SAMPLES;
    use crate::rig::{BuiltIn, Layout, Record, Replay, Rig, Settings, Turn};

    #[test]
    fn a_run_is_painted_with_its_names_the_same_every_time() {
        let project = SAMPLES[0].project().unwrap();
        let run = BuiltIn::SweepToTheLimit.run(&project).unwrap();
        let settings = Settings { dropped_at_s: vec![3.0], ..Settings::default() };
        let rig = Rig::new(&project, settings.clone()).unwrap();
        let (motion, layout) = (rig.motion(&run), Layout::new(&project));
        let mut record = Record::new(&run, 2000);
        let replay = Replay::new(rig.drive(&run, &motion), &run, &mut record).unwrap();
        let turn = Turn::at(4.0, &run, &motion, &layout);
        let mut events = Vec::new();
        replay.events(turn.wanted_s().0, turn.wanted_s().1, &mut events);
        let revolution = Revolution::new(turn, &events, &motion, &layout);
        let spec = RunPicture {
            project: &project,
            name: "sweep to the limit",
            driven: DrivenRun { parts: &project, run: &run, motion: &motion, record: &record, settings: &settings },
            revolution: &revolution,
            axis: StripAxis::Crank,
            look: Look::Light,
            size: (1000.0, 700.0),
        };
        let plate = run_plate(&spec).unwrap();
        let texts: Vec<&str> = plate.texts.iter().map(|text| text.text.as_str()).collect();
        for text in ["Advance", "Timing error", "lost: a gap too early", "Coil A  1 + 4", "TDC 1, 4", "shift light"] {
            assert!(texts.contains(&text), "{text}: {texts:?}");
        }
        let whole = Rect { left: 0.0, top: 0.0, width: 1000.0, height: 700.0 };
        for text in &plate.texts {
            let bounds = text.bounds();
            let end = Point::new(bounds.left + bounds.width, bounds.top + bounds.height);
            assert!(whole.contains(Point::new(bounds.left, bounds.top)) && whole.contains(end), "{}", text.text);
        }
        assert_eq!(svg(&plate), svg(&run_plate(&spec).unwrap()));
        assert!(png(&plate, 1.0).unwrap().starts_with(b"\x89PNG"));
        assert!(matches!(run_plate(&RunPicture { size: (480.0, 360.0), ..spec }), Err(PictureError::TooSmall { .. })));
    }
}
