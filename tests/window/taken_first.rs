//! Typed text is accepted before a command runs, and keys go where they belong.

use eframe::egui::{Event, Key, Modifiers, RawInput, ViewportCommand, ViewportEvent, ViewportId};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{DataFolder, Document};
use sparkloft::project::read;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{run, wait_until};
use super::harness::{Window, new_project, window};

/// A window on a saved project, on its Engine sheet.
fn on_engine(place: &Place) -> Window {
    let mut document = Document::untitled_in(&place.data(), new_project(4, 4), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    run(&mut window, Command::Sheet(Sheet::Engine));
    window
}

fn type_into(window: &mut Window, name: &str, text: &str) {
    let role = eframe::egui::accesskit::Role::TextInput;
    window.get_by_role_and_label(role, name).focus();
    window.run_ok();
    window.event(eframe::egui::Event::Text(text.to_owned()));
    window.run_ok();
}

fn order(project: &sparkloft::project::Project) -> Vec<u8> {
    project.engine.firing_order.clone()
}

#[test]
fn saving_takes_what_is_typed_into_any_box_and_the_keyboard_stays() {
    let place = Place::new();
    let mut window = on_engine(&place);
    let other = if order(window.state().document().project()) == [1, 3, 4, 2] { [1, 2, 4, 3] } else { [1, 3, 4, 2] };
    type_into(&mut window, "Firing order", &other.map(|cylinder| cylinder.to_string()).join("-"));
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    wait_until(&mut window, |window| notice(window).starts_with("Saved"));
    let on_disk = read(&std::fs::read(place.path("a.ron")).unwrap()).unwrap();
    assert_eq!(order(&on_disk), other);
    assert!(!window.state().document().is_changed());
    let role = eframe::egui::accesskit::Role::TextInput;
    assert!(window.get_by_role_and_label(role, "Firing order").is_focused());
}

#[test]
fn nothing_is_saved_without_what_is_refused() {
    let place = Place::new();
    let mut window = on_engine(&place);
    let before = std::fs::read(place.path("a.ron")).unwrap();
    change(&mut window, "First");
    type_into(&mut window, "Firing order", "1-1-1-1");
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    window.run_ok();
    assert!(notice(&window).starts_with("Firing order:"), "{}", notice(&window));
    assert!(window.state().document().is_changed());
    assert_eq!(std::fs::read(place.path("a.ron")).unwrap(), before);
}

/// A command would run without the number, so it is not run, and that is told; what was typed stays to be mended.
#[test]
fn a_command_after_a_refused_number_is_not_run_and_says_so() {
    let place = Place::new();
    let mut document = Document::untitled_in(&place.data(), new_project(4, 4), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run_ok();
    let before = std::fs::read(place.path("a.ron")).unwrap();
    window.event(Event::Text("1x".to_owned()));
    window.run_ok();
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    window.run_ok();
    let told = notice(&window);
    assert!(told.contains("'1x'") && told.ends_with("; 'Save' was not run"), "{told}");
    assert!(window.state().screen().grid.editor.is_some());
    assert_eq!(std::fs::read(place.path("a.ron")).unwrap(), before);
    window.key_press(Key::Backspace);
    window.run_ok();
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    wait_until(&mut window, |window| notice(window).starts_with("Saved"));
    assert_ne!(std::fs::read(place.path("a.ron")).unwrap(), before);
}

#[test]
fn leaving_takes_what_is_typed_and_then_asks() {
    for by_key in [true, false] {
        let place = Place::new();
        let mut window = on_engine(&place);
        type_into(&mut window, "Firing order", "1-2-4-3");
        if by_key {
            window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
        } else {
            let root = window.input_mut().viewports.entry(ViewportId::ROOT).or_default();
            root.events.push(ViewportEvent::Close);
        }
        window.run_ok();
        assert!(has(&window, "has unsaved changes. Before closing the window:"), "by key: {by_key}");
        assert_eq!(order(window.state().document().project()), [1, 2, 4, 3]);
    }
}

#[test]
fn keys_are_waited_for_only_while_their_list_is_open() {
    let mut window = window(new_project(8, 8));
    window.run();
    window.key_press(Key::F1);
    window.run();
    click(&mut window, "Keys of Undo");
    assert!(has(&window, "press keys…") || window.query_by_label("Keys of Undo").is_some());
    click(&mut window, "Close Keys");
    window.key_press(Key::R);
    window.run();
    let document = window.state().document();
    assert!(document.undo_label().is_some_and(|label| label.starts_with("Raise")), "{:?}", document.undo_label());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().current_step(), 0, "the keys are as they were");
}

#[test]
fn plain_keys_do_nothing_behind_a_panel_or_a_question() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    let letters = [Key::R, Key::L, Key::H, Key::O];
    let press_all = |window: &mut Window| {
        for key in letters {
            window.key_press(key);
            window.run_ok();
        }
    };
    run(&mut window, Command::OpenSample);
    press_all(&mut window);
    assert_eq!(window.state().document().steps().len(), 1, "{}", notice(&window));
    window.key_press(Key::Escape);
    window.run();
    change(&mut window, "First");
    run(&mut window, Command::Quit);
    press_all(&mut window);
    assert_eq!(window.state().document().steps().len(), 2, "{}", notice(&window));
    click(&mut window, "Cancel");
    window.key_press(Key::R);
    window.run();
    assert_eq!(window.state().document().steps().len(), 3);
}

