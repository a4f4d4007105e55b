//! Random keys, clicks, drags and pastes: whatever comes, the project stays whole, the screen fits it, and undo leads
//! back to the first state.
//!
//! Left out are only the keys that open or write files, the top bar with its buttons for the same, and the page on which
//! any key could be given to them.

use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2, pos2, vec2,
};
use egui_kittest::kittest::Queryable;
use sparkloft::project::Project;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;

use super::harness::{Window, new_project, sample, sized_window};

/// A small deterministic generator (xorshift), so that a failure can be repeated.
struct Random(u64);

impl Random {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % limit as u64) as usize
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }
}

const SIZE: Vec2 = Vec2::new(1000.0, 760.0);

const CTRL: Modifiers = Modifiers::COMMAND;
const ALT: Modifiers = Modifiers::ALT;
const SHIFT: Modifiers = Modifiers::SHIFT;
const PLAIN: Modifiers = Modifiers::NONE;

const KEYS: [(Modifiers, Key); 51] = [
    (PLAIN, Key::ArrowUp),
    (PLAIN, Key::ArrowDown),
    (PLAIN, Key::ArrowLeft),
    (PLAIN, Key::ArrowRight),
    (SHIFT, Key::ArrowUp),
    (SHIFT, Key::ArrowDown),
    (SHIFT, Key::ArrowLeft),
    (SHIFT, Key::ArrowRight),
    (CTRL, Key::ArrowUp),
    (CTRL, Key::ArrowLeft),
    (PLAIN, Key::Home),
    (PLAIN, Key::End),
    (PLAIN, Key::PageUp),
    (PLAIN, Key::PageDown),
    (PLAIN, Key::Tab),
    (SHIFT, Key::Tab),
    (PLAIN, Key::Enter),
    (SHIFT, Key::Enter),
    (PLAIN, Key::Escape),
    (PLAIN, Key::F2),
    (PLAIN, Key::F4),
    (PLAIN, Key::F6),
    (PLAIN, Key::Delete),
    (PLAIN, Key::R),
    (PLAIN, Key::L),
    (SHIFT, Key::R),
    (PLAIN, Key::H),
    (PLAIN, Key::O),
    (PLAIN, Key::G),
    (PLAIN, Key::S),
    (ALT, Key::ArrowUp),
    (ALT, Key::ArrowDown),
    (ALT, Key::Num1),
    (ALT, Key::Num2),
    (ALT, Key::Num3),
    (ALT, Key::Num4),
    (ALT, Key::Num5),
    (ALT, Key::Num6),
    (ALT, Key::Num7),
    (ALT, Key::Num8),
    (CTRL, Key::Num1),
    (CTRL, Key::Num3),
    (CTRL, Key::Num4),
    (CTRL, Key::A),
    (CTRL, Key::B),
    (CTRL, Key::D),
    (CTRL, Key::E),
    (CTRL, Key::F),
    (CTRL, Key::H),
    (CTRL, Key::Y),
    (CTRL, Key::Z),
];

const TEXTS: [&str; 12] = ["1", "2", "3", "0", "9", "-", ".", ",", "1e9", "nan", "\u{2212}4", "x"];

const PASTES: [&str; 8] = [
    "12.5",
    "1\t2\n3\t4\n",
    "1,5\t2,5\r\n3,5\t4,5\r\n",
    "1.234",
    "\t500\t900\n0\t12\t13\n7\t14\t15\n",
    "\t500\t900\n7\t14\t15\n0\t12\t13\n",
    "one\ttwo",
    "99\t-99\t1e300",
];

fn event(window: &mut Window, event: Event) {
    window.event(event);
}

/// Any place below the top bar and right of the rail.
fn place(random: &mut Random) -> Pos2 {
    pos2(95.0 + random.below(900) as f32, 50.0 + random.below(705) as f32)
}

fn button(pos: Pos2, pressed: bool, modifiers: Modifiers) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers }
}

