//! The grids of four sheets are one: the same keys, the same clicks, the same names, the same scrolling.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Rect};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{Project, Snapshot, set_fields};
use sparkloft::table::Cell;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, new_project, pause, window};

/// A grid by the sheet on which it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Of {
    Advance,
    Trims,
    Compare,
    Merge,
}

const ALL: [Of; 4] = [Of::Advance, Of::Trims, Of::Compare, Of::Merge];

impl Of {
    /// What each of its cells is called before its place.
    fn cell_name(self) -> &'static str {
        match self {
            Self::Advance => "advance",
            Self::Trims => "advance with trims",
            Self::Compare => "difference",
            Self::Merge => "merged advance",
        }
    }

    /// A window on a new project of so many speeds and loads, with this grid on show.
    fn open(self, speeds: usize, loads: usize) -> Window {
        let project = with_snapshots(&new_project(speeds, loads));
        let mut window = window(project);
        window.run();
        let sheet = match self {
            Self::Advance => Sheet::Advance,
            Self::Trims => Sheet::Trims,
            Self::Compare | Self::Merge => Sheet::Compare,
        };
        window.state_mut().ask(ScreenMessage::Show(sheet));
        change(&mut window, CompareMessage::Base(BaseChoice::Snapshot("start".into())));
        if self == Self::Merge {
            change(&mut window, CompareMessage::Merge(BaseChoice::Snapshot("their run".into())));
        }
        for _ in 0..600 {
            if window.query_by_role(Role::Grid).is_some() {
                window.run();
                return window;
            }
            pause(&window);
            window.run();
        }
        panic!("{self:?} never showed a grid");
    }
}

fn with_snapshots(project: &Project) -> Project {
    let kept = ["start", "their run"].map(|name| {
        let (name, note, taken_at) = (name.into(), String::new(), String::new());
        Snapshot { name, note, taken_at, state: project.as_state() }.into()
    });
    project.edit(|parts| parts.snapshots = kept.into()).unwrap()
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

fn select(window: &mut Window, cell: Cell) {
    let selection = CellSelection::cell(window.state().document().project().advance.table(), cell);
    change(window, ScreenMessage::Select(selection));
}

/// Presses keys as they are written: 'Ctrl+Shift+Up'.
fn press(window: &mut Window, keys: &str) {
    let (held, name) = keys.rsplit_once('+').unwrap_or(("", keys));
    let (shift, command) = (held.contains("Shift"), held.contains("Ctrl"));
    let modifiers = Modifiers { shift, command, ..Modifiers::NONE };
    window.key_press_modifiers(modifiers, Key::from_name(name).unwrap());
    window.run();
}

/// Presses at a point, drags to another and lets go.
fn drag(window: &mut Window, from: Pos2, to: Pos2, modifiers: Modifiers) {
    let button = |pos, pressed| Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers };
    window.event(Event::ModifiersChanged(modifiers));
    for event in [Event::PointerMoved(from), button(from, true), Event::PointerMoved(to), button(to, false)] {
        window.event(event);
        window.run();
    }
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    window.run();
}

/// Cursor and number of the selected cells.
fn selected(window: &Window) -> ((usize, usize), usize) {
    let selection = &window.state().screen().selection;
    ((selection.cursor.load, selection.cursor.speed), selection.cells.count())
}

/// Everything of a role, by name, with its place.
fn named(window: &Window, role: Role) -> Vec<(String, Rect)> {
    let nodes = window.query_all_by_role(role);
    nodes.map(|node| (node.accesskit_node().label().unwrap_or_default(), node.rect())).collect()
}

/// The words that begin a cell's name.
fn place(window: &Window, of: Of, cell: Cell) -> String {
    let table = window.state().document().project().advance.table();
    let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    format!("{} {speed} rpm, {load} %, ", of.cell_name())
}

fn cell_rect(window: &Window, of: Of, cell: Cell) -> Option<Rect> {
    let begins = place(window, of, cell);
    named(window, Role::GridCell).into_iter().find(|(name, _)| name.starts_with(&begins)).map(|(_, rect)| rect)
}

fn heading_rect(window: &Window, role: Role, name: &str) -> Rect {
    let found = named(window, role).into_iter().find(|(label, _)| label == name);
    found.unwrap_or_else(|| panic!("no heading is called {name}")).1
}

