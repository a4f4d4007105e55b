//! How many keys and clicks an action takes, once its cells are selected and the sheet is open: modifiers count as keys,
//! a press of a mouse button as one click, whatever is dragged with it. Each action is done in the way that it took
//! before there were short keys, and in the way that it takes now; both must lead to the same.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::project::Project;
use sparkloft::table::Cell;
use sparkloft::window::workbench::Workbench;

use super::harness::{Window, sample, window};

/// A window and how many keys and clicks it was given.
struct Hand {
    window: Window,
    inputs: usize,
}

impl Hand {
    fn new() -> Self {
        let mut window = window(sample("tarn-special"));
        window.run();
        Self { window, inputs: 0 }
    }

    /// Presses a key with its modifiers.
    fn key(&mut self, modifiers: Modifiers, key: Key) {
        let Modifiers { alt, shift, command, .. } = modifiers;
        self.inputs += 1 + usize::from(alt) + usize::from(shift) + usize::from(command);
        self.window.key_press_modifiers(modifiers, key);
        self.window.run();
    }

    fn plain(&mut self, key: Key) {
        self.key(Modifiers::NONE, key);
    }

    /// Types text, a key for each character.
    fn types(&mut self, text: &str) {
        for character in text.chars() {
            self.inputs += 1;
            self.window.event(Event::Text(character.to_string()));
            self.window.run();
        }
    }

    fn button(&mut self, pos: Pos2, pressed: bool) {
        self.inputs += usize::from(pressed);
        self.window.event(Event::PointerMoved(pos));
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        self.window.event(Event::PointerButton { pos, button, pressed, modifiers });
        self.window.run();
    }

    fn drag(&mut self, from: Pos2, to: Pos2) {
        self.button(from, true);
        self.window.event(Event::PointerMoved(from + BEGINS * (to - from).normalized()));
        self.window.run();
        self.window.event(Event::PointerMoved(to));
        self.window.run();
        self.button(to, false);
    }

    /// Drags the selected vertex upwards until the readout beside the pointer says that a cell has risen by so much.
    fn raise_by_drag(&mut self, cell: Cell, by_deg: f64) {
        let deg = |hand: &Self| hand.project().advance.table().at(cell);
        let (start, mut at) = (deg(self), self.middle("lift "));
        self.button(at, true);
        while deg(self) < start + by_deg {
            at.y -= 1.0;
            assert!(at.y > 0.0, "the window ends before {by_deg}°");
            self.window.event(Event::PointerMoved(at));
            self.window.run();
        }
        self.button(at, false);
    }

    fn middle(&self, name: &str) -> Pos2 {
        self.window
            .get_all_by_label_contains(name)
            .next()
            .unwrap_or_else(|| panic!("nothing is called {name}"))
            .rect()
            .center()
    }

    /// The middle of a cell of the grid.
    fn cell(&self, load: usize, speed: usize) -> Pos2 {
        let project = self.project();
        let table = project.advance.table();
        let (x, y) = (table.speed().breakpoints()[speed], table.load().breakpoints()[load]);
        self.middle(&format!("advance {x} rpm, {y} %, "))
    }

    fn select(&mut self, from: (usize, usize), to: (usize, usize)) {
        let table = self.state().document().project().advance.table().clone();
        let (from, to) = (Cell::new(from.0, from.1), Cell::new(to.0, to.1));
        let block = sparkloft::window::state::selection::CellSelection::block(&table, from, to);
        self.window.state_mut().ask(sparkloft::window::state::screen::ScreenMessage::Select(block));
        self.window.run();
    }

    fn state(&self) -> &Workbench {
        self.window.state()
    }

    fn project(&self) -> Project {
        self.state().document().project().clone()
    }
}

const CTRL: Modifiers = Modifiers::COMMAND;
const SHIFT: Modifiers = Modifiers::SHIFT;

/// A drag is one once the pointer has moved so far.
const BEGINS: f32 = 10.0;

/// A way to do something.
type Way = fn(&mut Hand);

/// Does the same in two ways, each from the same beginning; asserts how many inputs each takes, and that both lead to
/// what `seen` tells.
fn both<T: PartialEq + std::fmt::Debug>(
    name: &str,
    begin: impl Fn(&mut Hand),
    [before, after]: [(Way, usize); 2],
    seen: impl Fn(&Hand) -> T,
) -> [usize; 2] {
    let done = [before, after].map(|(way, inputs)| {
        let mut hand = Hand::new();
        begin(&mut hand);
        hand.inputs = 0;
        way(&mut hand);
        assert_eq!(hand.inputs, inputs, "{name}");
        (seen(&hand), hand.inputs)
    });
    let [(first, before), (second, after)] = done;
    assert_eq!(first, second, "{name}: both ways lead to the same");
    [before, after]
}

