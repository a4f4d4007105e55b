//! All kinds of pictures.

use thiserror::Error;

use super::heading::{self, Key};
use super::{Lettering, Plate, SMALL};
use crate::compare::{Delta, Refusal};
use crate::drawing::{
    Against, BaseStyle, Camera, Comb, CombScale, Fill, FiringSpec, HowSure, Layer, LayerScale, Look, ModelBox, Point,
    Rect, Relief, ReliefSpec, Scene, Slice, SliceMarks, SliceSpec, View, WheelDrawing, WheelSpec, draw_firing,
    points_near,
};
use crate::lettering::wrapped;
use crate::project::Project;
use crate::shaping::{Along, SURE_MEANS, ShapingError, Sure, bends, how_sure, points_of};
use crate::table::Axis;
use crate::watch::Watch;
use crate::wording::{Unit, quantity, with_unit, written};

/// Room below and above a slice for the names of its axes.
const NAMES: f32 = 18.0;

/// The longest tooth of a comb takes at most this share of a picture's height.
const COMB_SHARE: f32 = 0.15;

/// A line of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SliceLine {
    /// The row in the middle.
    MiddleRow,
    /// The row of this load.
    Load(f64),
    /// The column of this speed in rpm.
    Speed(f64),
}

/// What a picture shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Subject {
    /// The table as a surface.
    Surface(View),
    /// The table as a surface, as a camera sees it; its zoom and pan follow from the size.
    Seen(Camera),
    /// The table as numbers.
    Grid,
    /// One of its lines.
    Slice(SliceLine),
    /// One of its lines with the curvature comb.
    CombedSlice(SliceLine),
    /// The table as a surface, tinted by its difference from the base.
    Delta(View),
    /// The trigger wheel, with the spark at an advance in degrees.
    Wheel(f64),
    /// The firing sequence, with the sparks at an advance in degrees.
    Firing(f64),
}

/// The base for comparison.
#[derive(Clone, Copy, Debug)]
pub struct Base<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its project.
    pub project: &'a Project,
}

/// A picture to be made.
#[derive(Clone, Copy, Debug)]
pub struct PictureSpec<'a> {
    /// The project.
    pub project: &'a Project,
    /// The base, if one is to be shown.
    pub base: Option<Base<'a>>,
    /// What to show of it.
    pub subject: Subject,
    /// What tints a surface.
    pub layer: Layer,
    /// The range of the colours, or of the degrees of a slice; `None` follows the values.
    pub range: Option<(f64, f64)>,
    /// Colours.
    pub look: Look,
    /// Width and height in points.
    pub size: (f32, f32),
    /// Whether the project's measured points are shown.
    pub shows_points: bool,
}

/// Why no picture can be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PictureError {
    /// A slice at a breakpoint that the table does not have.
    #[error("the table has no {what} {at} {unit}; the nearest is {nearest} {unit}")]
    NoLine {
        /// `load` or `speed`.
        what: &'static str,
        /// What was asked for.
        at: String,
        /// The nearest breakpoint.
        nearest: String,
        /// The unit of both.
        unit: Unit,
    },
    /// A difference without a base.
    #[error("there is no base to compare with; keep a snapshot in the project, or name a base")]
    NoBase,
    /// How sure cells are, without a measured point.
    #[error(
        "no measured point that is in use lies within the table's axes, so that nothing is known of how sure the cells are; \
         bring points in"
    )]
    NoPoints,
    /// How sure cells are cannot be told.
    #[error(transparent)]
    NotSure(ShapingError),
    /// The base cannot be compared with the project.
    #[error(transparent)]
    NotComparable(#[from] Refusal),
    /// Too little room.
    #[error("{width} × {height} points leave no room for this drawing; from 480 × 360 there is")]
    TooSmall {
        /// Width in points.
        width: f32,
        /// Height in points.
        height: f32,
    },
}