fn headings_of(window: &Window, cell: Cell) -> [String; 2] {
    let table = window.state().document().project().advance.table();
    let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    [format!("speed {speed} rpm"), format!("load {load} %")]
}

#[test]
fn keys_do_the_same_on_every_grid() {
    let flow = [
        ("Up", (4, 3), 1),
        ("Shift+Right", (4, 4), 2),
        ("Shift+Down", (3, 4), 4),
        ("Left", (3, 3), 1),
        ("Ctrl+Left", (3, 0), 1),
        ("Ctrl+Shift+Up", (7, 0), 5),
        ("Escape", (7, 0), 1),
        ("End", (7, 7), 1),
        ("Shift+Home", (7, 0), 8),
        ("Ctrl+End", (0, 7), 1),
        ("Ctrl+Home", (7, 0), 1),
        ("PageDown", (0, 0), 1),
        ("Shift+PageUp", (7, 0), 8),
        ("Shift+Right", (7, 1), 16),
        ("Ctrl+Down", (0, 1), 1),
        ("Ctrl+Right", (0, 7), 1),
    ];
    for of in ALL {
        let mut window = of.open(8, 8);
        select(&mut window, Cell::new(3, 3));
        for (keys, cursor, count) in flow {
            press(&mut window, keys);
            assert_eq!(selected(&window), (cursor, count), "{of:?}: {keys}");
        }
    }
}

#[test]
fn the_mouse_does_the_same_on_every_grid() {
    for of in ALL {
        let mut window = of.open(8, 8);
        let at = |window: &Window, load, speed| cell_rect(window, of, Cell::new(load, speed)).unwrap().center();
        let mut go = |from: Pos2, to: Pos2, modifiers| {
            drag(&mut window, from, to, modifiers);
            selected(&window)
        };
        let cells = of.open(8, 8);
        let [a, b, c] = [(1, 1), (3, 2), (6, 6)].map(|(load, speed)| at(&cells, load, speed));
        let [speed, load] = headings_of(&cells, Cell::new(5, 4));
        let column = heading_rect(&cells, Role::ColumnHeader, &speed).center();
        let row = heading_rect(&cells, Role::RowHeader, &load).center();
        let corner = heading_rect(&cells, Role::ColumnHeader, "select the whole table").center();
        assert_eq!(go(a, a, Modifiers::NONE), ((1, 1), 1), "{of:?}");
        assert_eq!(go(b, b, Modifiers::SHIFT), ((3, 2), 6), "{of:?}");
        assert_eq!(go(c, c, Modifiers::COMMAND), ((6, 6), 7), "{of:?}");
        assert_eq!(go(b, b, Modifiers::COMMAND), ((2, 2), 6), "{of:?}: a cell that was selected is taken away");
        assert_eq!(go(b, c, Modifiers::NONE), ((6, 6), 20), "{of:?}");
        assert_eq!(go(column, column, Modifiers::NONE), ((6, 4), 8), "{of:?}");
        assert_eq!(go(row, row, Modifiers::COMMAND), ((5, 4), 15), "{of:?}");
        assert_eq!(go(corner, corner, Modifiers::NONE), ((5, 4), 64), "{of:?}");
    }
}

#[test]
fn every_cell_of_every_grid_has_its_name_and_place() {
    for of in ALL {
        let window = of.open(8, 8);
        assert_eq!(named(&window, Role::GridCell).len(), 64, "{of:?}");
        for (load, speed) in (0..8).flat_map(|load| (0..8).map(move |speed| (load, speed))) {
            let begins = place(&window, of, Cell::new(load, speed));
            let mut cells = window.query_all_by_role(Role::GridCell);
            let cell = cells.find(|cell| cell.accesskit_node().label().unwrap_or_default().starts_with(&begins));
            let node = cell.unwrap_or_else(|| panic!("{of:?}: no cell is called {begins}")).accesskit_node();
            assert_eq!(
                (node.data().row_index(), node.data().column_index()),
                (Some(7 - load), Some(speed)),
                "{begins}"
            );
        }
        let grid = window.get_by_role(Role::Grid).accesskit_node();
        assert_eq!((grid.data().row_count(), grid.data().column_count()), (Some(8), Some(8)), "{of:?}");
    }
}

