//! A distributor: what it was set to, its weights and its vacuum capsule, and the advance that they give together.

use serde::{Deserialize, Serialize};

use crate::project::{LoadKind, Parts};
use crate::wording::{Refusal, Unit, outside};
use crate::worksheet::{Filling, STANDARD_ATMOSPHERE_KPA, WorksheetError};

/// Whose turns and degrees a curve is in. A distributor turns at half the speed of the crank, and so its degrees count
/// twice there (US Army TM 10-3930-644-14&P).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Terms {
    /// The crank's.
    #[default]
    Crank,
    /// The distributor's own.
    Distributor,
}

impl Terms {
    const fn factor(self) -> f64 {
        match self {
            Self::Crank => 1.0,
            Self::Distributor => 2.0,
        }
    }
}

/// What a depression is in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Depression {
    /// kPa.
    #[default]
    Kpa,
    /// Inches of mercury.
    Inhg,
    /// Millimetres of mercury.
    Mmhg,
}

impl Depression {
    /// In kPa: 1 inHg is 3.386389 kPa (conventional mercury).
    const fn kpa(self) -> f64 {
        match self {
            Self::Kpa => 1.0,
            Self::Inhg => 3.386_389,
            Self::Mmhg => 3.386_389 / 25.4,
        }
    }
}

/// Where the capsule takes its vacuum.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Port {
    /// Behind the throttle, where it idles with full vacuum.
    #[default]
    Manifold,
    /// At the throttle's edge, which covers it while it is closed.
    Ported,
    /// Nowhere.
    None,
}

/// The weights: advance over speed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Centrifugal {
    /// Whose speed and degrees.
    #[serde(default)]
    pub terms: Terms,
    /// Speeds in rpm, rising, each with its degrees; linear between them and held beyond.
    pub points: Vec<(f64, f64)>,
}

/// The capsule: advance over depression.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Vacuum {
    /// Whose degrees.
    pub terms: Terms,
    /// What the depression is in.
    pub unit: Depression,
    /// Where it is taken.
    pub port: Port,
    /// Depressions, rising, each with its degrees; linear between them and held beyond. None for no capsule.
    pub points: Vec<(f64, f64)>,
}

/// A distributor and how it was set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Distributor {
    /// Advance that it was set to, crank degrees before top dead centre.
    pub initial_deg: f64,
    /// At which crank speed in rpm, the capsule disconnected.
    pub initial_rpm: f64,
    /// The weights.
    pub centrifugal: Centrifugal,
    /// The capsule.
    #[serde(default)]
    pub vacuum: Vacuum,
    /// How wide the curves scatter on a worn unit, crank degrees: points are its middle.
    #[serde(default)]
    pub band_deg: f64,
    /// Research octane number of the fuel that it was made for; `None` if nobody knows.
    #[serde(default)]
    pub octane_then_ron: Option<f64>,
    /// Pressure of the air around in kPa.
    #[serde(default = "standard_kpa")]
    pub ambient_kpa: f64,
    /// Degrees less for each kPa above the pressure around. Common practice, no source.
    #[serde(default = "usual_boost")]
    pub boost_deg_per_kpa: f64,
    /// Degrees less at full load for each octane number that the fuel now has less. Common practice, no source.
    #[serde(default = "usual_octane")]
    pub deg_per_octane: f64,
}

const fn standard_kpa() -> f64 {
    STANDARD_ATMOSPHERE_KPA
}

const fn usual_boost() -> f64 {
    0.2
}

const fn usual_octane() -> f64 {
    1.0
}

/// What a curve has of points: at least and at most.
const CENTRIFUGAL_POINTS: (usize, usize) = (2, 12);
const VACUUM_POINTS: (usize, usize) = (0, 12);
/// Both curves give no more than this, crank degrees.
const MOST_DEG: f64 = 60.0;
const MOST_RPM: f64 = 15_000.0;
const MOST_DEPRESSION_KPA: f64 = 100.0;

impl Distributor {
    /// Reads a distributor from RON, and checks it.
    ///
    /// # Errors
    /// [`Refusal`] with line and column for what is no distributor, or with the field for a value that cannot be.
    pub fn read(text: &str) -> Result<Self, Refusal> {
        let own: Self = ron::from_str(text).map_err(|error| {
            let at = error.span.start;
            Refusal::new(error.code.to_string()).at(format!("line {}, column {}", at.line, at.col))
        })?;
        own.check()?;
        Ok(own)
    }

