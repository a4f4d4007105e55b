//! The monkey's inputs as data: they can be drawn at random, done in a window, written into a file and read
//! back.

use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, pos2, vec2,
};
use serde::{Deserialize, Serialize};

use super::harness::Window;

/// One thing that hands do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Input {
    /// A key, by its name.
    Press(Held, String),
    /// Text is typed.
    Type(String),
    /// Text is pasted.
    Paste(String),
    Copy,
    Cut,
    /// The wheel turns over a place.
    Wheel {
        at: (f32, f32),
        by: f32,
    },
    /// A place is clicked so many times.
    Click {
        at: (f32, f32),
        times: usize,
        held: Held,
    },
    /// A drag, given up on the way or not.
    Drag {
        from: (f32, f32),
        to: (f32, f32),
        held: Held,
        is_given_up: bool,
    },
}

/// What is held down meanwhile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Held {
    Nothing,
    Shift,
    Ctrl,
    Alt,
}

impl Held {
    const fn modifiers(self) -> Modifiers {
        match self {
            Self::Nothing => Modifiers::NONE,
            Self::Shift => Modifiers::SHIFT,
            Self::Ctrl => Modifiers::COMMAND,
            Self::Alt => Modifiers::ALT,
        }
    }
}

/// A small deterministic generator (xorshift), so that a failure can be repeated.
pub struct Random(pub u64);

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

const CTRL: Held = Held::Ctrl;
const ALT: Held = Held::Alt;
const SHIFT: Held = Held::Shift;
const PLAIN: Held = Held::Nothing;

const KEYS: [(Held, Key); 53] = [
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
    (CTRL, Key::PageDown),
    (CTRL, Key::PageUp),
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

/// Any place below the top bar and right of the rail.
fn place(random: &mut Random) -> (f32, f32) {
    (95.0 + random.below(900) as f32, 50.0 + random.below(705) as f32)
}

fn held(random: &mut Random) -> Held {
    random.pick(&[PLAIN, PLAIN, SHIFT, CTRL])
}

impl Input {
    /// Any input.
    pub fn any(random: &mut Random) -> Self {
        match random.below(12) {
            0..=4 => {
                let (held, key) = random.pick(&KEYS);
                Self::Press(held, key.name().to_owned())
            }
            5 | 6 => Self::Type(random.pick(&TEXTS).to_owned()),
            7 => Self::Paste(random.pick(&PASTES).to_owned()),
            8 if random.below(2) == 0 => Self::Copy,
            8 => Self::Cut,
            9 => Self::Wheel { at: place(random), by: random.below(200) as f32 - 100.0 },
            10 => {
                let (at, held) = (place(random), held(random));
                Self::Click { at, times: 1 + random.below(2), held }
            }
            _ => {
                let (from, to, held) = (place(random), place(random), held(random));
                Self::Drag { from, to, held, is_given_up: random.below(5) == 0 }
            }
        }
    }

    /// Does it in a window, and draws that.
    pub fn carry_out(&self, window: &mut Window) {
        match self {
            Self::Press(held, key) => {
                let key = Key::from_name(key).unwrap_or_else(|| panic!("'{key}' is no key"));
                window.key_press_modifiers(held.modifiers(), key);
            }
            Self::Type(text) => window.event(Event::Text(text.clone())),
            Self::Paste(text) => window.event(Event::Paste(text.clone())),
            Self::Copy => window.event(Event::Copy),
            Self::Cut => window.event(Event::Cut),
            Self::Wheel { at, by } => wheel(window, (*at).into(), *by),
            Self::Click { at, times, held } => click(window, (*at).into(), *times, held.modifiers()),
            Self::Drag { from, to, held, is_given_up } => {
                drag(window, [*from, *to].map(Pos2::from), held.modifiers(), *is_given_up);
            }
        }
        window.step();
    }
}

fn button(pos: Pos2, pressed: bool, modifiers: Modifiers) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers }
}

fn wheel(window: &mut Window, at: Pos2, by: f32) {
    window.event(Event::PointerMoved(at));
    let (unit, modifiers, phase) = (MouseWheelUnit::Point, Modifiers::NONE, TouchPhase::Move);
    let (delta, source) = (vec2(0.0, by), MouseWheelSource::Wheel);
    window.event(Event::MouseWheel { unit, delta, phase, modifiers, source });
}

fn click(window: &mut Window, at: Pos2, times: usize, modifiers: Modifiers) {
    window.event(Event::PointerMoved(at));
    for _ in 0..times {
        window.event(button(at, true, modifiers));
        window.step();
        window.event(button(at, false, modifiers));
    }
}

fn drag(window: &mut Window, [from, to]: [Pos2; 2], modifiers: Modifiers, is_given_up: bool) {
    window.event(Event::PointerMoved(from));
    window.event(button(from, true, modifiers));
    window.step();
    window.event(Event::PointerMoved(from + (to - from) * 0.5));
    window.step();
    if is_given_up {
        window.key_press(Key::Escape);
        window.step();
    }
    window.event(Event::PointerMoved(to));
    window.step();
    window.event(button(to, false, modifiers));
}

/// Lets go of the pointer's button, wherever it is.
pub fn let_go(window: &mut Window) {
    window.event(button(pos2(500.0, 400.0), false, Modifiers::NONE));
}

/// The inputs as a file has them, one a line.
pub fn written(inputs: &[Input]) -> String {
    inputs.iter().map(|input| ron::to_string(input).unwrap() + "\n").collect()
}

/// The inputs of a file.
pub fn read(text: &str) -> Vec<Input> {
    let input = |line: &str| ron::from_str(line).unwrap_or_else(|error| panic!("'{line}' is no input: {error}"));
    text.lines().filter(|line| !line.trim().is_empty()).map(input).collect()
}

#[test]
fn inputs_are_read_back_as_they_were_written() {
    let mut random = Random(0x5EED);
    let inputs: Vec<Input> = (0..500).map(|_| Input::any(&mut random)).collect();
    assert_eq!(read(&written(&inputs)), inputs);
    assert_eq!(written(&inputs).lines().count(), inputs.len());
    let known = inputs.iter().all(|input| match input {
        Input::Press(_, key) => Key::from_name(key).is_some(),
        _ => true,
    });
    assert!(known, "a key is pressed by its name");
}
