//! What a tool is called in the history.

use super::{Along, Extension, Keep, Place, Shaped, Tool, Way};
use crate::table::Cell;
use crate::wording::{count, given, quantity, signed_quantity, written};

impl Tool {
    /// The label of the step in the history: what was done, to how many cells.
    pub fn label(&self, done: &Shaped) -> String {
        let cells = count(done.changed, "cell");
        // These mean the whole table where one cell is selected, so the history tells that they did.
        let is_whole = done.selected > 1 && done.selected == done.advance.table().values().len();
        let scope = || if is_whole { format!("the whole table ({cells})") } else { cells.clone() };
        match self {
            Self::Set { deg } => format!("Set {cells} to {}", degrees(*deg)),
            Self::Type { deg } if done.into_held => format!("Type {} into a held cell", degrees(*deg)),
            Self::Type { deg } => format!("Type {} into {cells}", degrees(*deg)),
            Self::Add { deg } if *deg < 0.0 => format!("Lower {cells} by {}", degrees(-deg)),
            Self::Add { deg } => format!("Raise {cells} by {}", degrees(*deg)),
            Self::Scale { percent } => format!("Scale {cells} by {}", signed_quantity(*percent, "%")),
            Self::Clamp { low_deg, high_deg } => {
                format!("Clamp {cells} to {}..{}", given(*low_deg, "°"), degrees(*high_deg))
            }
            Self::Round { step_deg } => format!("Round {cells} to steps of {}", degrees(*step_deg)),
            Self::Interpolate(way) => way.label(&scope()),
            // As the sentence has it: with one decimal at least, as degrees have.
            Self::Smooth { strength } => format!("Fair {}, strength {}", scope(), given(*strength, "°")),
            Self::Lift { centre, amount_deg, radius_cells, .. } => lifted(done, *centre, *amount_deg, *radius_cells),
            Self::LimitSlope { per_1000rpm, per_load_unit } => format!(
                "Limit slope of {} to {} per 1000 rpm, {} per unit of load",
                scope(),
                degrees(*per_1000rpm),
                degrees(*per_load_unit)
            ),
            Self::Repeat { from, offset_deg } => {
                format!("Repeat the {} beside {cells} with {}", line(from.along()), signed_quantity(*offset_deg, "°"))
            }
            Self::Extend { to, how: Extension::Linear } => format!("Extend {cells} to the {to}, straight on"),
            Self::Extend { to, how: Extension::Flat } => format!("Extend {cells} to the {to}, flat"),
            Self::Fill { from } => format!("Fill {cells} from the {}", line(from.along())),
            Self::Hold { measured: true } => format!("Hold {cells} as measured"),
            Self::Hold { measured: false } => format!("Hold {cells}"),
            Self::Release => format!("Release {cells}"),
            Self::Axes { speed, load, keep } => {
                format!("New breakpoints, {} × {}, {}", speed.len(), load.len(), kept(*keep))
            }
            Self::MoveBreakpoint { along, index, to, keep } => {
                format!("Move {along} breakpoint {} to {}, {}", index + 1, written(*to), kept(*keep))
            }
            Self::InsertBreakpoint { along, at } => format!("Insert {along} breakpoint {}", written(*at)),
            Self::DeleteBreakpoint { along, index } => format!("Delete {along} breakpoint {}", index + 1),
        }
    }
}

impl Way {
    fn label(self, cells: &str) -> String {
        match self {
            Self::Line(along) => format!("Interpolate {cells} along {along}"),
            Self::Corners => format!("Fill {cells} between corners"),
            Self::Edges => format!("Fill {cells} between edges"),
        }
    }
}

fn lifted(done: &Shaped, centre: Cell, amount_deg: f64, radius_cells: f64) -> String {
    let verb = if amount_deg < 0.0 { "Lower" } else { "Lift" };
    let (cells, by, radius) = (count(done.changed, "cell"), degrees(amount_deg.abs()), written(radius_cells));
    let Place { speed_rpm, load, .. } = Place::of(done.advance.table(), centre);
    let (speed, load) = (quantity(speed_rpm, "rpm"), given(load, "load"));
    format!("{verb} {cells} by {by} around {speed}, load {load}, radius {radius}")
}

