//! Fairing as the command line has it, and what it is called in the history.

use super::ranges::{NOT_RISING, SLOPE_LOAD, SLOPE_SPEED, STEP, WITHIN};
use super::{Ceiling, Demands, points_of};
use crate::shaping::Tool;
use crate::shaping::offer::{Deed, Does, Group, Manner, Number, Part, Sentence, fits_any, never_refused};
use crate::shaping::operation::{Argument, Given, Operation, OperationError, Takes};
use crate::wording::{Unit, count, given_load, quantity};

const UNDER_LINE: &str = "under-full-load-line";
const THROUGH_POINTS: &str = "through-points";
const LEAVE_IDLE: &str = "leave-idle";

/// As for plain smoothing; 256 cells take two milliseconds.
pub(in crate::shaping) const MANNER: Manner =
    Manner { at_once_cells: 256, minds_crowding: true, spares_idle: true, ..Manner::PLAIN };

const fn number(of: &Number, value_name: &'static str) -> Argument {
    Argument { name: of.argument, value_name, help: of.help, takes: Takes::NumberIfGiven }
}

const fn flag(name: &'static str, help: &'static str) -> Argument {
    Argument { name, value_name: "", help, takes: Takes::Flag }
}

/// `fair` on the command line.
pub(in crate::shaping) const FAIR: Operation = Operation {
    name: "fair",
    about: "Make the cells as smooth as the demands let them be; without any, within 1 degree of today and idle left \
            alone. Demands that contradict each other are told, and nothing is written",
    arguments: &[
        number(&WITHIN, "DEG"),
        number(&NOT_RISING, "LOAD"),
        number(&SLOPE_SPEED, "SLOPE"),
        number(&SLOPE_LOAD, "SLOPE"),
        flag(UNDER_LINE, "Stay under the full-load line, less what the trims may add"),
        flag(THROUGH_POINTS, "Pass the project's measured points within their tolerances"),
        number(&STEP, "DEG"),
        flag(LEAVE_IDLE, "Leave the cells alone in which the engine idles"),
    ],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Fair { demands: demands(given)? }),
};

/// Fairing by the usual demands in the inspector; the panel of demands has the others.
pub(in crate::shaping) const SENTENCE: Sentence = Sentence {
    key: "fair",
    group: Group::Fair,
    verb: "Fair within ±",
    parts: &[Part::Number(&WITHIN)],
    more: None,
    tip: "Makes the selected cells, or the whole table when one is selected, as smooth as they can be when none moves \
          further than this from where it is; held cells and those in which the engine idles stay. 'demands' above has more \
          to ask for.",
    widens: true,
    deed: |_| Some(&DEED),
    refusal: never_refused,
    tool: |asked| Tool::Fair {
        demands: Demands {
            within_deg: Some(asked.number(&WITHIN)),
            idle: Some(asked.project.idle_cells()),
            ..Demands::default()
        },
    },
};

/// The same as a command.
pub(in crate::shaping) const DEED: Deed = Deed {
    id: "Fair",
    text: "Fair",
    tooltip: "Fair the selected cells, or the whole table when one cell is selected, within the inspector's limit; held and \
              idle cells stay.",
    unfit: fits_any,
    does: Does::Sentence("fair"),
};

/// What was demanded; the usual demands if nothing was.
fn demands(given: &Given<'_>) -> Result<Demands, OperationError> {
    let number = |of: &Number| given.numbers(of.argument).first().copied();
    let unfit = |reason: &str| OperationError::Unfit { operation: FAIR.name, reason: reason.into() };
    let ceiling = given.word(UNDER_LINE).map(|_| {
        Ceiling::full_load(given.project).ok_or_else(|| {
            unfit("the project's full-load line is switched off; switch full_load_line.enabled on, or leave it out")
        })
    });
    let points = if given.word(THROUGH_POINTS).is_some() { points_of(given.project) } else { Vec::new() };
    if given.word(THROUGH_POINTS).is_some() && points.is_empty() {
        return Err(unfit("the project has no measured points; add some, or leave --through-points out"));
    }
    let demands = Demands {
        within_deg: number(&WITHIN),
        not_rising_above: number(&NOT_RISING),
        max_slope_per_1000rpm: number(&SLOPE_SPEED),
        max_slope_per_load: number(&SLOPE_LOAD),
        ceiling: ceiling.transpose()?,
        points,
        step_deg: number(&STEP),
        idle: given.word(LEAVE_IDLE).map(|_| given.project.idle_cells()),
    };
    Ok(if demands == Demands::default() { Demands::usual(given.project) } else { demands })
}

/// What fairing is called in the history.
pub(in crate::shaping) fn label(demands: &Demands, scope: &str) -> String {
    let mut clauses = Vec::new();
    clauses.extend(demands.within_deg.map(|deg| format!("within ±{}", quantity(deg, Unit::Degree))));
    clauses.extend(demands.not_rising_above.map(|load| format!("never rising above load {}", given_load(load))));
    clauses
        .extend(demands.max_slope_per_1000rpm.map(|deg| format!("at most {}", quantity(deg, Unit::DegreePer1000Rpm))));
    clauses.extend(
        demands.max_slope_per_load.map(|deg| format!("at most {} per unit of load", quantity(deg, Unit::Degree))),
    );
    clauses.extend(demands.ceiling.as_ref().map(|_| "under the full-load line".to_owned()));
    clauses.extend((!demands.points.is_empty()).then(|| format!("through {}", count(demands.points.len(), "point"))));
    clauses.extend(demands.step_deg.map(|deg| format!("on the {} step", quantity(deg, Unit::Degree))));
    clauses.extend(demands.idle.as_ref().map(|_| "idle left alone".to_owned()));
    if clauses.is_empty() { format!("Fair {scope}") } else { format!("Fair {scope} {}", clauses.join(", ")) }
}