#[test]
fn a_missing_recovery_copy_is_told_whatever_else_is_said() {
    let document = Document::untitled_in(&DataFolder::none(), new_project(4, 4), "trial");
    let place = Place::new();
    let mut window = place.window(document, place.surroundings());
    window.run();
    assert!(!has(&window, "no recovery copy"), "nothing can be lost yet");
    change(&mut window, "First");
    window.state_mut().ask(Action::Run(Command::DecimalComma));
    window.run();
    assert!(notice(&window).contains("decimal ','") && has(&window, "not saved, no recovery copy"));
}

/// Everything in one frame, as it comes where a frame was slow.
fn at_once(window: &mut Window, events: Vec<Event>) {
    events.into_iter().for_each(|event| window.event(event));
    window.run();
}

fn key(key: Key, modifiers: Modifiers) -> Event {
    Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers }
}

fn typed(text: &str) -> Event {
    Event::Text(text.to_owned())
}

fn first_cell(window: &Window) -> f64 {
    window.state().document().project().advance.table().values()[0]
}

#[test]
fn a_number_and_the_keys_that_leave_its_sheet_in_one_frame_set_it_and_leave() {
    let mut window = window(new_project(4, 4));
    window.run();
    at_once(&mut window, vec![typed("7"), key(Key::Num3, Modifiers::ALT), typed("3")]);
    assert_eq!((first_cell(&window), window.state().screen().sheet), (7.0, Sheet::Trims));
    assert!(window.state().screen().grid.editor.is_none());
}