    /// What is no distributor is refused with its field.
    ///
    /// # Errors
    /// [`WorksheetError`] for the first value that cannot be.
    pub fn check(&self) -> Result<(), WorksheetError> {
        let values = [
            ("initial_deg", self.initial_deg, (-10.0, 30.0), Unit::Degree),
            ("initial_rpm", self.initial_rpm, (0.0, 3000.0), Unit::Rpm),
            ("band_deg", self.band_deg, (0.0, 20.0), Unit::Degree),
            ("ambient_kpa", self.ambient_kpa, (60.0, 110.0), Unit::Kilopascal),
            ("boost_deg_per_kpa", self.boost_deg_per_kpa, (0.0, 2.0), Unit::DegreePerKilopascal),
            ("deg_per_octane", self.deg_per_octane, (0.0, 5.0), Unit::Degree),
            ("octane_then_ron", self.octane_then_ron.unwrap_or(95.0), (50.0, 130.0), Unit::Ron),
        ];
        for (name, value, range, unit) in values {
            crate::worksheet::check(name, value, range.0, range.1, unit)?;
        }
        let (weights, capsule) = (&self.centrifugal, &self.vacuum);
        check_points("centrifugal", &weights.points, CENTRIFUGAL_POINTS)?;
        check_points("vacuum", &capsule.points, VACUUM_POINTS)?;
        let (turns, degrees) = (weights.terms.factor(), capsule.terms.factor());
        let speed = |(rpm, deg): (f64, f64)| ((turns * rpm, turns * deg), (MOST_RPM, Unit::Rpm));
        let depression = |(own, deg): (f64, f64)| {
            ((own * capsule.unit.kpa(), degrees * deg), (MOST_DEPRESSION_KPA, Unit::Kilopascal))
        };
        for (place, point) in weights.points.iter().enumerate() {
            check_point("centrifugal", place, speed(*point))?;
        }
        for (place, point) in capsule.points.iter().enumerate() {
            check_point("vacuum", place, depression(*point))?;
        }
        Ok(())
    }

    /// Advance of the weights at a crank speed in rpm, crank degrees.
    pub fn centrifugal_deg(&self, speed_rpm: f64) -> f64 {
        let turns = self.centrifugal.terms.factor();
        turns * linear(&self.centrifugal.points, speed_rpm / turns)
    }

    /// What the weights had given already when the initial advance was read, crank degrees.
    pub fn already_deg(&self) -> f64 {
        let first = self.centrifugal.points.first().map_or(0.0, |(rpm, _)| rpm * self.centrifugal.terms.factor());
        if self.initial_rpm < first { 0.0 } else { self.centrifugal_deg(self.initial_rpm) }
    }

    /// Advance of the capsule at a depression in kPa that it feels, crank degrees.
    pub fn vacuum_deg(&self, depression_kpa: f64) -> f64 {
        if self.vacuum.port == Port::None || self.vacuum.points.is_empty() {
            return 0.0;
        }
        self.vacuum.terms.factor() * linear(&self.vacuum.points, depression_kpa.max(0.0) / self.vacuum.unit.kpa())
    }

    /// The highest crank speed of its curve in rpm.
    pub fn ends_at_rpm(&self) -> f64 {
        self.centrifugal.points.last().map_or(0.0, |(rpm, _)| rpm * self.centrifugal.terms.factor())
    }
}

fn check_points(name: &str, points: &[(f64, f64)], (least, most): (usize, usize)) -> Result<(), WorksheetError> {
    let refused = |message: String| Err(WorksheetError::Value { name: format!("{name}.points"), message });
    if !(least..=most).contains(&points.len()) {
        return refused(format!("{} given, where {least} to {most} are wanted", points.len()));
    }
    let falls =
        points.windows(2).position(|pair| pair[1].0.partial_cmp(&pair[0].0) != Some(std::cmp::Ordering::Greater));
    match falls {
        Some(place) => refused(format!("point {} does not lie above point {}; they must rise", place + 2, place + 1)),
        None => Ok(()),
    }
}

fn check_point(
    name: &str,
    place: usize,
    ((at, deg), (most, unit)): ((f64, f64), (f64, Unit)),
) -> Result<(), WorksheetError> {
    let name = format!("{name}.points, point {}, in crank terms", place + 1);
    let told = |message: String| Err(WorksheetError::Value { name: name.clone(), message });
    if !(0.0..=most).contains(&at) {
        return told(outside(at, (0.0, most), unit));
    }
    if !(0.0..=MOST_DEG).contains(&deg) {
        return told(outside(deg, (0.0, MOST_DEG), Unit::Degree));
    }
    Ok(())
}

