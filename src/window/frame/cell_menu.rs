//! The menu of what can be done with the selected cells, rows or columns: where the other mouse button was clicked, or at
//! the cursor. Its rows are commands; one that cannot be run now is greyed and says why.

use eframe::egui::{self, Area, Frame, Id, Key, Modifiers, Order, Role, UiBuilder, WidgetInfo, pos2};

use super::finder::command_row;
use crate::shaping::{Along, DEEDS};
use crate::window::kit::theme::color;
use crate::window::kit::theme::frame_sizes::{MENU_GAP, MENU_ROW, MENU_WIDTH};
use crate::window::state::commands::Command;
use crate::window::state::notice::Cause;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Menu, MenuOf, ScreenMessage, Sheet};
use crate::window::views::availability::{Availability, availability};
use crate::window::views::view::View;

/// The commands of a menu, in groups.
fn groups(of: MenuOf) -> Vec<Vec<Command>> {
    use Command::{
        ArmLift, BoxSelect, Breakpoints, Copy, CopyColumn, CopyRow, CopyWithAxes, DrawOnSlice, EditCell, GoHeld,
        GoHighest, GoLowest, GoMostBent, GoSteepest, InsertLoad, InsertSpeed, Lower, Merge, Paste, PasteAdd,
        PasteColumn, PastePercent, PasteRow, PictureOfColumn, PictureOfGrid, PictureOfRow, PictureOfSurface, Raise,
        SelectAll, TakeBack, TakeBackRegion, TakeSnapshot, ToggleComb, ViewOther, ViewPlan, ViewThreeQuarter,
    };
    let clipboard = vec![Copy, CopyWithAxes, Paste, PasteAdd, PastePercent];
    let amounts = if of == MenuOf::Cells { vec![EditCell, Raise, Lower] } else { vec![Raise, Lower] };
    let shaping: Vec<Command> = DEEDS.iter().map(Command::Deed).chain([TakeBack]).collect();
    let line = match of {
        MenuOf::Slice(Along::Load) => [CopyColumn, PasteColumn],
        _ => [CopyRow, PasteRow],
    };
    let picture = if of == MenuOf::Slice(Along::Load) { PictureOfColumn } else { PictureOfRow };
    let places = vec![GoHighest, GoLowest, GoSteepest, GoMostBent, GoHeld];
    match of {
        MenuOf::Cells => vec![clipboard, amounts, shaping, places, vec![InsertSpeed, InsertLoad, PictureOfGrid]],
        MenuOf::Speeds => vec![vec![InsertSpeed, Breakpoints, SelectAll], clipboard, amounts, shaping],
        MenuOf::Loads => vec![vec![InsertLoad, Breakpoints, SelectAll], clipboard, amounts, shaping],
        MenuOf::Slice(_) => {
            vec![[&line[..], &[DrawOnSlice, ToggleComb, picture]].concat(), clipboard, amounts, shaping]
        }
        MenuOf::Surface => {
            vec![
                vec![ArmLift, BoxSelect, ViewOther, ViewThreeQuarter, ViewPlan, PictureOfSurface],
                amounts,
                shaping,
                places,
            ]
        }
        MenuOf::Differences => vec![
            vec![TakeBack, TakeBackRegion],
            vec![Copy, CopyWithAxes],
            vec![SelectAll, Command::Sheet(Sheet::Advance)],
            vec![Merge, TakeSnapshot],
        ],
        MenuOf::Merged => vec![vec![Copy, CopyWithAxes], vec![SelectAll, Command::Sheet(Sheet::Advance)]],
    }
}

/// Keys of the open menu: up, down, Enter, Esc.
pub(super) fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(menu) = view.screen.menu else {
        return;
    };
    let commands: Vec<Command> = groups(menu.of).concat();
    let pressed = |key: Key| ctx.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key));
    let count = commands.len().max(1);
    let row = (menu.row + pressed(Key::ArrowDown) + (count - 1) * pressed(Key::ArrowUp)) % count;
    if row != menu.row {
        outbox.send(ScreenMessage::Menu(Some(Menu { row, ..menu })));
    }
    if pressed(Key::Escape) > 0 {
        outbox.send(ScreenMessage::Menu(None));
    }
    if pressed(Key::Enter) > 0
        && let Some(&command) = commands.get(row)
    {
        run(view, outbox, command);
    }
}

/// Runs a command and closes the menu; if it cannot be run, the menu stays open with the reason.
fn run(view: &View<'_>, outbox: &mut Outbox, command: Command) {
    if let Availability::Not(reason) = availability(command, view) {
        return outbox.complain_of(Cause::Command(command), format!("{}: {reason}", command.text()));
    }
    outbox.send(ScreenMessage::Menu(None));
    outbox.run(command);
}

pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(menu) = view.screen.menu else {
        return;
    };
    let at = menu.at.map_or_else(|| ctx.content_rect().center(), |(x, y)| pos2(x, y));
    let area = Area::new(Id::unique("menu of the cells")).order(Order::Foreground).fixed_pos(at).constrain(true);
    let shown = area.show(ctx, |ui| {
        let fill = color(view.theme.palette.paper);
        Frame::popup(ui.style()).fill(fill).inner_margin(MENU_GAP).show(ui, |ui| rows(ui, view, outbox, menu));
    });
    let is_primary = ctx.input(|input| input.pointer.primary_clicked());
    if is_primary && shown.response.clicked_elsewhere() {
        outbox.send(ScreenMessage::Menu(None));
    }
}

fn rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, menu: Menu) {
    ui.set_width(MENU_WIDTH);
    ui.spacing_mut().item_spacing.y = 0.0;
    let whole = UiBuilder::new().scope_id(Id::unique("rows of the menu"));
    ui.scope_builder(whole, |ui| {
        let mut index = 0;
        for (place, group) in groups(menu.of).into_iter().enumerate() {
            if place > 0 {
                ui.add(egui::Separator::default().spacing(MENU_GAP));
            }
            for command in group {
                if command_row(ui, view, command, index == menu.row, MENU_ROW).clicked() {
                    run(view, outbox, command);
                }
                index += 1;
            }
        }
        let response = ui.response();
        response.widget_info(|| WidgetInfo::labeled(Role::Menu, true, "Menu of the cells"));
    });
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn no_menu_has_a_command_twice_or_is_higher_than_a_small_screen() {
        let slices = [Along::Speed, Along::Load].map(MenuOf::Slice);
        let all = [MenuOf::Cells, MenuOf::Speeds, MenuOf::Loads, MenuOf::Surface, MenuOf::Differences, MenuOf::Merged];
        for of in all.into_iter().chain(slices) {
            let groups = groups(of);
            let all = groups.concat();
            assert_eq!(all.iter().collect::<HashSet<_>>().len(), all.len(), "{of:?}");
            #[expect(clippy::cast_precision_loss, reason = "a few rows")]
            let (rows, gaps) = (all.len() as f32, groups.len() as f32);
            assert!(rows * MENU_ROW + (gaps + 1.0) * MENU_GAP < 600.0, "{of:?}: {rows} rows");
        }
    }
}
