//! `picture`: a drawing of the project as SVG or PNG.

use std::path::PathBuf;
use std::str::FromStr;

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, PossibleValuesParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, ending, file_path, refuse_taken, save_file, shown};
use super::values::number;
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::drawing::{self, Layer, Look};
use crate::lettering;
use crate::picture::{Base, PictureSpec, Plate, SliceLine, Subject, plate, png, svg};
use crate::project::{ADVANCE_RANGE_DEG, Project};
use crate::wording::{Refusal, Unit, outside};

/// Draw the project as a picture, SVG or PNG, in the window's look
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The file's ending decides: .svg or .png. Text becomes outlines, so a picture looks the same
everywhere. The size is in points, like the window's; a PNG has --scale pixels per point. The same
input gives the same bytes.

A base is a snapshot of the project, by its name, or another project file. delta and the layer of
differences take the newest snapshot unless --base says otherwise, and fail when there is none. Wheel and firing sequence
show the sparks at --advance, the table's at warm idle unless given.

Measured points are rings with a dot: pins on a surface, and on a slice those within half a row of it,
with their intervals. A broken ring is a point that is not in use.

Examples:
  sparkloft picture P.ron --view surface -o surface.png
  sparkloft picture P.ron --view plan --layer curvature --range -2..2 -o bumps.svg
  sparkloft picture P.ron --view slice --load 40 --base 'start of season' -o slice.svg
  sparkloft picture P.ron --view delta --camera plan --look sunlight --size 1200x800 -o delta.svg")]
