//! `opinion`: the physical second opinion on a project's advance.

use std::fmt::Write;
use std::path::PathBuf;

use serde::Serialize;

use super::output::{Format, read_project};
use super::{Answer, Failure};
use crate::combustion::{CellOpinion, KnockLimit, LearntOf};
use crate::project::Project;
use crate::table::Table;
use crate::watch::Watch;
use crate::wording::{Unit, count, figure, fixed, given, one_line, point, quantity, rounded, signed_figure, with_unit};
use crate::worksheet::{PlaceOpinion, ProjectOpinion, WhatIf};

/// Ask the physical second opinion: best torque, knock limit and degrees in hand, each with its band
#[derive(Debug, clap::Args)]
#[command(
    override_usage = "sparkloft opinion P [--speed S --load L | --table] [--ron R] [--air C] [--ratio R] [--json]"
)]
#[command(after_help = "\
A model of one cylinder (one zone, Wiebe burning, Woschni heat loss, Douaud-Eyzat delay in a
Livengood-Wu integral) gives the advance of best torque, the knock limit, what the table's own
spark loses, and where half the charge has burnt. It goes by engine.* and combustion.* of the
project; what nobody has given is assumed, and told. It never writes into a table.

Measured points of best torque and knock, and kept sweeps, calibrate it; without them it is
untested: order of magnitude and shape only. Bands hold 8 cases of 10. Degrees in hand are the
knock limit at one standard deviation less the table with what trims add at most. Recommended is 1°
less than best torque, 3° less than the knock limit, and never above that lower limit.

--ron, --air and --ratio ask: what if? The points taught it with the project's own values.

Where it has nothing to say it gives no number but a reason: idle, cranking, overrun, boost without
combustion.intake_air_c, throttle of a boosted engine, and what its formulas were not made for.

With --json: {cells: [{speed_rpm, load, pressure_kpa, best_torque_deg, best_torque_band,
knock_limit_deg, knock_band, recommended_deg, limited_by (torque, knock), loss_pct, half_burnt_deg,
peak_pressure_deg, knock_integral, residual, degrees_in_hand, recommended_was_deg, refused}],
calibration: [{name, factor, interval, learnt}], calibrated, used, left_out, assumed, caution};
half_burnt_deg, peak_pressure_deg and knock_integral are of the table's spark, and degrees after top
dead centre; a knock limit is null where nothing knocks up to 60°; with a what-if
recommended_was_deg is that of the project's own values.

Examples:
  sparkloft opinion P.ron
  sparkloft opinion P.ron --speed 3000 --load 95
  sparkloft opinion P.ron --table --ron 91")]