/// What each action takes, before and now. Half of them took one input already, and typing a number takes its digits.
///
/// | action | before | now |
/// |---|---|---|
/// | set a block of 4 × 4 to 25° | 4: a drag, two digits, Enter | 4 |
/// | raise a block by 3.5° | 5: Shift+R, three times L, two steps of history | 1: a drag of its vertex, in steps |
/// | the same by keys | | 5: '+3.5' and Enter, one step |
/// | interpolate a row | 2: Ctrl+E | 1: E |
/// | fair a region | 2: Ctrl+F | 1: F |
/// | look from the other side | 1: a drag of just 450 points | 1: V |
/// | lift a vertex with its neighbours | 1: a drag | 1 |
/// | hold a block | 1: H | 1 |
/// | undo | 2: Ctrl+Z | 1: U |
/// | take a block back | 9: Ctrl+K, 'take b', Enter | 1: T |
/// | export | 3: Ctrl+Shift+E | 1: F12 |
/// | sum, of the shortest ways | 30 | 13 |
#[test]
fn what_each_action_takes_before_and_now() {
    let block = |hand: &mut Hand| hand.select((8, 4), (11, 7));
    let row = |hand: &mut Hand| hand.select((9, 2), (9, 9));
    let raised = |hand: &mut Hand| {
        hand.select((8, 4), (11, 7));
        hand.plain(Key::R);
    };
    let table = |hand: &Hand| hand.project().advance.table().clone();
    let set: Way = |hand| {
        let [from, to] = [hand.cell(8, 4), hand.cell(11, 7)];
        hand.drag(from, to);
        hand.types("25");
        hand.plain(Key::Enter);
    };
    let raise_by_steps: Way = |hand| {
        hand.key(SHIFT, Key::R);
        (0..3).for_each(|_| hand.plain(Key::L));
    };
    let raise_by_typing: Way = |hand| {
        hand.types("+3.5");
        hand.plain(Key::Enter);
    };
    let raise_by_drag: Way = |hand| hand.raise_by_drag(Cell::new(11, 7), 3.5);
    let turn_by_drag: Way = |hand| {
        let at = hand.window.get_by_label_contains("surface of advance").rect().left_center() + vec2(16.0, -60.0);
        hand.drag(at, at + vec2(450.0 + BEGINS, 0.0));
    };
    let lift: Way = |hand| {
        let at = hand.middle("lift ");
        hand.drag(at, at - vec2(0.0, 40.0));
    };
    let take_back_by_name: Way = |hand| {
        hand.key(CTRL, Key::K);
        hand.types("take b");
        hand.plain(Key::Enter);
    };
    both("raise by 3.5° by keys", block, [(raise_by_steps, 5), (raise_by_typing, 5)], table);
    let [before, now] = [
        both("set a block", |_| {}, [(set, 4), (set, 4)], table),
        both("raise by 3.5°", block, [(raise_by_steps, 5), (raise_by_drag, 1)], table),
        both("interpolate a row", row, [(|hand| hand.key(CTRL, Key::E), 2), (|hand| hand.plain(Key::E), 1)], table),
        both("fair", block, [(|hand| hand.key(CTRL, Key::F), 2), (|hand| hand.plain(Key::F), 1)], table),
        both(
            "look from the other side",
            |_| {},
            [(turn_by_drag, 1), (|hand| hand.plain(Key::V), 1)],
            |hand| hand.state().screen().surface.camera.azimuth_deg.round(),
        ),
        both("lift", |hand| hand.select((8, 6), (8, 6)), [(lift, 1), (lift, 1)], table),
        both("hold", block, [(|hand| hand.plain(Key::H), 1), (|hand| hand.plain(Key::H), 1)], |hand| {
            hand.project().advance.held().clone()
        }),
        both("undo", raised, [(|hand| hand.key(CTRL, Key::Z), 2), (|hand| hand.plain(Key::U), 1)], table),
        both("take back", raised, [(take_back_by_name, 9), (|hand| hand.plain(Key::T), 1)], table),
        both("export", block, [(|hand| hand.key(CTRL | SHIFT, Key::E), 3), (|hand| hand.plain(Key::F12), 1)], |hand| {
            hand.state().screen().sheet
        }),
    ]
    .into_iter()
    .fold([0, 0], |sum, inputs| [sum[0] + inputs[0], sum[1] + inputs[1]]);
    assert_eq!((before, now), (30, 13));
    assert!(2 * now <= before, "half as many");
}