fn one_input(window: &mut Window, random: &mut Random) {
    match random.below(12) {
        0..=4 => {
            let (modifiers, key) = random.pick(&KEYS);
            window.key_press_modifiers(modifiers, key);
        }
        5 | 6 => event(window, Event::Text(random.pick(&TEXTS).into())),
        7 => event(window, Event::Paste(random.pick(&PASTES).into())),
        8 => event(window, if random.below(2) == 0 { Event::Copy } else { Event::Cut }),
        9 => wheel(window, random),
        10 => click(window, random),
        _ => drag(window, random),
    }
    window.step();
}

fn wheel(window: &mut Window, random: &mut Random) {
    event(window, Event::PointerMoved(place(random)));
    let delta = vec2(0.0, random.below(200) as f32 - 100.0);
    let (unit, modifiers, phase) = (MouseWheelUnit::Point, PLAIN, TouchPhase::Move);
    event(window, Event::MouseWheel { unit, delta, phase, modifiers, source: MouseWheelSource::Wheel });
}

fn click(window: &mut Window, random: &mut Random) {
    let at = place(random);
    let modifiers = random.pick(&[PLAIN, PLAIN, SHIFT, CTRL]);
    event(window, Event::PointerMoved(at));
    for _ in 0..=random.below(2) {
        event(window, button(at, true, modifiers));
        window.step();
        event(window, button(at, false, modifiers));
    }
}

fn drag(window: &mut Window, random: &mut Random) {
    let (from, to) = (place(random), place(random));
    let modifiers = random.pick(&[PLAIN, PLAIN, SHIFT, CTRL]);
    event(window, Event::PointerMoved(from));
    event(window, button(from, true, modifiers));
    window.step();
    event(window, Event::PointerMoved(from + (to - from) * 0.5));
    window.step();
    if random.below(5) == 0 {
        window.key_press(Key::Escape);
        window.step();
    }
    event(window, Event::PointerMoved(to));
    window.step();
    event(window, button(to, false, modifiers));
}

/// What must hold after every input.
fn check(window: &Window) {
    let workbench = window.state();
    let project = workbench.document().project();
    let table = project.advance.table();
    let selection = &workbench.screen().selection;
    assert!(selection.cells.fits(table), "the selection is for another table");
    assert!(!selection.cells.is_empty(), "nothing is selected");
    assert!(selection.cursor.load < table.load().len() && selection.cursor.speed < table.speed().len());
    if let Err(fault) = Project::new((**project).clone()) {
        panic!("the project is invalid: {fault}");
    }
}

fn play(project: Project, inputs: usize, seed: u64) {
    let mut window = sized_window(project.clone(), SIZE, 1.0);
    let mut random = Random(seed);
    for input in 0..inputs {
        one_input(&mut window, &mut random);
        // The monkey writes no files: Enter would take the proposed path.
        if window.query_by_label("Path").is_some() {
            window.key_press(Key::Escape);
            window.step();
        }
        // The whole check takes as long as a frame; a broken state does not mend itself in between.
        if input % 4 == 0 {
            check(&window);
        }
    }
    check(&window);
    assert!(window.state().document().steps().len() > inputs / 100, "the monkey hardly changed anything");
    window.event(button(pos2(500.0, 400.0), false, PLAIN));
    for _ in 0..3 {
        window.key_press(Key::Escape);
        window.step();
    }
    for _ in 0..window.state().document().steps().len() {
        window.state_mut().ask(Action::Run(Command::Undo));
    }
    window.step();
    window.step();
    assert_eq!(window.state().document().undo_label(), None);
    assert_eq!(*window.state().document().project(), project, "undo does not lead back to the first state");
}

#[test]
fn two_thousand_random_inputs_do_no_harm() {
    play(new_project(6, 5), 1_500, 0x0BAD_5EED);
    play(sample("wren-four"), 500, 0xC0FF_EE11);
}

#[test]
#[ignore = "minutes; run with --release"]
fn twenty_thousand_random_inputs_do_no_harm() {
    play(new_project(6, 5), 10_000, 0x1234_5678);
    play(sample("wren-four"), 5_000, 0x8765_4321);
    play(sample("larch-six"), 5_000, 0x2468_ACE1);
}