/// Lays a picture out.
///
/// # Errors
/// [`PictureError`] if the project has no such thing to show or there is not enough room.
pub fn plate(spec: &PictureSpec<'_>) -> Result<Plate, PictureError> {
    if let Some(base) = &spec.base {
        // Needed even where only one line is shown: rows of another load kind would mean nothing here.
        Delta::between(base.project, spec.project)?;
    }
    match spec.subject {
        Subject::Surface(view) => surface(spec, Camera::view(view), &format!(" · {}", view.name())),
        Subject::Seen(camera) => surface(spec, camera, ""),
        Subject::Grid => super::grid::grid(spec),
        Subject::Slice(line) => slice(spec, line, false),
        Subject::CombedSlice(line) => slice(spec, line, true),
        Subject::Delta(view) => delta(spec, view),
        Subject::Wheel(advance_deg) => wheel(spec, advance_deg),
        Subject::Firing(advance_deg) => firing(spec, advance_deg),
    }
}

impl PictureSpec<'_> {
    pub(super) fn too_small(&self) -> PictureError {
        PictureError::TooSmall { width: self.size.0, height: self.size.1 }
    }

    fn begin(&self, line: &str, key: &Key) -> Result<(Plate, Rect), PictureError> {
        let (plate, rect) = heading::begin(self.project, self.look, self.size, line, key);
        if rect.width < 120.0 || rect.height < 90.0 { Err(self.too_small()) } else { Ok((plate, rect)) }
    }
}

fn surface(spec: &PictureSpec<'_>, camera: Camera, from: &str) -> Result<Plate, PictureError> {
    let advance = &spec.project.advance;
    let (table, base) = (advance.table(), spec.base.map(|base| base.project.advance.table()));
    let (scale, values) = tinted(spec)?;
    let fixed = spec.range.filter(|_| spec.layer == Layer::Advance);
    let levels = LayerScale::over(Layer::Advance, table, Against::default(), fixed).heights().levels(table);
    let against = spec.base.map_or_else(String::new, |base| format!(" · net: base '{}'", base.name));
    let line = format!(
        "{}{from} · contours every {}{against}{}{}",
        layer_words(spec),
        with_unit(&written(levels.step), Unit::Degree),
        scale_words(&scale),
        spec.point_words(),
    );
    let (mut plate, rect) = spec.begin(&line, &Key::of(scale, advance.origins()))?;
    let measured = spec.project.evidence.advances_over(table).filter(|_| spec.shows_points);
    let mut relief = Relief::new(&ReliefSpec {
        table,
        base,
        model: ModelBox::around_with(table, base, measured),
        look: spec.look,
        fill: Fill::Layer(scale.tint(&values)),
        base_style: BaseStyle::Wire,
        levels: Some(levels),
        sheer: None,
        load_unit: spec.project.sensors.load.unit(),
    });
    plate.add(&super::draw_fitted_from(&mut relief, camera, rect, spec.points()));
    Ok(plate)
}

/// The scale of the layer and its values, one for each cell; a difference needs a base, and how sure cells are needs
/// measured points.
pub(super) fn tinted(spec: &PictureSpec<'_>) -> Result<(LayerScale, Vec<f64>), PictureError> {
    let advance = &spec.project.advance;
    let found = match (spec.layer, spec.base) {
        (Layer::Difference, None) => return Err(PictureError::NoBase),
        (Layer::Sure, _) => sure(spec)?,
        _ => Vec::new(),
    };
    let sure = if spec.layer == Layer::Sure { HowSure::Of(&found) } else { HowSure::NoPoints };
    let against = Against { base: spec.base.map(|base| base.project.advance.table()), sure };
    let scale = LayerScale::over(spec.layer, advance.table(), against, spec.range);
    Ok((scale, spec.layer.values(advance, against)))
}

fn sure(spec: &PictureSpec<'_>) -> Result<Vec<Option<Sure>>, PictureError> {
    how_sure(&spec.project.advance, &points_of(spec.project), Watch::NOBODY).map_err(|error| match error {
        ShapingError::NoPoints => PictureError::NoPoints,
        error => PictureError::NotSure(error),
    })
}

/// What the colours are.
pub(super) fn layer_words(spec: &PictureSpec<'_>) -> String {
    match (spec.layer, spec.base) {
        (Layer::Difference, Some(base)) => format!("Advance, tinted by its difference from base '{}', °", base.name),
        (Layer::Advance | Layer::Difference, _) => "Advance, ° before TDC".to_owned(),
        (Layer::Curvature, _) => format!("Advance, tinted by its curvature, {}", Unit::DegreePerSpacing2),
        (Layer::Origin, _) => "Advance, tinted by where the values came from".to_owned(),
        (Layer::Sure, _) => format!("Advance, tinted by how sure the cells are of a fit: {SURE_MEANS}"),
    }
}