const fn kept(keep: Keep) -> &'static str {
    match keep {
        Keep::Surface => "keeping the surface",
        Keep::Numbers => "keeping the numbers",
    }
}

const fn line(along: Along) -> &'static str {
    match along {
        Along::Speed => "column",
        Along::Load => "row",
    }
}

fn degrees(value: f64) -> String {
    quantity(value, "°")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{advance, all, held, one};
    use crate::shaping::{ShapingError, Side};
    use crate::table::{Axis, Selection};

    fn label(tool: &Tool, cells: usize) -> Result<String, ShapingError> {
        let start = advance(6, 6, |x, y| x * x + y * y);
        let mut chosen = Selection::none(6, 6);
        chosen.extend(all(&start).cells().take(cells));
        Ok(tool.label(&tool.apply(&start, &chosen)?))
    }

    #[test]
    fn tells_what_was_done() {
        let axis = || Axis::new(vec![0.0, 5.0]).unwrap();
        let centre = Cell::new(2, 3);
        let cases = [
            (Tool::Add { deg: 1.0 }, 12, "Raise 12 cells by 1.0°"),
            (Tool::Add { deg: -0.25 }, 1, "Lower 1 cell by 0.25°"),
            (Tool::Add { deg: 2.0 / 3.0 }, 2, "Raise 2 cells by 0.667°"),
            (Tool::Smooth { strength: 2.0 }, 12, "Fair 12 cells, strength 2.0"),
            (Tool::Set { deg: 77.0 }, 3, "Set 3 cells to 77.0°"),
            (Tool::Type { deg: 77.0 }, 3, "Type 77.0° into 3 cells"),
            (Tool::Scale { percent: 10.0 }, 4, "Scale 3 cells by +10 %"),
            (Tool::Clamp { low_deg: 5.0, high_deg: 6.0 }, 2, "Clamp 2 cells to 5.0..6.0°"),
            (Tool::Interpolate(Way::Line(Along::Speed)), 4, "Interpolate 2 cells along speed"),
            (Tool::Interpolate(Way::Corners), 36, "Fill the whole table (32 cells) between corners"),
            (
                Tool::Lift { centre, amount_deg: 2.0, radius_cells: 1.0, step_deg: None },
                36,
                "Lift 1 cell by 2.0° around 3 rpm, load 2, radius 1",
            ),
            (Tool::Fill { from: Side::LowLoad }, 12, "Fill 6 cells from the row"),
            (Tool::Repeat { from: Side::HighLoad, offset_deg: -1.5 }, 6, "Repeat the row beside 6 cells with −1.5°"),
            (Tool::Extend { to: Side::LowLoad, how: Extension::Flat }, 6, "Extend 6 cells to the lowest load, flat"),
            (Tool::Hold { measured: true }, 2, "Hold 2 cells as measured"),
            (Tool::Release, 2, "Release 0 cells"),
            (
                Tool::Axes { speed: axis(), load: axis(), keep: Keep::Surface },
                1,
                "New breakpoints, 2 × 2, keeping the surface",
            ),
            (Tool::InsertBreakpoint { along: Along::Speed, at: 2.5 }, 1, "Insert speed breakpoint 2.5"),
            (Tool::DeleteBreakpoint { along: Along::Load, index: 0 }, 1, "Delete load breakpoint 1"),
        ];
        for (tool, cells, expected) in cases {
            assert_eq!(label(&tool, cells).unwrap(), expected);
        }
    }

    #[test]
    fn says_that_a_held_cell_was_typed_into() {
        let cell = Cell::new(1, 1);
        let start = held(&advance(3, 3, |x, _| x), &[cell]);
        let tool = Tool::Type { deg: 12.5 };
        let done = tool.apply(&start, &one(&start, cell)).unwrap();
        assert_eq!(tool.label(&done), "Type 12.5° into a held cell");
    }
}