#[test]
fn a_minus_and_the_keys_that_leave_its_sheet_block_neither_keys_nor_closing() {
    let place = Place::new();
    let mut document = Document::untitled_in(&place.data(), new_project(4, 4), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run();
    let before = first_cell(&window);
    at_once(&mut window, vec![typed("-"), key(Key::Num3, Modifiers::ALT)]);
    assert_eq!(window.state().screen().sheet, Sheet::Advance, "it is refused where it is seen");
    assert!(notice(&window).contains("'-' is"), "{}", notice(&window));
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(notice(&window), "", "the problem goes with the editor");
    window.key_press_modifiers(Modifiers::ALT, Key::Num3);
    window.run();
    assert_eq!((window.state().screen().sheet, first_cell(&window)), (Sheet::Trims, before));
}

#[test]
fn an_editor_is_settled_however_its_sheet_is_left() {
    for (text, value) in [("12", Some(12.0)), ("1-2", None)] {
        let mut window = window(new_project(4, 4));
        window.run();
        let before = first_cell(&window);
        window.event(typed(text));
        window.run();
        // As a dialog's answer, a finding or a command does that goes to another sheet by itself.
        window.state_mut().ask(ScreenMessage::Show(Sheet::Export));
        window.run();
        let screen = window.state().screen();
        assert!(screen.grid.editor.is_none() && screen.sheet == Sheet::Export, "{text}");
        assert_eq!(first_cell(&window), value.unwrap_or(before), "{text}");
        assert_eq!(notice(&window).contains("was not set"), value.is_none(), "{}", notice(&window));
        window.key_press_modifiers(Modifiers::ALT, Key::Num2);
        window.run();
        assert_eq!(window.state().screen().sheet, Sheet::Advance, "keys go on");
    }
}

#[test]
fn a_field_takes_its_text_however_its_sheet_is_left() {
    for (text, taken) in [("1-2-4-3", true), ("1-1-1-1", false)] {
        let place = Place::new();
        let mut window = on_engine(&place);
        type_into(&mut window, "Firing order", text);
        window.state_mut().ask(ScreenMessage::Show(Sheet::Trims));
        window.run();
        assert_eq!(order(window.state().document().project()) == [1, 2, 4, 3], taken);
        // What is refused keeps its sheet, where it is seen.
        let sheet = if taken { Sheet::Trims } else { Sheet::Engine };
        assert_eq!(window.state().screen().sheet, sheet);
        assert_eq!(notice(&window).starts_with("Firing order:"), !taken, "{}", notice(&window));
    }
}

#[test]
fn text_and_a_command_in_one_frame_are_taken_in_their_order() {
    let place = Place::new();
    let mut window = on_engine(&place);
    let role = eframe::egui::accesskit::Role::TextInput;
    window.get_by_role_and_label(role, "Firing order").focus();
    window.run_ok();
    at_once(&mut window, vec![typed("1-2-4-3"), key(Key::Num3, Modifiers::ALT)]);
    assert_eq!(order(window.state().document().project()), [1, 2, 4, 3]);
    assert_eq!(window.state().screen().sheet, Sheet::Trims);
}

#[test]
fn keys_behind_a_command_belong_to_what_it_opened() {
    let mut window = window(new_project(4, 4));
    window.run();
    at_once(&mut window, vec![key(Key::K, Modifiers::COMMAND), key(Key::R, Modifiers::NONE), typed("r")]);
    assert_eq!(window.state().document().steps().len(), 1, "nothing is raised behind the palette");
    assert_eq!(window.state().screen().finder.as_ref().map(|finder| finder.text.as_str()), Some("r"));
}

/// What the window does between frames while nothing is drawn: the harness draws always.
fn logic_alone(window: &mut Window, raw: RawInput) -> Vec<ViewportCommand> {
    let ctx = window.ctx.clone();
    let output = ctx.run_logic(&raw, |ctx| window.state_mut().logic(ctx));
    output.viewport_commands.into_values().flatten().collect()
}

fn closing_minimised() -> RawInput {
    let mut raw = RawInput::default();
    let root = raw.viewports.entry(ViewportId::ROOT).or_default();
    root.events.push(ViewportEvent::Close);
    root.minimized = Some(true);
    raw
}

#[test]
fn closing_a_minimised_window_shows_it_where_something_must_be_seen() {
    for text in ["1-2-4-3", "1-1-1-1"] {
        let place = Place::new();
        let mut window = on_engine(&place);
        type_into(&mut window, "Firing order", text);
        let commands = logic_alone(&mut window, closing_minimised());
        let wanted = [ViewportCommand::CancelClose, ViewportCommand::Minimized(false), ViewportCommand::Focus];
        assert!(wanted.iter().all(|command| commands.contains(command)), "{commands:?}");
        // As long as it is not drawn, nothing is given up.
        let commands = logic_alone(&mut window, RawInput::default());
        assert!(!commands.contains(&ViewportCommand::Close), "{commands:?}");
        window.run();
        let asks = has(&window, "has unsaved changes. Before closing the window:");
        let refuses = notice(&window).starts_with("Firing order:");
        assert_eq!((asks, refuses), if text == "1-2-4-3" { (true, false) } else { (false, true) }, "{text}");
    }
}

#[test]
fn a_number_that_is_none_keeps_the_window_open_once() {
    let place = Place::new();
    let mut document = Document::untitled_in(&place.data(), new_project(4, 4), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run();
    window.event(typed("-"));
    window.run();
    let commands = logic_alone(&mut window, closing_minimised());
    assert!(commands.contains(&ViewportCommand::CancelClose) && commands.contains(&ViewportCommand::Minimized(false)));
    window.run();
    assert!(notice(&window).contains("'-' is"), "{}", notice(&window));
    let commands = logic_alone(&mut window, closing_minimised());
    assert!(!commands.contains(&ViewportCommand::CancelClose), "{commands:?}");
    assert!(window.state().screen().grid.editor.is_none());
}

#[test]
fn chords_are_captured_whole_and_a_modifier_alone_never() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    run(&mut window, Command::Keys);
    click(&mut window, "Keys of Save as…");
    let both = Modifiers::COMMAND | Modifiers::SHIFT;
    at_once(&mut window, vec![key(Key::ControlLeft, Modifiers::COMMAND)]);
    at_once(&mut window, vec![key(Key::ShiftLeft, both)]);
    at_once(&mut window, vec![key(Key::J, both)]);
    at_once(&mut window, vec![key(Key::ControlLeft, Modifiers::COMMAND), Event::Copy]);
    assert!(notice(&window).contains("copied"), "Ctrl+C copies: {}", notice(&window));
    drop(window);
    let kept = std::fs::read_to_string(place.path("settings.ron")).unwrap();
    assert!(kept.contains("\"Ctrl+Shift+J\"") && !kept.contains("ControlLeft"), "{kept}");
}

#[test]
fn the_clipboard_does_nothing_while_keys_are_captured() {
    let mut window = window(new_project(4, 4));
    run(&mut window, Command::Keys);
    click(&mut window, "Keys of Undo");
    at_once(&mut window, vec![Event::Paste("33".to_owned())]);
    assert_eq!(window.state().document().steps().len(), 1);
    assert!(has(&window, "copies, cuts or pastes"));
}

#[test]
fn what_was_said_goes_with_the_next_key() {
    let mut window = window(new_project(4, 4));
    run(&mut window, Command::DecimalComma);
    assert!(notice(&window).contains("decimal ','"));
    window.key_press(Key::ArrowRight);
    window.run();
    assert_eq!(notice(&window), "");
}

#[test]
fn nothing_to_undo_is_said_and_is_no_problem() {
    for command in [Command::Undo, Command::Redo] {
        let mut window = window(new_project(4, 4));
        run(&mut window, command);
        let told = window.state().screen().notice.clone().unwrap();
        assert!(told.text.contains("nothing to") && !told.is_error, "{told:?}");
    }
}

#[test]
fn a_problem_goes_when_its_cause_goes() {
    let mut window = window(new_project(4, 4));
    window.run();
    // A command that cannot be run: until it can.
    run(&mut window, Command::Sheet(Sheet::Rig));
    run(&mut window, Command::Raise);
    assert!(notice(&window).contains("go to the Advance sheet"), "{}", notice(&window));
    window.key_press(Key::ArrowRight);
    window.run();
    assert!(notice(&window).contains("go to the Advance sheet"), "it stays: {}", notice(&window));
    run(&mut window, Command::Sheet(Sheet::Advance));
    assert_eq!(notice(&window), "");
    // A paste that does not fit: until something else is selected.
    window.event(Event::Paste("1\t2\t3\t4\t5\n".to_owned()));
    window.run();
    assert!(notice(&window).contains("do not fit"), "{}", notice(&window));
    window.run();
    assert!(notice(&window).contains("do not fit"));
    window.key_press(Key::ArrowRight);
    window.run();
    assert_eq!(notice(&window), "");
    // A number that is refused: until it is mended.
    window.event(typed("+"));
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(notice(&window), "type an amount after '+'");
    window.key_press(Key::Backspace);
    window.run();
    assert_eq!(notice(&window), "");
}

#[test]
fn a_problem_with_a_file_says_why_first_and_can_be_read_whole() {
    let place = Place::new();
    let folder = "a folder with quite a long name ".repeat(4);
    let path = place.path(folder.trim()).join("deeper").join("project.ron");
    for size in [(1280.0, 800.0), (900.0, 560.0)] {
        let workbench = sparkloft::window::workbench::Workbench::within(place.untitled(), place.surroundings());
        let mut window = super::harness::workbench_window(workbench, size.into(), 1.0);
        window.run();
        let action = sparkloft::window::state::outbox::FileAction::Do(
            sparkloft::window::state::file_jobs::FileJob::Open,
            path.clone(),
        );
        window.state_mut().ask(Action::File(action));
        wait_until(&mut window, |window| window.state().screen().notice.as_ref().is_some_and(|told| told.is_error));
        let told = window.state().screen().notice.clone().unwrap();
        assert!(told.text.starts_with("there is no such file") && told.path.as_deref() == Some(&path), "{told:?}");
        // The line has no room for all of it; the card over its end has.
        let whole = told.whole();
        assert!(whole.starts_with("Problem: there is no such file") && whole.ends_with("project.ron"), "{whole}");
        let texts: Vec<_> = window.query_all_by_label(&whole).collect();
        assert_eq!(texts.len(), 2, "{size:?}: the line and the card");
        click(&mut window, "Put the problem away");
        assert_eq!(window.query_all_by_label(&whole).count(), 0);
    }
}

#[test]
fn the_palette_is_as_high_again_when_a_search_is_taken_back() {
    for size in [(1280.0, 800.0), (900.0, 560.0)] {
        let mut window = super::harness::sized_window(new_project(4, 4), size.into(), 1.0);
        run(&mut window, Command::Finder);
        let height = |window: &Window| {
            let area = window.ctx.memory(|memory| memory.area_rect(eframe::egui::Id::unique("finder")));
            area.unwrap().height()
        };
        let before = height(&window);
        assert!(before > 380.0 && before < size.1 - 60.0, "{before}");
        window.event(typed("undo"));
        window.run();
        assert!(height(&window) < before / 2.0);
        for _ in 0..4 {
            window.key_press(Key::Backspace);
            window.run();
        }
        assert_eq!(height(&window), before);
    }
}