pub(super) struct Picture {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// What to draw
    #[arg(long, value_enum)]
    view: View,
    /// The file to write, .svg or .png
    #[arg(short, long, value_name = "FILE", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Width and height in points; 720x540, less high for slice and firing, unless given
    #[arg(long, value_name = "WIDTHxHEIGHT", allow_hyphen_values = true)]
    size: Option<Points>,
    /// Pixels per point of a PNG, 0.5 to 8
    #[arg(long, value_name = "N", default_value = "2", value_parser = scale)]
    scale: f64,
    /// Colours
    #[arg(long, value_enum, default_value = "light")]
    look: LookName,
    /// From where surface and delta are seen [default: three-quarter]
    #[arg(long, value_enum)]
    camera: Option<CameraName>,
    /// A snapshot's name, or a project file, to be shown as the base
    #[arg(long, value_name = "BASE")]
    base: Option<String>,
    /// What tints surface and plan; difference takes the newest snapshot unless --base says otherwise, how-sure goes by the
    /// measured points
    #[arg(long, value_name = "LAYER", value_parser = layer())]
    layer: Option<Layer>,
    /// The range of the colours, or of the degrees of a slice, so that two pictures compare: -5..5 [default: that of the values]
    #[arg(long, value_name = "FROM..TO", value_parser = range, allow_hyphen_values = true)]
    range: Option<(f64, f64)>,
    /// The row of this load for a slice; the middle row unless --load or --speed says otherwise
    #[arg(long, value_name = "LOAD", value_parser = number, conflicts_with = "speed")]
    load: Option<f64>,
    /// The column of this speed in rpm for a slice
    #[arg(long, value_name = "RPM", value_parser = number)]
    speed: Option<f64>,
    /// The curvature comb behind a slice: how much it bends at each breakpoint, as smoothing sees it
    #[arg(long)]
    comb: bool,
    /// Degrees before TDC of the sparks of wheel and firing
    #[arg(long, value_name = "DEG", value_parser = advance, allow_hyphen_values = true)]
    advance: Option<f64>,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum View {
    /// The advance table as a body
    Surface,
    /// The advance table from above, as a map with contour lines
    Plan,
    /// One row or column as a curve
    Slice,
    /// The advance table, tinted by its difference from a base
    Delta,
    /// The trigger wheel
    Wheel,
    /// The firing sequence
    Firing,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum LookName {
    /// Warm paper and dark ink
    Light,
    /// The same on a dark ground
    Dark,
    /// Black on white without tints
    Sunlight,
}

impl From<LookName> for Look {
    fn from(name: LookName) -> Self {
        match name {
            LookName::Light => Self::Light,
            LookName::Dark => Self::Dark,
            LookName::Sunlight => Self::Sunlight,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum CameraName {
    /// Level, speed to the right
    Front,
    /// Level, load to the right
    Side,
    /// Straight down
    Plan,
    /// From above the corner of low speed and low load
    ThreeQuarter,
}

impl From<CameraName> for drawing::View {
    fn from(name: CameraName) -> Self {
        match name {
            CameraName::Front => Self::Front,
            CameraName::Side => Self::Side,
            CameraName::Plan => Self::Plan,
            CameraName::ThreeQuarter => Self::ThreeQuarter,
        }
    }
}

/// Width and height in points.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Points(f32, f32);

impl FromStr for Points {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let parts = text.split_once(['x', 'X', '×']);
        let parts = parts.and_then(|(width, height)| Some((width.parse::<u16>().ok()?, height.parse::<u16>().ok()?)));
        let sensible =
            parts.filter(|(width, height)| [width, height].into_iter().all(|side| (100..=8000).contains(side)));
        let (width, height) =
            sensible.ok_or("write a size in points as WIDTHxHEIGHT, such as 720x540; each 100 to 8000")?;
        Ok(Self(width.into(), height.into()))
    }
}

fn layer() -> impl TypedValueParser<Value = Layer> {
    // Every possible value is a key.
    PossibleValuesParser::new(Layer::ALL.map(Layer::key)).map(|key| Layer::of_key(&key).unwrap_or_default())
}

fn range(text: &str) -> Result<(f64, f64), Refusal> {
    let (from, to) = text.split_once("..").ok_or_else(|| Refusal::new("write a range as FROM..TO, such as 5..45"))?;
    Ok((number(from)?, number(to)?))
}

fn scale(text: &str) -> Result<f64, Refusal> {
    let scale = number(text)?;
    if (0.5..=8.0).contains(&scale) {
        Ok(scale)
    } else {
        Err(Refusal::new(outside(scale, (0.5, 8.0), Unit::PixelPerPoint)))
    }
}

fn advance(text: &str) -> Result<f64, Refusal> {
    let (deg, (low, high)) = (number(text)?, ADVANCE_RANGE_DEG);
    if (low..=high).contains(&deg) { Ok(deg) } else { Err(Refusal::new(outside(deg, ADVANCE_RANGE_DEG, Unit::Degree))) }
}

/// The kind of file, by its ending.
#[derive(Clone, Copy)]
enum FileKind {
    Svg,
    Png,
}

#[derive(Serialize)]
struct Done {
    file: String,
    format: &'static str,
    width_points: f32,
    height_points: f32,
    base: Option<String>,
}

impl Picture {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let kind = self.kind()?;
        self.check_options()?;
        refuse_taken("picture", &self.output, &[("the project", &self.project)])?;
        let project = read_project(&self.project)?;
        let base = self.base(&project)?;
        let base = base.as_ref().map(|(name, project)| Base { name, project });
        let spec = PictureSpec {
            project: &project,
            base,
            subject: self.subject(&project),
            layer: self.layer.unwrap_or_default(),
            range: self.range,
            look: self.look.into(),
            size: self.size.map_or_else(|| self.view.size(), |Points(width, height)| (width, height)),
            shows_points: true,
        };
        let plate = plate(&spec)?;
        let (bytes, format) = match kind {
            FileKind::Svg => (svg(&plate).into_bytes(), "svg"),
            #[expect(clippy::cast_possible_truncation, reason = "0.5..=8")]
            FileKind::Png => (png(&plate, self.scale as f32)?, "png"),
        };
        let files = save_file(&self.output, bytes)?;
        let notes = unseen(&plate).into_iter().collect();
        let done = Done {
            file: shown(&self.output),
            format,
            width_points: plate.width,
            height_points: plate.height,
            base: base.map(|base| base.name.to_owned()),
        };
        let text = || format!("wrote {}: {} × {} points\n", done.file, plate.width, plate.height);
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }

    fn kind(&self) -> Result<FileKind, Failure> {
        match ending(&self.output).as_str() {
            "svg" => Ok(FileKind::Svg),
            "png" => Ok(FileKind::Png),
            _ => {
                let reason =
                    format!("{}: the ending decides the format, and must be .svg or .png", shown(&self.output));
                Err(Failure::Usage(reason, "picture"))
            }
        }
    }

    /// Refuses an option that the view would otherwise silently ignore.
    fn check_options(&self) -> Result<(), Failure> {
        let is_slice = self.view == View::Slice;
        let has_spark = matches!(self.view, View::Wheel | View::Firing);
        let is_of_degrees = !has_spark && self.layer != Some(Layer::Origin);
        let unfit = [
            ("--layer", self.layer.is_some() && !matches!(self.view, View::Surface | View::Plan), "surface and plan"),
            (
                "--range",
                self.range.is_some() && !is_of_degrees,
                "surface, plan, slice and delta, but no layer of origins",
            ),
            (
                "--camera",
                self.camera.is_some() && !matches!(self.view, View::Surface | View::Delta),
                "surface and delta",
            ),
            ("--load", self.load.is_some() && !is_slice, "slice"),
            ("--speed", self.speed.is_some() && !is_slice, "slice"),
            ("--comb", self.comb && !is_slice, "slice"),
            ("--advance", self.advance.is_some() && !has_spark, "wheel and firing"),
            ("--base", self.base.is_some() && has_spark, "surface, plan, slice and delta"),
        ];
        match unfit.into_iter().find(|(_, is_unfit, _)| *is_unfit) {
            Some((option, _, views)) => Err(Failure::Usage(format!("{option} belongs to {views}"), "picture")),
            None => self.range.map_or(Ok(()), |range| {
                let layer = if self.view == View::Delta { Layer::Difference } else { self.layer.unwrap_or_default() };
                layer.check_range(range).map_err(|why| Failure::Usage(format!("--{why}"), "picture"))
            }),
        }
    }

    fn subject(&self, project: &Project) -> Subject {
        let engine = &project.engine;
        let at_idle = || project.advance.table().lookup(engine.idle_speed_rpm, engine.idle_load);
        let advance_deg = self.advance.unwrap_or_else(at_idle);
        match self.view {
            View::Surface => Subject::Surface(self.camera()),
            View::Plan => Subject::Surface(drawing::View::Plan),
            View::Delta => Subject::Delta(self.camera()),
            View::Wheel => Subject::Wheel(advance_deg),
            View::Firing => Subject::Firing(advance_deg),
            View::Slice if self.comb => Subject::CombedSlice(self.line()),
            View::Slice => Subject::Slice(self.line()),
        }
    }

    fn line(&self) -> SliceLine {
        match (self.load, self.speed) {
            (Some(load), _) => SliceLine::Load(load),
            (None, Some(speed_rpm)) => SliceLine::Speed(speed_rpm),
            (None, None) => SliceLine::MiddleRow,
        }
    }

    fn camera(&self) -> drawing::View {
        self.camera.unwrap_or(CameraName::ThreeQuarter).into()
    }

    /// The base asked for, or the newest snapshot for a difference.
    fn base(&self, project: &Project) -> Result<Option<(String, Project)>, Failure> {
        let named = |snapshot: &crate::project::Snapshot| (snapshot.name.clone(), snapshot.state.clone());
        let Some(asked) = &self.base else {
            let newest =
                project.snapshots.last().filter(|_| self.view == View::Delta || self.layer == Some(Layer::Difference));
            return Ok(newest.map(|snapshot| named(snapshot)));
        };
        if let Some(snapshot) = project.snapshots.iter().find(|snapshot| snapshot.name == *asked) {
            return Ok(Some(named(snapshot)));
        }
        let path = PathBuf::from(asked);
        if path.exists() {
            refuse_taken("picture", &self.output, &[("the base", &path)])?;
            let other = read_project(&path)?;
            return Ok(Some((other.name.clone(), other)));
        }
        let names: Vec<String> = project.snapshots.iter().map(|snapshot| format!("'{}'", snapshot.name)).collect();
        let snapshots = match names.len() {
            0 => "the project has no snapshots".to_owned(),
            _ => format!("the project has {}", names.join(", ")),
        };
        Err(Failure::NoSuchBase { name: asked.clone(), snapshots })
    }
}

impl View {
    /// The default width and height in points.
    const fn size(self) -> (f32, f32) {
        match self {
            Self::Surface | Self::Plan | Self::Delta | Self::Wheel => (720.0, 540.0),
            Self::Slice => (720.0, 380.0),
            Self::Firing => (720.0, 280.0),
        }
    }
}

/// A remark about characters that the typeface lacks.
fn unseen(plate: &Plate) -> Option<String> {
    let missing: Vec<char> = plate.texts.iter().flat_map(|text| lettering::missing(&text.text)).collect();
    super::output::unseen(&missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_two_sensible_numbers() {
        assert_eq!("720x540".parse(), Ok(Points(720.0, 540.0)));
        assert_eq!("100×8000".parse(), Ok(Points(100.0, 8000.0)));
        for bad in ["", "720", "99x540", "720x8001", "-720x540", "720.5x540", "70000x70000"] {
            assert!(bad.parse::<Points>().is_err(), "{bad}");
        }
        assert!(scale("0.4").is_err() && scale("9").is_err() && scale("x").is_err());
        assert_eq!(scale("1.5"), Ok(1.5));
        assert_eq!((advance("-60"), advance("90")), (Ok(-60.0), Ok(90.0)));
        for outside in ["-70", "400", "1e308", "90.1"] {
            assert!(advance(outside).unwrap_err().to_string().ends_with("is outside −60..90°"), "{outside}");
        }
    }
}
