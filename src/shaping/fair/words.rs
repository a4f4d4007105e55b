//! Contradictions in words: what cannot all be kept, each with what would end it.

use super::contradiction::{LeastSet, Member};
use super::demands::{Target, TargetBound};
use super::outcome::{Clash, Contradiction, DemandKind, up};
use super::posed::Posed;
use crate::project::ADVANCE_RANGE_DEG;
use crate::table::{Cell, Table};
use crate::wording::{Unit, count, given_load, quantity, range};

impl Posed<'_> {
    /// A set of demands in words.
    pub(super) fn told(&self, set: &LeastSet) -> Contradiction {
        let told = Told { posed: self, table: self.table, set };
        let demands = grouped(&set.members).iter().map(|members| told.clash(members)).collect();
        Contradiction { short_by_deg: set.short_by_deg, demands, only_on_step_deg: None }
    }

    /// The same where only the step is to blame, with the other steps that would do.
    pub(super) fn told_on_step(&self, set: &LeastSet, step_deg: f64, others_deg: &[f64]) -> Contradiction {
        let mut told = self.told(set);
        // The numbers suffice for values between the steps, not on them: only what removes a demand is offered.
        for demand in &mut told.demands {
            demand.remedy = match demand.kind {
                DemandKind::Held if demand.cells.len() == 1 => "release it".into(),
                DemandKind::Held => "release one of them".into(),
                _ => String::new(),
            };
        }
        let steps: Vec<String> = others_deg.iter().map(|deg| quantity(*deg, Unit::Degree)).collect();
        let remedy = match steps.as_slice() {
            [] => "leave the step out".to_owned(),
            steps => format!("take the step {}, or leave it out", steps.join(" or ")),
        };
        let words = format!("on the {} step", quantity(step_deg, Unit::Degree));
        told.demands.push(Clash { kind: DemandKind::Step, cells: Vec::new(), words, remedy });
        told.only_on_step_deg = Some(step_deg);
        told
    }
}

/// Members that read as one demand: all of a slope, equal cells that stay.
fn grouped(members: &[Member]) -> Vec<Vec<&Member>> {
    let mut groups: Vec<Vec<&Member>> = Vec::new();
    // The two ends first, the lower row and column before the higher, then what lies between them.
    let (between, mut ends): (Vec<&Member>, Vec<&Member>) = members.iter().partition(|member| member.span > 0.0);
    ends.sort_by(|one, other| one.cells.first().cmp(&other.cells.first()).then(one.of.cmp(&other.of)));
    for member in ends.into_iter().chain(between) {
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| is_alike(first, member))) {
            Some(group) => group.push(member),
            None => groups.push(vec![member]),
        }
    }
    groups
}

fn is_alike(one: &Member, other: &Member) -> bool {
    let is_same_bound = match one.of {
        DemandKind::SlopeSpeed | DemandKind::SlopeLoad | DemandKind::NotRising => true,
        DemandKind::Point => one.point == other.point,
        DemandKind::FullLoadLine => one.point == other.point && one.deg == other.deg,
        DemandKind::Within => one.is_upper == other.is_upper && one.deg == other.deg,
        _ => one.deg == other.deg,
    };
    one.of == other.of && is_same_bound
}

/// A set that is told.
struct Told<'a> {
    posed: &'a Posed<'a>,
    table: &'a Table,
    set: &'a LeastSet,
}

