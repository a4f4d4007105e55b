//! Sizes of the frame, in points: bars, status line, panels, lists over the sheet.

use eframe::egui::{Margin, Vec2, vec2};

/// Height of a bar between top bar and sheet.
pub(in crate::window) const BAR_HEIGHT: f32 = 34.0;
/// The widest card of the status line with a whole problem.
pub(in crate::window) const MOST_CARD_WIDTH: f32 = 460.0;
/// Width of the mark before a count of the status line, with its room.
pub(in crate::window) const MARK_WIDTH: f32 = 17.0;
/// Size of a sample of the legend, and the room that it takes with its distance from the words.
pub(in crate::window) const SAMPLE: Vec2 = vec2(30.0, 18.0);
pub(in crate::window) const SAMPLE_ROOM: f32 = 42.0;
/// Height of a row of the sample projects.
pub(in crate::window) const SAMPLE_ROW: f32 = 46.0;
/// Widths of the panel of a new project: of the first column, so that both grids line up, of numbers and of lists.
pub(in crate::window) const NEW_LABEL_WIDTH: f32 = 118.0;
pub(in crate::window) const NEW_NUMBER_WIDTH: f32 = 96.0;
pub(in crate::window) const NEW_LIST_WIDTH: f32 = 204.0;
/// What comes of a new project takes so much room, whatever it says.
pub(in crate::window) const NEW_RESULT_HEIGHT: f32 = 50.0;
/// Beyond this height the list of fields that an image does not hold scrolls.
pub(in crate::window) const IMAGE_FIELDS_HEIGHT: f32 = 160.0;
/// Width of a panel over the sheet.
pub(in crate::window) const PANEL_WIDTH: f32 = 440.0;
/// Width of the finder, height of its rows, and how many of them are seen at most.
pub(in crate::window) const FINDER_WIDTH: f32 = 460.0;
pub(in crate::window) const FINDER_ROW: f32 = 28.0;
pub(in crate::window) const FINDER_MOST_ROWS: f32 = 13.0;
/// Width of a menu, height of its rows, and room between its groups.
pub(in crate::window) const MENU_WIDTH: f32 = 330.0;
pub(in crate::window) const MENU_ROW: f32 = 21.0;
pub(in crate::window) const MENU_GAP: f32 = 5.0;
/// Height of a step of the history.
pub(in crate::window) const HISTORY_ROW: f32 = 26.0;
/// How the top bar is set out.
pub(in crate::window) struct TopBarSizes {
    /// Share of the bar for the finder, its least and greatest width, and the room at its ends.
    pub(in crate::window) find_share: f32,
    pub(in crate::window) find_width: (f32, f32),
    pub(in crate::window) find_inset: f32,
    /// Room for 'unsaved' behind the name, the least share of the name, and the least room of undo and redo with its words.
    pub(in crate::window) unsaved_width: f32,
    pub(in crate::window) least_name_share: f32,
    pub(in crate::window) least_undo: f32,
    /// Room round the name's text, and between it and what follows.
    pub(in crate::window) name_inset: f32,
    pub(in crate::window) after_name: f32,
    /// Widths of redo and save, and the air before redo and before save.
    pub(in crate::window) redo_width: f32,
    pub(in crate::window) save_width: f32,
    pub(in crate::window) air: f32,
    /// Where the words of undo begin and the room behind them; its arrow, and where the arrow's middle is.
    pub(in crate::window) undo_words: f32,
    pub(in crate::window) undo_end: f32,
    pub(in crate::window) arrow: Vec2,
    pub(in crate::window) arrow_middle: f32,
    /// The ground of what is pointed at is lower than the bar by this at both ends.
    pub(in crate::window) hover_inset: f32,
}

