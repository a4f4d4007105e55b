//! The choices that stand in sentences.

use crate::shaping::{Along, Extension, Side, Way};
use crate::table::Selection;
use crate::window::state::inspector_state::Pick;

impl Pick {
    /// The option that is taken and the one after it, going round.
    pub fn among(now: Self, options: &[Self]) -> (Self, Self) {
        let place = options.iter().position(|option| *option == now);
        let next = place.and_then(|place| options.get((place + 1) % options.len())).copied();
        (now, next.unwrap_or(now))
    }

    /// How it reads in the sentence. The highest load stands at the top of the grid, the lowest speed at its left.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Fill(Way::Edges) => "edges",
            Self::Fill(Way::Corners) => "corners",
            Self::Fill(Way::Line(along)) | Self::Interpolate(along) => match along {
                Along::Speed => "speed",
                Along::Load => "load",
            },
            Self::RepeatFrom(side) => match side {
                Side::HighLoad => "row above",
                Side::LowLoad => "row below",
                Side::LowSpeed => "column left",
                Side::HighSpeed => "column right",
            },
            Self::ExtendTo(side) => match side {
                Side::HighLoad => "top edge",
                Side::LowLoad => "bottom edge",
                Side::LowSpeed => "left edge",
                Side::HighSpeed => "right edge",
            },
            Self::ExtendHow(Extension::Linear) => "straight on",
            Self::ExtendHow(Extension::Flat) => "flat",
            Self::CopyFrom(side) => match side {
                Side::HighLoad => "top row",
                Side::LowLoad => "bottom row",
                Side::LowSpeed => "left column",
                Side::HighSpeed => "right column",
            },
        }
    }
}

/// The ways of filling that stand in the sentence.
pub const fn fill_ways() -> [Way; 2] {
    [Way::Edges, Way::Corners]
}

/// Towards which edges a line lies beside the selection.
pub fn repeat_sides(selection: &Selection) -> Vec<Side> {
    let Some(block) = selection.bounds() else {
        return Vec::new();
    };
    let order = [Side::HighLoad, Side::LowLoad, Side::LowSpeed, Side::HighSpeed];
    let beside = |side: &Side| match side {
        Side::HighLoad => block.loads.end < selection.loads(),
        Side::LowLoad => block.loads.start > 0,
        Side::LowSpeed => block.speeds.start > 0,
        Side::HighSpeed => block.speeds.end < selection.speeds(),
    };
    order.into_iter().filter(beside).collect()
}

/// From which edges of a block a line can be copied over the rest of it.
pub fn copy_sides(selection: &Selection) -> Vec<Side> {
    let Some(block) = selection.as_block() else {
        return Vec::new();
    };
    let mut sides = Vec::new();
    if block.loads.len() > 1 {
        sides.extend([Side::HighLoad, Side::LowLoad]);
    }
    if block.speeds.len() > 1 {
        sides.extend([Side::LowSpeed, Side::HighSpeed]);
    }
    sides
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Cell;

    #[test]
    fn sides_follow_the_selection() {
        let mut selection = Selection::none(4, 4);
        selection.extend([Cell::new(3, 0), Cell::new(3, 1)]);
        assert_eq!(repeat_sides(&selection), [Side::LowLoad, Side::HighSpeed]);
        assert_eq!(copy_sides(&selection), [Side::LowSpeed, Side::HighSpeed]);
        selection.set(Cell::new(0, 3), true);
        assert_eq!(copy_sides(&selection), []);
        assert_eq!(repeat_sides(&selection), []);
        assert_eq!(repeat_sides(&Selection::none(4, 4)), []);
    }

    #[test]
    fn choices_go_round() {
        let options = fill_ways().map(Pick::Fill);
        assert_eq!(Pick::among(options[1], &options), (options[1], options[0]));
        assert_eq!(Pick::among(options[0], &[]), (options[0], options[0]));
    }
}