impl Told<'_> {
    fn clash(&self, members: &[&Member]) -> Clash {
        let mut cells: Vec<usize> = members.iter().flat_map(|member| member.cells.iter().copied()).collect();
        cells.sort_unstable();
        cells.dedup();
        let all: Vec<Cell> = self.table.cells().collect();
        let (words, remedy) = members.first().map_or_else(Default::default, |first| self.words(first, members, &cells));
        let kind = members.first().map_or(DemandKind::Step, |first| first.of);
        Clash { kind, cells: cells.iter().filter_map(|&at| all.get(at).copied()).collect(), words, remedy }
    }

    /// What the demand says, and what would end the contradiction.
    fn words(&self, first: &Member, members: &[&Member], cells: &[usize]) -> (String, String) {
        let by_deg = up(self.give_deg(members), 100.0);
        let by = quantity(by_deg, Unit::Degree);
        let place = self.place_of_line(first).unwrap_or_else(|| self.place(cells));
        let deg = quantity(first.deg, Unit::Degree);
        match first.of {
            DemandKind::Held => {
                (format!("{deg} held {place}"), format!("release {}, or move it by at least {by}", it(cells)))
            }
            DemandKind::NotSelected => {
                (format!("{deg} {place}, not selected"), format!("select {} as well", it(cells)))
            }
            DemandKind::Idle => {
                (format!("{deg} {place}, left alone at idle"), "let idle cells move as well".to_owned())
            }
            DemandKind::Within => self.within(first, &place),
            DemandKind::FullLoadLine => (
                format!("under the full-load line {place} (at most {deg} there)"),
                format!("raise the full-load line there by at least {by}"),
            ),
            DemandKind::NotRising => self.not_rising(members),
            DemandKind::SlopeSpeed | DemandKind::SlopeLoad => self.slope(first.of, members),
            DemandKind::Point => self.point(first, &by),
            DemandKind::Step => Default::default(),
        }
    }

    /// By how much one demand alone would have to give way, degrees.
    fn give_deg(&self, members: &[&Member]) -> f64 {
        self.set.short_by_deg / members.iter().map(|member| member.share).sum::<f64>()
    }

    fn within(&self, first: &Member, place: &str) -> (String, String) {
        if is_end_of_range(first) {
            let side = if first.is_upper { "above" } else { "below" };
            return (format!("no cell {side} {} {place}", quantity(first.deg, Unit::Degree)), String::new());
        }
        let within_deg = self.posed.demands.within_deg.unwrap_or(0.0);
        let is_alike = |member: &&Member| member.of == DemandKind::Within && !is_end_of_range(member);
        let alike: Vec<&Member> = self.set.members.iter().filter(is_alike).collect();
        let allowed = quantity(up(within_deg + self.give_deg(&alike), 100.0), Unit::Degree);
        let side = if first.is_upper { "at most" } else { "at least" };
        let deg = quantity(first.deg, Unit::Degree);
        let within = quantity(within_deg, Unit::Degree);
        (
            format!("within ±{within} of today {place} ({side} {deg} there)"),
            format!("allow at least ±{allowed} of today"),
        )
    }

    fn not_rising(&self, members: &[&Member]) -> (String, String) {
        let loads = self.table.load().breakpoints();
        let row = |at: usize| at / self.table.speed().len();
        let mut ends: Vec<(usize, usize)> = members
            .iter()
            .filter_map(|member| Some((row(*member.cells.first()?), row(*member.cells.get(1)?))))
            .map(|(one, other)| (one.min(other), one.max(other)))
            .collect();
        ends.sort_unstable();
        let load =
            |row: Option<usize>| row.and_then(|row| loads.get(row)).map_or_else(String::new, |load| given_load(*load));
        let (first, last) = (ends.first().map(|ends| ends.0), ends.last().map(|ends| ends.1));
        // Of limits that follow one another, any one makes room; of others, only all.
        let is_chain = self.set.members.iter().all(|member| member.point.is_none());
        let from = if is_chain { ends.first().map(|ends| ends.1) } else { last };
        let words = format!("not rising with load from {} to {}", load(first), load(last));
        (words, format!("ask that only from load {} on", load(from)))
    }

    fn slope(&self, of: DemandKind, members: &[&Member]) -> (String, String) {
        let demands = self.posed.demands;
        let is_speed = of == DemandKind::SlopeSpeed;
        let span: f64 = members.iter().map(|member| member.span).sum();
        let effect: f64 = members.iter().map(|member| member.share * member.span).sum();
        let per = self.set.short_by_deg / effect;
        let allowed = quantity(members.iter().map(|member| member.deg).sum(), Unit::Degree);
        if is_speed {
            let most = demands.max_slope_per_1000rpm.unwrap_or(0.0);
            let over = quantity(span, Unit::Rpm);
            let per_1000rpm = |deg: f64| quantity(deg, Unit::DegreePer1000Rpm);
            let words = format!("at most {} between them ({allowed} over {over})", per_1000rpm(most));
            return (words, format!("allow at least {}", per_1000rpm(up(most + 1000.0 * per, 10.0))));
        }
        let most = demands.max_slope_per_load.unwrap_or(0.0);
        let per_load = |deg: f64| format!("{} per unit of load", quantity(deg, Unit::Degree));
        let words = format!("at most {} between them ({allowed} over {})", per_load(most), given_load(span));
        (words, format!("allow at least {}", per_load(up(most + per, 100.0))))
    }

    fn point(&self, first: &Member, by: &str) -> (String, String) {
        let Some(target) = first.point.and_then(|point| self.posed.demands.points.get(point)) else {
            return Default::default();
        };
        let Target { speed_rpm, load, advance_deg, bound, .. } = *target;
        let place = format!("at {}, load {}", quantity(speed_rpm, Unit::Rpm), given_load(load));
        let deg = quantity(advance_deg, Unit::Degree);
        match bound {
            TargetBound::About { below_deg, above_deg } if below_deg == above_deg => {
                let half = quantity(above_deg, Unit::Degree);
                let wide = quantity(up(above_deg + self.give_deg(&[first]), 100.0), Unit::Degree);
                (format!("measured {deg} ±{half} {place}"), format!("widen that point to at least ±{wide}"))
            }
            TargetBound::About { .. } => {
                let (low_deg, high_deg) = target.limits_deg();
                let give_deg = self.give_deg(&[first]);
                let (end, reach_deg) = if first.is_upper {
                    ("up", up(high_deg + give_deg, 100.0))
                } else {
                    ("down", -up(give_deg - low_deg, 100.0))
                };
                let interval = range((low_deg, high_deg), Unit::Degree);
                let reach = quantity(reach_deg, Unit::Degree);
                (format!("measured {deg} ({interval}) {place}"), format!("widen that point {end} to at least {reach}"))
            }
            TargetBound::AtMost { beyond_deg } => {
                let most = quantity(advance_deg + beyond_deg, Unit::Degree);
                (format!("measured at most {most} {place}"), format!("raise that point by at least {by}"))
            }
            TargetBound::AtLeast { beyond_deg } => {
                let least = quantity(advance_deg - beyond_deg, Unit::Degree);
                (format!("measured at least {least} {place}"), format!("lower that point by at least {by}"))
            }
        }
    }

    /// Where the full-load line lies between the cells.
    fn place_of_line(&self, member: &Member) -> Option<String> {
        let index = member.point?.checked_sub(self.posed.demands.points.len())?;
        let place = self.posed.demands.ceiling.as_ref()?.places().get(index)?;
        Some(format!("at {}, load {}", quantity(place.speed_rpm, Unit::Rpm), given_load(place.load)))
    }

    /// Where one cell is, or how many there are and between which.
    fn place(&self, cells: &[usize]) -> String {
        let (speeds, loads) = (self.table.speed().breakpoints(), self.table.load().breakpoints());
        let spot = |at: usize| {
            let (speed, load) = (speeds[at % speeds.len()], loads[at / speeds.len()]);
            format!("{}, load {}", quantity(speed, Unit::Rpm), given_load(load))
        };
        match cells {
            [] => String::new(),
            [at] => format!("at {}", spot(*at)),
            [first, .., last] => format!("in {} from {} to {}", count(cells.len(), "cell"), spot(*first), spot(*last)),
        }
    }
}

/// Whether it is the range of cells that bounds one, and not how far it may move.
fn is_end_of_range(member: &Member) -> bool {
    member.deg == if member.is_upper { ADVANCE_RANGE_DEG.1 } else { ADVANCE_RANGE_DEG.0 }
}

fn it(cells: &[usize]) -> &'static str {
    if cells.len() == 1 { "it" } else { "one of them" }
}