/// Linear between points and held beyond; 0 without any.
fn linear(points: &[(f64, f64)], x: f64) -> f64 {
    let above = points.partition_point(|(at, _)| *at < x);
    match (above.checked_sub(1).and_then(|below| points.get(below)), points.get(above)) {
        (Some((from, low)), Some((to, high))) => low + (high - low) * (x - from) / (to - from),
        (Some((_, only)), None) | (None, Some((_, only))) => *only,
        (None, None) => 0.0,
    }
}

/// The advance of one place and what it is made of, crank degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DistributorParts {
    /// What it was set to, less what the weights had given then.
    pub initial_deg: f64,
    /// The weights.
    pub centrifugal_deg: f64,
    /// The capsule.
    pub vacuum_deg: f64,
    /// What boost takes away, 0 or less.
    pub boost_deg: f64,
    /// What a lesser fuel takes away, 0 or less.
    pub fuel_deg: f64,
}

impl DistributorParts {
    /// Their sum.
    pub fn total_deg(&self) -> f64 {
        self.initial_deg + self.centrifugal_deg + self.vacuum_deg + self.boost_deg + self.fuel_deg
    }
}

/// A distributor on the engine of a project.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fitted<'a> {
    pub(super) distributor: &'a Distributor,
    pub(super) load: LoadKind,
    pub(super) idle_rpm: f64,
    pub(super) idle_load: f64,
    pub(super) octane_now_ron: f64,
    /// How throttle openings fill the manifold.
    pub(super) filling: Filling,
}

/// At or above this pressure the capsule rests, kPa.
const ATMOSPHERE_KPA: f64 = 100.0;
/// A ported capsule feels all of the vacuum from this opening on, in %. Common practice, no source.
const PORT_OPEN_PCT: f64 = 5.0;
/// On a pressure table it feels nothing up to so much above idle and all of it so much further, rpm. Common practice, no
/// source.
const PORT_OPENS_RPM: (f64, f64) = (150.0, 400.0);
/// Around idle, so far to either side in rpm and up to so much more load in kPa and %, the advance is level. Common
/// practice, no source.
const IDLE_WITHIN_RPM: f64 = 300.0;
const IDLE_ABOVE: (f64, f64) = (10.0, 3.0);

impl<'a> Fitted<'a> {
    pub(super) fn new(distributor: &'a Distributor, parts: &Parts) -> Self {
        Self {
            distributor,
            load: parts.sensors.load,
            idle_rpm: parts.engine.idle_speed_rpm,
            idle_load: parts.engine.idle_load,
            octane_now_ron: parts.engine.fuel_octane_ron,
            filling: Filling::guessed(parts.engine.displacement_l, distributor.ambient_kpa),
        }
    }

    /// Whether a place counts as idle.
    pub(super) fn is_idle(&self, speed_rpm: f64, load: f64) -> bool {
        let above = match self.load {
            LoadKind::Pressure => IDLE_ABOVE.0,
            LoadKind::Throttle => IDLE_ABOVE.1,
        };
        (speed_rpm - self.idle_rpm).abs() <= IDLE_WITHIN_RPM && load <= self.idle_load + above
    }

    /// The parts at a speed in rpm and a load in the project's unit; around idle those of idle itself.
    pub(super) fn parts(&self, speed_rpm: f64, load: f64) -> DistributorParts {
        if self.is_idle(speed_rpm, load) {
            return self.parts_at(self.idle_rpm, self.idle_load);
        }
        self.parts_at(speed_rpm, load)
    }