pub(super) struct Opinion {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// At this speed in rpm; needs --load
    #[arg(long, value_name = "RPM", requires = "load", conflicts_with = "table")]
    speed: Option<f64>,
    /// At this load in % or kPa; needs --speed
    #[arg(long, value_name = "LOAD", requires = "speed")]
    load: Option<f64>,
    /// Print the whole table: best torque, knock limit, recommended, in hand
    #[arg(long)]
    table: bool,
    /// What if the fuel had this research octane number
    #[arg(long, value_name = "RON")]
    ron: Option<f64>,
    /// What if the intake air had this temperature in °C
    #[arg(long, value_name = "C")]
    air: Option<f64>,
    /// What if the compression ratio were this
    #[arg(long, value_name = "RATIO")]
    ratio: Option<f64>,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Found {
    calibrated: bool,
    caution: String,
    cells: Vec<Row>,
    calibration: Vec<Learnt>,
    used: Vec<Used>,
    left_out: Vec<LeftOut>,
    assumed: Vec<Assumed>,
}

#[derive(Serialize)]
struct Row {
    speed_rpm: f64,
    load: f64,
    pressure_kpa: Option<f64>,
    best_torque_deg: Option<f64>,
    best_torque_band: Option<(f64, f64)>,
    knock_limit_deg: Option<f64>,
    knock_band: Option<(Option<f64>, Option<f64>)>,
    recommended_deg: Option<f64>,
    limited_by: Option<&'static str>,
    loss_pct: Option<f64>,
    half_burnt_deg: Option<f64>,
    peak_pressure_deg: Option<f64>,
    knock_integral: Option<f64>,
    residual: Option<f64>,
    degrees_in_hand: Option<f64>,
    recommended_was_deg: Option<f64>,
    refused: Option<String>,
}

#[derive(Serialize)]
struct Learnt {
    name: &'static str,
    factor: f64,
    interval: (f64, f64),
    learnt: f64,
}

#[derive(Serialize)]
struct Used {
    name: String,
    weight: f64,
    stands_apart: bool,
}

#[derive(Serialize)]
struct LeftOut {
    name: String,
    reason: String,
}

#[derive(Serialize)]
struct Assumed {
    path: &'static str,
    words: String,
}

impl Opinion {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        self.check_place(&project)?;
        let own = ProjectOpinion::of(&project, WhatIf::default(), Watch::NOBODY)?;
        let asked = match self.what_if() {
            Some(what_if) => Some(ProjectOpinion::of(&project, what_if, Watch::NOBODY)?),
            None => None,
        };
        let told = asked.as_ref().unwrap_or(&own);
        let places = |opinion: &ProjectOpinion| match self.speed.zip(self.load) {
            Some((speed_rpm, load)) => Ok(vec![opinion.at(&project, speed_rpm, load)]),
            None => opinion.of_table(&project, Watch::NOBODY),
        };
        let now = places(told)?;
        let was = if asked.is_some() { Some(places(&own)?) } else { None };
        let found = Found::new(told, &now, was.as_deref());
        self.format.answer(&found, || {
            let text = Text { project: &project, opinion: told, places: &now, was: was.as_deref() };
            match (self.speed, self.table) {
                (Some(_), _) => text.one(),
                (None, true) => text.table(),
                (None, false) => text.summary(),
            }
        })
    }

    fn what_if(&self) -> Option<WhatIf> {
        let what_if =
            WhatIf { octane_ron: self.ron, intake_air_c: self.air, compression_ratio: self.ratio, ..WhatIf::default() };
        (what_if != WhatIf::default()).then_some(what_if)
    }

    /// Speeds and loads that no engine runs at are bad usage, not a refusal of the model.
    fn check_place(&self, project: &Project) -> Result<(), Failure> {
        let (low, high) = project.sensors.load.range();
        let is_load = self.load.is_none_or(|load| (low..=high).contains(&load));
        let is_speed = self.speed.is_none_or(|speed_rpm| (0.0..=30_000.0).contains(&speed_rpm));
        if is_load && is_speed {
            return Ok(());
        }
        let unit = project.sensors.load.unit();
        let words = format!("--speed is 0..30000 rpm, --load {}", crate::wording::bounds((low, high), unit));
        Err(Failure::Usage(words, "opinion"))
    }
}

/// Ten thousandths are more than the model knows.
fn short(value: f64) -> f64 {
    rounded(value, 4)
}

impl Found {
    fn new(opinion: &ProjectOpinion, places: &[PlaceOpinion], was: Option<&[PlaceOpinion]>) -> Self {
        let before = |at: usize| was.and_then(|was| was.get(at)).and_then(|was| was.opinion.as_ref().ok());
        let used = opinion.calibrated.iter().flat_map(|calibrated| &calibrated.used);
        Self {
            calibrated: opinion.calibrated.is_some(),
            caution: opinion.caution_lines().join(" "),
            cells: places.iter().enumerate().map(|(at, place)| Row::new(place, before(at))).collect(),
            calibration: opinion.learnt().iter().map(Learnt::new).collect(),
            used: used
                .map(|(name, weight)| Used {
                    name: name.clone(),
                    weight: short(*weight),
                    stands_apart: *weight < crate::combustion::Calibrated::APART,
                })
                .collect(),
            left_out: opinion
                .left_out
                .iter()
                .map(|(name, reason)| LeftOut { name: name.clone(), reason: reason.clone() })
                .collect(),
            assumed: opinion.assumed.iter().map(|own| Assumed { path: own.path, words: own.words.clone() }).collect(),
        }
    }
}