/// What else is to be said about a scale.
pub(super) fn scale_words(scale: &LayerScale) -> String {
    let fixed = if scale.is_fixed { " · fixed range" } else { "" };
    let unknown = if scale.has_unknown { format!(" · hatched: {}", scale.unknown()) } else { String::new() };
    format!("{fixed}{unknown}")
}

fn delta(spec: &PictureSpec<'_>, view: View) -> Result<Plate, PictureError> {
    let base = spec.base.ok_or(PictureError::NoBase)?;
    let delta = Delta::between(base.project, spec.project)?;
    let scale = LayerScale::of_differences(delta.deg(), spec.range);
    let range = scale.range;
    let (table, base_table) = (spec.project.advance.table(), base.project.advance.table());
    let is_fine = BaseStyle::wire_hides(base_table);
    let shown = if is_fine { "solid" } else { "net" };
    let mut line = format!("Difference from base '{}', ° · {} · base as {shown}", base.name, view.name());
    for part in delta.not_compared() {
        line.push_str(&format!(" · {part}"));
    }
    line.push_str(&scale_words(&scale));
    let (mut plate, rect) = spec.begin(&line, &Key::Scale(scale))?;
    let mut relief = Relief::new(&ReliefSpec {
        table,
        base: Some(base_table),
        model: ModelBox::around(table, Some(base_table)),
        look: spec.look,
        fill: Fill::Difference { range },
        base_style: if is_fine { BaseStyle::Difference { range } } else { BaseStyle::Wire },
        levels: None,
        sheer: None,
        load_unit: spec.project.sensors.load.unit(),
    });
    plate.add(&super::draw_fitted(&mut relief, view, rect));
    Ok(plate)
}

/// The points of a slice and of its base, and what it is.
struct Line {
    points: Vec<(f64, f64)>,
    base: Vec<(f64, f64)>,
    /// How bent it is at each point, degrees; see [`bends`].
    bends: Vec<f64>,
    title: String,
    axis: String,
    /// Which row or column it is.
    which: (Along, usize),
}

fn line(spec: &PictureSpec<'_>, line: SliceLine) -> Result<Line, PictureError> {
    let table = spec.project.advance.table();
    let unit = spec.project.sensors.load.unit();
    let base = spec.base.map(|base| base.project.advance.table());
    let zipped = |axis: &Axis, values: &mut dyn Iterator<Item = f64>| -> Vec<(f64, f64)> {
        axis.breakpoints().iter().copied().zip(values).collect()
    };
    let row = |index: usize| {
        let load = table.load().breakpoints()[index];
        let along = |base: &crate::table::Table| {
            let mut values = base.speed().breakpoints().iter().map(|&speed| base.lookup(speed, load));
            zipped(base.speed(), &mut values)
        };
        Line {
            points: zipped(table.speed(), &mut table.row(index).iter().copied()),
            base: base.map_or_else(Vec::new, along),
            bends: bends(table.speed(), table.row(index)),
            title: format!("Advance at load {}", quantity(load, unit)),
            axis: "speed rpm".into(),
            which: (Along::Speed, index),
        }
    };
    match line {
        SliceLine::MiddleRow => Ok(row(table.load().len() / 2)),
        SliceLine::Load(load) => breakpoint(table.load(), load, "load", unit).map(row),
        SliceLine::Speed(speed_rpm) => {
            let index = breakpoint(table.speed(), speed_rpm, "speed", Unit::Rpm)?;
            let along = |base: &crate::table::Table| {
                let mut values = base.load().breakpoints().iter().map(|&load| base.lookup(speed_rpm, load));
                zipped(base.load(), &mut values)
            };
            Ok(Line {
                points: zipped(table.load(), &mut table.column(index)),
                base: base.map_or_else(Vec::new, along),
                bends: bends(table.load(), &table.column(index).collect::<Vec<_>>()),
                title: format!("Advance at {}", quantity(speed_rpm, Unit::Rpm)),
                axis: format!("load {unit}"),
                which: (Along::Load, index),
            })
        }
    }
}