    fn parts_at(&self, speed_rpm: f64, load: f64) -> DistributorParts {
        let own = self.distributor;
        let pressure_kpa = match self.load {
            LoadKind::Pressure => load,
            LoadKind::Throttle => self.filling.pressure_kpa(speed_rpm.max(1.0), load),
        };
        let depression_kpa = if self.load == LoadKind::Pressure && load >= ATMOSPHERE_KPA {
            0.0
        } else {
            (own.ambient_kpa - pressure_kpa).max(0.0)
        };
        let shut = |taken: f64, range: (f64, f64)| ((taken - range.0) / (range.1 - range.0)).clamp(0.0, 1.0);
        let open = match (own.vacuum.port, self.load) {
            (Port::Manifold, _) => 1.0,
            (Port::None, _) => 0.0,
            (Port::Ported, LoadKind::Throttle) => shut(load, (0.0, PORT_OPEN_PCT)),
            (Port::Ported, LoadKind::Pressure) => {
                let (from, over) = PORT_OPENS_RPM;
                shut(speed_rpm - self.idle_rpm, (from, from + over))
            }
        };
        let less_octane = own.octane_then_ron.map_or(0.0, |then| (then - self.octane_now_ron).max(0.0));
        DistributorParts {
            initial_deg: own.initial_deg - own.already_deg(),
            centrifugal_deg: own.centrifugal_deg(speed_rpm),
            vacuum_deg: open * own.vacuum_deg(depression_kpa),
            boost_deg: 0.0 - own.boost_deg_per_kpa * self.boost_kpa(pressure_kpa),
            fuel_deg: 0.0 - own.deg_per_octane * less_octane * self.share_of_full_load(load),
        }
    }

    /// A throttle opening tells no boost, and an atmosphere above 100 kPa is none.
    fn boost_kpa(&self, pressure_kpa: f64) -> f64 {
        match self.load {
            LoadKind::Throttle => 0.0,
            LoadKind::Pressure => (pressure_kpa - self.distributor.ambient_kpa.max(ATMOSPHERE_KPA)).max(0.0),
        }
    }