impl Row {
    fn new(place: &PlaceOpinion, was: Option<&CellOpinion>) -> Self {
        let own = place.opinion.as_ref().ok();
        let number = |of: &dyn Fn(&CellOpinion) -> f64| own.map(|own| short(of(own)));
        let ends = |(low, high): (f64, f64)| (short(low), short(high));
        Self {
            speed_rpm: place.speed_rpm,
            load: place.load,
            pressure_kpa: number(&|own| own.pressure_kpa),
            best_torque_deg: number(&|own| own.best_torque_deg),
            best_torque_band: own.map(|own| ends(own.best_torque_band())),
            knock_limit_deg: own.and_then(|own| own.knock.deg()).map(short),
            knock_band: own.map(|own| (own.knock_band.0.deg().map(short), own.knock_band.1.deg().map(short))),
            recommended_deg: number(&|own| own.recommended_deg),
            limited_by: own.map(|own| own.limited_by.name()),
            loss_pct: number(&|own| 100.0 * own.own.loss),
            half_burnt_deg: number(&|own| own.own.half_burnt_deg),
            peak_pressure_deg: number(&|own| own.own.peak_pressure_deg),
            knock_integral: number(&|own| own.own.knock_integral),
            residual: number(&|own| own.residual),
            degrees_in_hand: place.in_hand_deg().map(short),
            recommended_was_deg: was.map(|was| short(was.recommended_deg)),
            refused: place.opinion.as_ref().err().map(ToString::to_string),
        }
    }
}

impl Learnt {
    fn new(of: &LearntOf) -> Self {
        Self {
            name: of.unknown.words().unwrap_or_default(),
            factor: short(of.value),
            interval: (short(of.interval.0), short(of.interval.1)),
            learnt: short(of.learnt),
        }
    }
}

/// What people read.
struct Text<'a> {
    project: &'a Project,
    opinion: &'a ProjectOpinion,
    places: &'a [PlaceOpinion],
    was: Option<&'a [PlaceOpinion]>,
}

/// Degrees to one decimal: no figure of the model is known better.
fn deg(value: f64) -> String {
    with_unit(&fixed(value, 1), Unit::Degree)
}

/// '21.4°', or beyond which end of the sweep it lies.
fn limit(limit: KnockLimit) -> String {
    match limit {
        KnockLimit::Always => "below −10°".into(),
        KnockLimit::At(at) => deg(at),
        KnockLimit::Beyond => "above 60°".into(),
    }
}

fn line(name: &str, value: &str) -> String {
    format!("  {name:<22}{value}\n")
}

/// A value of a cell; `None` where it has none.
type Value<'a> = dyn Fn(&PlaceOpinion, &CellOpinion) -> Option<f64> + 'a;