fn breakpoint(axis: &Axis, at: f64, what: &'static str, unit: Unit) -> Result<usize, PictureError> {
    let missing = || {
        let nearest = axis.breakpoints().get(axis.nearest(at)).copied().unwrap_or(at);
        PictureError::NoLine { what, at: written(at), nearest: written(nearest), unit }
    };
    axis.index_of(at).ok_or_else(missing)
}

fn slice(spec: &PictureSpec<'_>, which: SliceLine, has_comb: bool) -> Result<Plate, PictureError> {
    let Line { points, base, bends, title, axis, which: (along, index) } = line(spec, which)?;
    let table = spec.project.advance.table();
    let measured = points_near(spec.points(), table, along, index);
    let rings = if measured.is_empty() { "" } else { " · rings: measured within half a row" };
    let comb = has_comb.then(|| Comb { bends: &bends, scale: CombScale::fitting(&bends, spec.size.1 * COMB_SHARE) });
    let told = comb.map_or_else(String::new, |comb| format!(" · comb: {}", comb.scale.text("points")));
    let against = spec.base.map_or_else(String::new, |base| format!(" · base '{}'", base.name));
    let key = if base.is_empty() { Key::None } else { Key::Dashes };
    let fixed = if spec.range.is_some() { " · fixed range" } else { "" };
    let (mut plate, rect) = spec.begin(&format!("{title}, ° before TDC{against}{told}{rings}{fixed}"), &key)?;
    let ink = spec.look.palette().ink_secondary;
    let rect = Rect { height: rect.height - NAMES, ..rect };
    let slice_spec = SliceSpec {
        points: &points,
        base: &base,
        value_range: spec.range.unwrap_or_else(|| {
            let degs = measured.iter().map(|point| point.at.1);
            degs.fold(table.extremes(), |(low, high), deg| (low.min(deg), high.max(deg)))
        }),
        scale_stands: spec.range.is_some(),
        now: &[],
        active: None,
        hovered: None,
        selected: &[],
        units: (Unit::None, Unit::None),
        look: spec.look,
        rect,
    };
    let slice = Slice::new(&slice_spec).ok_or_else(|| spec.too_small())?;
    let mut scene = Scene::default();
    slice.draw_with(&slice_spec, &SliceMarks { comb, points: &measured, ..SliceMarks::default() }, &mut scene);
    plate.add(&scene);
    let middle = f32::midpoint(slice.frame.along.screen.0, slice.frame.along.screen.1);
    let name = Lettering::new(Point::new(middle, rect.top + rect.height + 4.0), (0.5, 0.0), axis, SMALL, ink);
    plate.texts.push(name);
    Ok(plate)
}

fn wheel(spec: &PictureSpec<'_>, advance_deg: f64) -> Result<Plate, PictureError> {
    let line =
        format!("Trigger wheel at TDC of the first pair · spark {} before TDC", quantity(advance_deg, Unit::Degree));
    let (mut plate, rect) = spec.begin(&line, &Key::None)?;
    let wheel_spec = WheelSpec { parts: spec.project, advance_deg, look: spec.look, rect };
    let words = WheelDrawing::words(&wheel_spec);
    let words: Vec<String> = words.iter().flat_map(|line| wrapped(line, SMALL, rect.width)).collect();
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let below = words.len() as f32 * 15.0 + 6.0;
    let wheel_spec = WheelSpec { rect: Rect { height: rect.height - below, ..rect }, ..wheel_spec };
    let drawing = WheelDrawing::new(&wheel_spec).ok_or_else(|| spec.too_small())?;
    let mut scene = Scene::default();
    drawing.draw(&wheel_spec, &mut scene);
    plate.add(&scene);
    let mut y = rect.top + rect.height - below + 6.0;
    for text in words {
        let ink = spec.look.palette().ink_secondary;
        plate.texts.push(Lettering::new(Point::new(rect.left, y), (0.0, 0.0), text, SMALL, ink));
        y += 15.0;
    }
    Ok(plate)
}