    /// How much of what full load takes away applies: none up to half load.
    fn share_of_full_load(&self, load: f64) -> f64 {
        let (half, full) = match self.load {
            LoadKind::Throttle => (50.0, 100.0),
            LoadKind::Pressure => (70.0, ATMOSPHERE_KPA),
        };
        ((load - half) / (full - half)).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// A centrifugal curve within common practice, no source.
    pub(super) fn usual() -> Distributor {
        let centrifugal = [
            (500.0, 0.0),
            (1000.0, 2.0),
            (1600.0, 9.0),
            (2000.0, 14.0),
            (3000.0, 21.0),
            (4000.0, 28.0),
            (4600.0, 32.0),
        ];
        Distributor {
            initial_deg: 6.0,
            initial_rpm: 450.0,
            centrifugal: Centrifugal { terms: Terms::Crank, points: centrifugal.to_vec() },
            vacuum: Vacuum {
                terms: Terms::Distributor,
                unit: Depression::Inhg,
                port: Port::Manifold,
                points: vec![(4.0, 0.0), (8.0, 4.0), (12.0, 7.0), (15.0, 8.0)],
            },
            band_deg: 0.0,
            octane_then_ron: None,
            ambient_kpa: STANDARD_ATMOSPHERE_KPA,
            boost_deg_per_kpa: 0.2,
            deg_per_octane: 1.0,
        }
    }

    fn fitted(distributor: &Distributor, load: LoadKind) -> Fitted<'_> {
        let filling = Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: STANDARD_ATMOSPHERE_KPA };
        Fitted { distributor, load, idle_rpm: 850.0, idle_load: 30.0, octane_now_ron: 95.0, filling }
    }

    /// By hand from the curves above: 10 inHg of vacuum are 67.46111 kPa absolute at 101.325 kPa.
    #[test]
    fn places_of_a_pressure_table() {
        let own = usual();
        let at = |speed_rpm, kpa| fitted(&own, LoadKind::Pressure).parts_at(speed_rpm, kpa).total_deg();
        assert_abs_diff_eq!(at(1300.0, 101.325), 11.5, epsilon = 1e-9);
        assert_abs_diff_eq!(at(2500.0, 101.325), 23.5, epsilon = 1e-9);
        assert_abs_diff_eq!(at(2500.0, 67.461_11), 34.5, epsilon = 1e-5);
        assert_abs_diff_eq!(at(3000.0, 74.233_888), 35.0, epsilon = 1e-5);
        assert_abs_diff_eq!(at(3000.0, 50.0), 43.0, epsilon = 1e-9);
        assert_abs_diff_eq!(at(850.0, 40.0), 23.4, epsilon = 1e-9);
        let ported = Distributor { vacuum: Vacuum { port: Port::Ported, ..own.vacuum.clone() }, ..usual() };
        assert_abs_diff_eq!(fitted(&ported, LoadKind::Pressure).parts_at(850.0, 40.0).total_deg(), 7.4, epsilon = 1e-9);
        let none = Distributor { vacuum: Vacuum { port: Port::None, ..own.vacuum.clone() }, ..usual() };
        assert_eq!(fitted(&none, LoadKind::Pressure).parts_at(3000.0, 50.0).vacuum_deg, 0.0);
    }

    /// The filling's pressures are 33.186487 and 81.103961 kPa.
    #[test]
    fn places_of_a_throttle_table() {
        let own = usual();
        let at = |speed_rpm, pct| fitted(&own, LoadKind::Throttle).parts_at(speed_rpm, pct).total_deg();
        assert_abs_diff_eq!(at(2500.0, 10.0), 39.5, epsilon = 1e-9);
        assert_abs_diff_eq!(at(2500.0, 25.0), 27.442_537, epsilon = 1e-5);
    }

    /// US Army TM 10-3930-644-14&P: crank degrees are twice the distributor's, at twice its speed.
    #[test]
    fn distributor_terms_count_twice() {
        let crank = usual();
        let halved = crank.centrifugal.points.iter().map(|(rpm, deg)| (rpm / 2.0, deg / 2.0)).collect();
        let own = Distributor { centrifugal: Centrifugal { terms: Terms::Distributor, points: halved }, ..usual() };
        for speed_rpm in [400.0, 900.0, 1300.0, 2750.0, 5000.0] {
            assert_abs_diff_eq!(own.centrifugal_deg(speed_rpm), crank.centrifugal_deg(speed_rpm), epsilon = 1e-12);
        }
        assert_eq!((own.ends_at_rpm(), own.centrifugal_deg(9000.0)), (4600.0, 32.0));
    }

    #[test]
    fn an_initial_that_was_read_on_the_curve_is_not_counted_twice() {
        let own = Distributor { initial_deg: 8.0, initial_rpm: 1000.0, ..usual() };
        assert_eq!(own.already_deg(), 2.0);
        assert_eq!(fitted(&own, LoadKind::Pressure).parts_at(1000.0, 100.0).total_deg(), 8.0);
    }

    #[test]
    fn boost_and_a_lesser_fuel_take_away_at_full_load() {
        let own = Distributor { octane_then_ron: Some(98.0), ..usual() };
        let at = |kpa| fitted(&own, LoadKind::Pressure).parts_at(3000.0, kpa);
        assert_abs_diff_eq!(at(151.325).boost_deg, -10.0, epsilon = 1e-9);
        assert_abs_diff_eq!(at(100.0).fuel_deg, -3.0, epsilon = 1e-9);
        assert_abs_diff_eq!(at(85.0).fuel_deg, -1.5, epsilon = 1e-9);
        assert_eq!(at(60.0).fuel_deg, 0.0);
        let better = Distributor { octane_then_ron: Some(90.0), ..usual() };
        assert_eq!(fitted(&better, LoadKind::Pressure).parts_at(3000.0, 100.0).fuel_deg, 0.0);
    }

    #[test]
    fn around_idle_the_advance_is_level() {
        let own = usual();
        let fitted = fitted(&own, LoadKind::Pressure);
        let idle = fitted.parts(850.0, 30.0);
        assert_eq!(fitted.parts(1150.0, 40.0), idle);
        assert_ne!(fitted.parts(1151.0, 40.0), idle);
        assert!(fitted.is_idle(850.0, 40.0) && !fitted.is_idle(850.0, 41.0));
    }

    #[test]
    fn nonsense_is_refused_with_its_field() {
        let told = |change: fn(&mut Distributor)| {
            let mut own = usual();
            change(&mut own);
            own.check().unwrap_err().to_string()
        };
        assert_eq!(usual().check(), Ok(()));
        assert_eq!(told(|own| own.initial_deg = 31.0), "initial_deg: 31 is outside −10..30°");
        assert_eq!(
            told(|own| own.centrifugal.points[2].0 = 900.0),
            "centrifugal.points: point 3 does not lie above point 2; they must rise"
        );
        assert!(told(|own| own.centrifugal.points.truncate(1)).contains("1 given, where 2 to 12 are wanted"));
        assert!(told(|own| own.centrifugal.points[6].1 = 61.0).contains("61 is outside 0..60°"));
        assert!(told(|own| own.vacuum.points[3].0 = 40.0).contains("is outside 0..100 kPa"));
        assert!(told(|own| own.vacuum.points[0].1 = f64::NAN).contains("vacuum.points, point 1"));
        assert!(told(|own| own.vacuum.points[1].0 = f64::NAN).contains("must rise"));
    }
}