impl Text<'_> {
    fn one(&self) -> String {
        let Some(place) = self.places.first() else { return String::new() };
        let at = point(place.speed_rpm, place.load, self.project.sensors.load.unit());
        match &place.opinion {
            Err(reason) => format!("{at}: no opinion\n  {reason}\n"),
            Ok(own) => format!("{}{at}\n{}\n{}", self.asked(), self.one_cell(place, own), self.end()),
        }
    }

    fn one_cell(&self, place: &PlaceOpinion, own: &CellOpinion) -> String {
        let (low, high) = own.best_torque_band();
        let band = |(low, high): (KnockLimit, KnockLimit)| format!("{} to {}", limit(low), limit(high));
        let mut text = line("best torque", &format!("{} ({} to {})", deg(own.best_torque_deg), deg(low), deg(high)));
        text += &line("knock limit", &format!("{} ({})", limit(own.knock), band(own.knock_band)));
        let by = own.limited_by.name();
        let was = self.was.and_then(|was| was.first()).and_then(|was| was.opinion.as_ref().ok());
        let was = was.map_or_else(String::new, |was| format!(", and {} as it is", deg(was.recommended_deg)));
        text += &line("recommended", &format!("{}, limited by {by}{was}", deg(own.recommended_deg)));
        text += &line("table", &format!("{}, with the worst trims {}", deg(place.table_deg), deg(place.most_deg)));
        let in_hand = place.in_hand_deg().map_or_else(|| "nothing knocks".to_owned(), in_hand_words);
        text += &line("degrees in hand", &in_hand);
        text += &line("loses of best torque", &with_unit(&fixed(100.0 * own.own.loss, 1), Unit::Percent));
        let after = |deg: f64| format!("{} after top dead centre", figure(deg, Unit::Degree));
        text += &line("half burnt", &after(own.own.half_burnt_deg));
        text += &line("peak pressure", &after(own.own.peak_pressure_deg));
        text += &line("knock integral", &fixed(own.own.knock_integral, 2));
        let pressure = figure(own.pressure_kpa, Unit::Kilopascal);
        let residual = figure(100.0 * own.residual, Unit::Percent);
        text + &line("charge", &format!("{pressure}, lambda {}, residual gas {residual}", fixed(own.lambda, 2)))
    }

    fn table(&self) -> String {
        let grids: [(&str, &Value<'_>); 4] = [
            ("Best torque, degrees", &|_, own| Some(own.best_torque_deg)),
            ("Knock limit, degrees; a dash where nothing knocks up to 60°", &|_, own| own.knock.deg()),
            ("Recommended, degrees", &|_, own| Some(own.recommended_deg)),
            ("Degrees in hand with the worst trims; a dash where nothing knocks", &|place, _| place.in_hand_deg()),
        ];
        let mut text = self.asked();
        for (title, value) in grids {
            text += &format!("{title}; a dot where there is no opinion\n{}\n", self.grid(value));
        }
        text + &self.end()
    }

    fn grid(&self, value: &Value<'_>) -> String {
        let table: &Table = self.project.advance.table();
        let speeds = table.speed().breakpoints();
        let mut text = format!("{:>8}", self.project.sensors.load.unit().text());
        speeds.iter().for_each(|speed_rpm| _ = write!(text, "{:>7}", given(*speed_rpm, Unit::Rpm)));
        text.push('\n');
        for (row, load) in table.load().breakpoints().iter().enumerate().rev() {
            let _ = write!(text, "{:>8}", given(*load, self.project.sensors.load.unit()));
            for place in self.places.iter().skip(row * speeds.len()).take(speeds.len()) {
                let cell = match &place.opinion {
                    Err(_) => ".".to_owned(),
                    Ok(own) => value(place, own).map_or_else(|| "—".into(), |value| fixed(value, 1)),
                };
                let _ = write!(text, "{cell:>7}");
            }
            text.push('\n');
        }
        text
    }

    fn summary(&self) -> String {
        let known = || self.places.iter().filter_map(|place| Some((place, place.opinion.as_ref().ok()?)));
        let (of, told) = (count(self.places.len(), "cell"), known().count());
        let mut text = format!("{}An opinion on {told} of {of}\n\n", self.asked());
        let at = |place: &PlaceOpinion| point(place.speed_rpm, place.load, self.project.sensors.load.unit());
        let least = known().filter_map(|(place, _)| Some((place, place.in_hand_deg()?)));
        let least = least.min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((place, in_hand_deg)) = least {
            text += &line("least in hand", &format!("{} at {}", in_hand_words(in_hand_deg), at(place)));
        }
        let beyond = known().filter(|(place, _)| place.in_hand_deg().is_some_and(|deg| deg < 0.0)).count();
        text += &line("beyond the limit", &count(beyond, "cell"));
        if let Some((place, own)) = known().max_by(|a, b| a.1.own.loss.total_cmp(&b.1.own.loss)) {
            let loss = with_unit(&fixed(100.0 * own.own.loss, 1), Unit::Percent);
            text += &line("most torque lost", &format!("{loss} at {}", at(place)));
        }
        text += &self.change();
        for (reason, cells) in self.refusals() {
            text += &line("no opinion", &format!("on {}: {reason}", count(cells, "cell")));
        }
        format!("{text}\n{}", self.end())
    }

    /// What the what-if changes.
    fn change(&self) -> String {
        let Some(was) = self.was else { return String::new() };
        let changes = self.places.iter().zip(was).filter_map(|(now, was)| {
            let (now_own, was_own) = (now.opinion.as_ref().ok()?, was.opinion.as_ref().ok()?);
            Some((now, now_own.recommended_deg - was_own.recommended_deg))
        });
        let mut changes: Vec<_> = changes.collect();
        changes.sort_by(|a, b| a.1.total_cmp(&b.1));
        let (Some(middle), Some(first), Some(last)) = (changes.get(changes.len() / 2), changes.first(), changes.last())
        else {
            return String::new();
        };
        let far = if first.1.abs() > last.1.abs() { first } else { last };
        let at = point(far.0.speed_rpm, far.0.load, self.project.sensors.load.unit());
        let (median, most) =
            (signed_figure(rounded(middle.1, 1), Unit::Degree), signed_figure(rounded(far.1, 1), Unit::Degree));
        line("recommended changes", &format!("{median} in the median, {most} at {at}"))
    }

    /// Every reason with how many cells it stands for, in the order in which they are met.
    fn refusals(&self) -> Vec<(String, usize)> {
        let mut reasons: Vec<(String, usize)> = Vec::new();
        for reason in self.places.iter().filter_map(|place| place.opinion.as_ref().err()) {
            let words = reason.kind_words();
            match reasons.iter_mut().find(|(own, _)| *own == words) {
                Some((_, cells)) => *cells += 1,
                None => reasons.push((words, 1)),
            }
        }
        reasons
    }

    /// What the points taught, what is assumed, and what must be said.
    fn end(&self) -> String {
        let mut text = String::new();
        if self.opinion.calibrated.is_some() {
            text += "Learnt from what was measured\n";
            for of in self.opinion.learnt() {
                text += &line(of.unknown.words().unwrap_or_default(), &learnt_words(&of));
            }
            text += &self.opinion.apart_words().map_or_else(String::new, |words| format!("  {words}\n"));
            text.push('\n');
        }
        for (name, reason) in &self.opinion.left_out {
            let _ = writeln!(text, "Not used: {}: {reason}", one_line(name));
        }
        if !self.opinion.assumed.is_empty() {
            let words: Vec<&str> = self.opinion.assumed.iter().map(|own| own.words.as_str()).collect();
            let _ = writeln!(text, "Assumed: {}.", words.join("; "));
        }
        text.push('\n');
        self.opinion.caution_lines().iter().for_each(|words| _ = writeln!(text, "{words}"));
        text
    }

    /// What is tried, on a line of its own; empty if it is the project as it is.
    fn asked(&self) -> String {
        let description = self.opinion.opinion.description();
        let tried = self.opinion.what_if();
        let words = [
            tried.octane_ron.map(|ron| quantity(ron, Unit::Ron)),
            tried.intake_air_c.map(|air_c| format!("intake air of {}", quantity(air_c, Unit::Celsius))),
            tried.compression_ratio.map(|_| quantity(description.compression_ratio, Unit::ToOne)),
        ];
        let words: Vec<String> = words.into_iter().flatten().collect();
        if words.is_empty() { String::new() } else { format!("What if: {}\n\n", words.join(", ")) }
    }
}

fn in_hand_words(in_hand_deg: f64) -> String {
    if in_hand_deg < 0.0 {
        return format!("{}, beyond the lower limit", deg(in_hand_deg));
    }
    deg(in_hand_deg)
}

/// '× 1.08 (0.98 to 1.19), 62 % of it learnt', or that the points do not tell.
fn learnt_words(of: &LearntOf) -> String {
    if !of.is_told() {
        return "not told by these points".into();
    }
    let sign = if of.unknown.is_factor() { "× " } else { "" };
    let (low, high) = of.interval;
    let share = quantity((100.0 * of.learnt).round(), Unit::Percent);
    format!("{sign}{} ({} to {}), {share} of it learnt", fixed(of.value, 2), fixed(low, 2), fixed(high, 2))
}