/// The sizes of the top bar.
pub(in crate::window) const TOP_BAR: TopBarSizes = TopBarSizes {
    find_share: 0.235,
    find_width: (200.0, 320.0),
    find_inset: 12.0,
    unsaved_width: 62.0,
    least_name_share: 0.4,
    least_undo: 150.0,
    name_inset: 2.0,
    after_name: 8.0,
    redo_width: 30.0,
    save_width: 56.0,
    air: 4.0,
    undo_words: 26.0,
    undo_end: 8.0,
    arrow: vec2(12.0, 11.0),
    arrow_middle: 14.0,
    hover_inset: 8.0,
};
/// Between a sheet's mark and its count on the rail, and how far its name stands in from the margin.
pub(in crate::window) const RAIL_MARK_AIR: f32 = 2.0;
pub(in crate::window) const RAIL_NAME_INSET: f32 = 2.0;
/// Status line: how far the line under words that can be clicked lies below their middle; how far a cross keeps from the
/// edge of its button.
pub(in crate::window) const STATUS_UNDERLINE: f32 = 8.0;
pub(in crate::window) const STATUS_CROSS_INSET: f32 = 6.0;
/// Room for the mark before the words of a problem, and from them to its middle.
pub(in crate::window) const PROBLEM_ROOM: f32 = 16.0;
pub(in crate::window) const PROBLEM_MARK: f32 = 10.0;
/// Between the two lines of a sample project and the middle of its row, and how far they stand in.
pub(in crate::window) const SAMPLE_LINE: f32 = 9.0;
pub(in crate::window) const SAMPLE_INSET: f32 = 8.0;
/// Between rows of a panel that lists, and of one with a form.
pub(in crate::window) const ROW_GAP: f32 = 2.0;
pub(in crate::window) const FORM_GAP: f32 = 8.0;
/// A row of the finder: room at its ends, and between its parts; how far the finder reaches into the top bar.
pub(in crate::window) const FINDER_INSET: f32 = 8.0;
pub(in crate::window) const FINDER_PART_GAP: f32 = 10.0;
pub(in crate::window) const FINDER_ABOVE: f32 = 35.0;
/// A step of the history: room at its ends, and between its words and their time.
pub(in crate::window) const HISTORY_INSET: f32 = 10.0;
pub(in crate::window) const HISTORY_TIME_GAP: f32 = 8.0;
/// Room at the ends of a bar.
pub(in crate::window) const BAR_INSET: f32 = 14.0;
/// A panel stands so far below the bars.
pub(in crate::window) const PANEL_ABOVE: f32 = 12.0;

/// The first time, the window fills a screen that is smaller than this in either direction.
pub(in crate::window) const ROOMY_SCREEN: Vec2 = vec2(1440.0, 900.0);

/// How much of the window's upper edge must be on a screen: enough to take hold of the window and move it.
pub(in crate::window) const WINDOW_HANDLE: Vec2 = vec2(120.0, 24.0);
/// Room round what a panel over the sheet holds.
pub(in crate::window) const PANEL_MARGIN: Margin = Margin::same(16);
/// Before the next group of a new project's form or of the keys.
pub(in crate::window) const GROUP_GAP: f32 = 6.0;
/// Between columns and rows of the forms of an export and of a new project.
pub(in crate::window) const EXPORT_GRID: Vec2 = vec2(20.0, 8.0);
pub(in crate::window) const NEW_GRID: Vec2 = vec2(8.0, 6.0);
/// Width of the field with the name of a new project.
pub(in crate::window) const NEW_NAME_WIDTH: f32 = 280.0;
/// Legend: the radius of the ring of a hovered vertex, and the width of its line.
pub(in crate::window) const HOVERED_SAMPLE: (f32, f32) = (4.0, 1.6);
/// Legend: the rings of the area of lifting, with their distances from the middle and their radii.
pub(in crate::window) const RING_SAMPLES: [(f32, f32); 3] = [(-8.0, 4.0), (1.0, 2.8), (8.0, 1.6)];

/// How the row of open projects is set out.
pub(in crate::window) struct ProjectRowSizes {
    /// Its height.
    pub(in crate::window) height: f32,
    /// The least and the greatest width of a tab.
    pub(in crate::window) least_width: f32,
    pub(in crate::window) most_width: f32,
    /// Room before a name, and behind it for the star of what is not saved.
    pub(in crate::window) inset: f32,
    pub(in crate::window) star_room: f32,
    /// Behind the button that closes, and from its edge to its cross.
    pub(in crate::window) cross_end: f32,
    pub(in crate::window) cross_inset: f32,
    /// Width of the button that lists all of them.
    pub(in crate::window) all_width: f32,
    /// The ground of what is pointed at is lower than the row by this at both ends.
    pub(in crate::window) hover_inset: f32,
}

/// The sizes of the row of open projects.
pub(in crate::window) const PROJECT_ROW: ProjectRowSizes = ProjectRowSizes {
    height: 28.0,
    least_width: 104.0,
    most_width: 240.0,
    inset: 10.0,
    star_room: 16.0,
    cross_end: 2.0,
    cross_inset: 6.5,
    all_width: 54.0,
    hover_inset: 3.0,
};