#[test]
fn a_large_table_scrolls_under_headings_that_stay() {
    for of in ALL {
        let mut window = of.open(64, 40);
        for keys in ["Ctrl+Home", "PageDown", "End", "PageDown", "Ctrl+End", "Up", "Ctrl+Left", "PageUp"] {
            press(&mut window, keys);
            let cursor = window.state().screen().selection.cursor;
            let cell = cell_rect(&window, of, cursor).unwrap_or_else(|| panic!("{of:?}: {keys} left no cell in view"));
            let grid = window.get_by_role(Role::Grid).rect();
            assert!(grid.expand(0.5).contains_rect(cell), "{of:?}, {keys}: {cell:?} is not inside {grid:?}");
            let [speed, load] = headings_of(&window, cursor);
            let column = heading_rect(&window, Role::ColumnHeader, &speed);
            let row = heading_rect(&window, Role::RowHeader, &load);
            assert_eq!((column.x_range(), row.y_range()), (cell.x_range(), cell.y_range()), "{of:?}: {keys}");
            let corner = heading_rect(&window, Role::ColumnHeader, "select the whole table");
            assert_eq!((column.bottom(), row.right()), (corner.bottom(), corner.right()), "{of:?}: {keys}");
            assert!(grid.expand(0.5).contains_rect(column) && grid.expand(0.5).contains_rect(row), "{of:?}: {keys}");
        }
    }
}

#[test]
fn every_cell_of_a_large_table_comes_into_view_with_its_name() {
    for of in ALL {
        let mut window = of.open(64, 40);
        let mut seen = std::collections::BTreeSet::new();
        let (mut load, mut speed) = (0, 0);
        loop {
            select(&mut window, Cell::new(load, speed));
            let rows = named(&window, Role::RowHeader).len();
            // The corner is a heading of a column, too.
            let columns = named(&window, Role::ColumnHeader).len() - 1;
            let cells = named(&window, Role::GridCell);
            assert_eq!(cells.len(), rows * columns, "{of:?}: a cell is seen whole or not at all");
            assert!(rows < 40 && columns < 64, "{of:?}: nothing has to scroll");
            seen.extend(cells.into_iter().filter_map(|(name, _)| Some(name.split_once(" %, ")?.0.to_owned())));
            match (load, speed) {
                (39, 63) => break,
                (_, 63) => (load, speed) = ((load + rows).min(39), 0),
                _ => speed = (speed + columns).min(63),
            }
        }
        assert_eq!(seen.len(), 40 * 64, "{of:?}");
    }
}

#[test]
fn breakpoints_of_the_base_alone_are_told_and_cannot_be_selected() {
    let project = new_project(8, 8);
    let speeds = project.advance.table().speed().breakpoints().to_vec();
    let between = ((speeds[3] + speeds[4]) / 20.0).round() * 10.0;
    let moved = set_fields(&project, &[("advance.speed_rpm[3]", &between.to_string())]).unwrap();
    let (name, note, taken_at) = ("start".into(), String::new(), String::new());
    let snapshot = Snapshot { name, note, taken_at, state: moved.as_state() };
    let mut window = window(project.edit(|parts| parts.snapshots = vec![snapshot.into()]).unwrap());
    change(&mut window, ScreenMessage::Show(Sheet::Compare));
    select(&mut window, Cell::new(2, 3));
    let heading = heading_rect(&window, Role::ColumnHeader, &format!("speed {between} rpm, only in the base"));
    let row = heading_rect(&window, Role::RowHeader, &headings_of(&window, Cell::new(2, 3))[1]);
    let in_between = Pos2::new(heading.center().x, row.center().y);
    for at in [heading.center(), in_between] {
        change(&mut window, ScreenMessage::Tell(None));
        drag(&mut window, at, at, Modifiers::NONE);
        assert_eq!(selected(&window), ((2, 3), 1));
        let notice = window.state().screen().notice.as_ref().unwrap();
        assert!(notice.text.starts_with("Only the base has a breakpoint here"), "{}", notice.text);
    }
    press(&mut window, "Right");
    assert_eq!(selected(&window), ((2, 4), 1), "keys go from cell to cell of the table");
    let of = Of::Compare;
    let [from, to] = [(2, 3), (3, 4)].map(|(load, speed)| cell_rect(&window, of, Cell::new(load, speed)).unwrap());
    drag(&mut window, from.center(), to.center(), Modifiers::NONE);
    assert_eq!(selected(&window), ((3, 4), 4), "a drag across it takes the cells on both sides");
}