fn firing(spec: &PictureSpec<'_>, advance_deg: f64) -> Result<Plate, PictureError> {
    let order: Vec<String> = spec.project.engine.firing_order.iter().map(u8::to_string).collect();
    let line = format!("Firing order {} · sparks {} before TDC", order.join("-"), quantity(advance_deg, Unit::Degree));
    let (mut plate, rect) = spec.begin(&line, &Key::None)?;
    let mut scene = Scene::default();
    draw_firing(&FiringSpec { parts: spec.project, advance_deg, look: spec.look, rect }, &mut scene);
    if scene.shapes.is_empty() {
        return Err(spec.too_small());
    }
    plate.add(&scene);
    Ok(plate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{png, svg};
    use crate::project::{MeasuredPoint, SAMPLES};
    use crate::table::Cell;
    use std::sync::Arc;

    fn spec<'a>(project: &'a Project, base: Option<Base<'a>>, subject: Subject) -> PictureSpec<'a> {
        PictureSpec {
            project,
            base,
            subject,
            layer: Layer::Advance,
            range: None,
            look: Look::Light,
            size: (480.0, 360.0),
            shows_points: true,
        }
    }

    const SUBJECTS: [Subject; 8] = [
        Subject::Surface(View::ThreeQuarter),
        Subject::Surface(View::Plan),
        Subject::Slice(SliceLine::MiddleRow),
        Subject::Slice(SliceLine::Speed(2000.0)),
        Subject::CombedSlice(SliceLine::MiddleRow),
        Subject::Delta(View::ThreeQuarter),
        Subject::Wheel(10.0),
        Subject::Firing(28.5),
    ];

    #[test]
    fn every_picture_of_every_sample_stays_in_its_frame_and_is_the_same_each_time() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let snapshot = project.snapshots.last().unwrap();
            let base = Base { name: &snapshot.name, project: &snapshot.state };
            for subject in SUBJECTS {
                for look in Look::ALL {
                    let spec = PictureSpec { look, ..spec(&project, Some(base), subject) };
                    let plate = match plate(&spec) {
                        Err(PictureError::NoLine { nearest, .. }) => {
                            assert!(!nearest.is_empty());
                            continue;
                        }
                        plate => plate.unwrap(),
                    };
                    for text in &plate.texts {
                        let Rect { left, top, width, height } = text.bounds();
                        let inside = left >= 0.0 && top >= 0.0 && left + width <= 480.0 && top + height <= 360.0;
                        assert!(inside, "{}: {subject:?}: {}", sample.name, text.text);
                    }
                    assert_eq!(svg(&plate), svg(&super::plate(&spec).unwrap()));
                }
            }
        }
    }

    /// With two measured points.
    fn measured(project: &Project) -> Project {
        let table = project.advance.table();
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let at = |name: &str, place: usize| MeasuredPoint {
            name: name.into(),
            speed_rpm: speeds[place],
            load: loads[place],
            advance_deg: table.at(Cell::new(place, place)) + 2.0,
            in_use: true,
            ..MeasuredPoint::default()
        };
        let points = [("P1", 4), ("P2", 9)].map(|(name, place)| Arc::new(at(name, place)));
        project.edit(|parts| parts.evidence.points = points.into()).unwrap()
    }

    #[test]
    fn every_layer_has_its_picture_and_says_what_it_shows() {
        let project = measured(&SAMPLES[0].project().unwrap());
        let snapshot = project.snapshots.last().unwrap();
        let base = Some(Base { name: &snapshot.name, project: &snapshot.state });
        let mut seen = Vec::new();
        for layer in Layer::ALL {
            let spec = PictureSpec { layer, ..spec(&project, base, Subject::Surface(View::Plan)) };
            let plate = plate(&spec).unwrap();
            for text in &plate.texts {
                let Rect { left, top, width, height } = text.bounds();
                assert!(left >= 0.0 && top >= 0.0 && left + width <= 480.0 && top + height <= 360.0, "{}", text.text);
            }
            let told = plate.description.contains(layer.name()) || layer == Layer::Advance;
            assert!(told || layer == Layer::Origin && plate.description.contains("came from"), "{}", plate.description);
            let picture = svg(&plate);
            assert!(!seen.contains(&picture), "{layer:?}");
            seen.push(picture);
        }
        let alone = PictureSpec { layer: Layer::Difference, ..spec(&project, None, Subject::Surface(View::Plan)) };
        assert_eq!(plate(&alone).unwrap_err(), PictureError::NoBase);
        let curved = PictureSpec { layer: Layer::Curvature, ..alone };
        assert!(plate(&curved).unwrap().description.contains("hatched: a corner has no chord"));
    }

    #[test]
    fn how_sure_cells_are_needs_a_measured_point_within_the_axes() {
        let project = SAMPLES[0].project().unwrap();
        let layer = Layer::Sure;
        let of = |project: &Project| plate(&PictureSpec { layer, ..spec(project, None, Subject::Surface(View::Plan)) });
        assert_eq!(of(&project).unwrap_err(), PictureError::NoPoints);
        let known = measured(&project);
        let told = of(&known).unwrap().description;
        assert!(told.contains("\u{b1} about nine times in ten"), "{told}");
        let beyond = known.edit(|parts| {
            for point in &mut parts.evidence.points {
                Arc::make_mut(point).speed_rpm = 20_000.0;
            }
        });
        assert_eq!(of(&beyond.unwrap()).unwrap_err(), PictureError::NoPoints);
    }

    #[test]
    fn a_fixed_range_is_said_and_shown() {
        let project = SAMPLES[0].project().unwrap();
        let of = |subject, range| plate(&PictureSpec { range, ..spec(&project, None, subject) }).unwrap();
        for subject in [Subject::Surface(View::ThreeQuarter), Subject::Slice(SliceLine::MiddleRow)] {
            let (own, fixed) = (of(subject, None), of(subject, Some((-10.0, 50.0))));
            assert!(fixed.description.contains("fixed range") && !own.description.contains("fixed range"));
            // A slice has its degrees in the heading.
            let end = if matches!(subject, Subject::Slice(_)) { "50" } else { "50°" };
            let reaches_50 = |plate: &Plate| plate.texts.iter().any(|text| text.text == end);
            assert!(reaches_50(&fixed) && !reaches_50(&own), "{subject:?}");
        }
    }

    #[test]
    fn a_png_has_its_size_and_its_paper() {
        let project = SAMPLES[3].project().unwrap();
        let plate = plate(&spec(&project, None, Subject::Surface(View::ThreeQuarter))).unwrap();
        let file = png(&plate, 0.5).unwrap();
        let picture = tiny_skia::Pixmap::decode_png(&file).unwrap();
        assert_eq!((picture.width(), picture.height()), (240, 180));
        let corner = picture.pixel(0, 0).unwrap();
        let paper = Look::Light.palette().paper;
        assert_eq!((corner.red(), corner.green(), corner.blue()), (paper.r, paper.g, paper.b));
        assert_eq!(file, png(&plate, 0.5).unwrap());
        assert!(png(&plate, 0.001).is_err() && png(&plate, 1e6).is_err());
    }

    #[test]
    fn what_there_is_not_is_said() {
        let project = SAMPLES[0].project().unwrap();
        let refused = |subject| plate(&spec(&project, None, subject)).unwrap_err().to_string();
        assert_eq!(refused(Subject::Slice(SliceLine::Load(41.0))), "the table has no load 41 %; the nearest is 40 %");
        assert!(refused(Subject::Delta(View::Plan)).contains("no base"));
        let other = SAMPLES[1].project().unwrap();
        let base = Some(Base { name: "other", project: &other });
        let error = plate(&spec(&project, base, Subject::Surface(View::Plan))).unwrap_err();
        assert!(matches!(error, PictureError::NotComparable(_)));
        let small = PictureSpec { size: (90.0, 90.0), ..spec(&project, None, Subject::Wheel(10.0)) };
        assert!(matches!(plate(&small), Err(PictureError::TooSmall { .. })));
    }

    #[test]
    fn locked_timing_is_said_on_every_picture() {
        let project = SAMPLES[0].project().unwrap().locked_timing(10.0).unwrap();
        let plate = plate(&spec(&project, None, Subject::Slice(SliceLine::MiddleRow))).unwrap();
        assert!(plate.texts.iter().any(|text| text.text.starts_with("LOCKED TIMING 10°")));
        assert!(svg(&plate).contains("<title>tarn-special (locked timing 10°): Advance at load"));
    }
}
