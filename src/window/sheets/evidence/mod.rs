//! What the engine said: timing sweeps, what each comes to, and what is taken from them into the project's points.

mod arrangement;
mod frames;
mod head;
mod keeper;
mod kept;
mod key_line;
mod large;
mod lollipops;
mod next;
mod pasting;
mod plan;
mod readings;
mod rejecting;

use eframe::egui::{self, Rect, Sense, Ui, UiBuilder, pos2, vec2};

use self::arrangement::Arrangement;
use self::frames::Frames;
use self::keeper::Keeper;
use self::kept::{Frame, Kept};
use self::next::Taking;
use crate::checks::Severity;
use crate::window::kit::parts::named_part;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::{color, hairline};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::button;
use crate::window::views::view::View;
use crate::worksheet::Gravity;

pub use self::pasting::paste as paste_sweeps;

const BEGIN: &str = "Hold speed and load on the brake, move the advance step by step, and write torque down at each: one row a \
                     reading, with the columns speed_rpm, load, advance_deg, torque_nm and, if you listened, knock. Read \
                     that file here, or paste its rows with Ctrl+V: every operating point gets its curve, best torque with \
                     its interval, and what to read next.";

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct EvidenceSheet {
    keeper: Keeper,
    parts: Parts,
}

/// What the parts keep beside each other.
#[derive(Default)]
struct Parts {
    /// The arrangement of the frames, with the answer and the number of columns that it was made for.
    arranged: Option<((u64, usize), Arrangement)>,
    taking: Taking,
}

/// The severity whose mark stands for a verdict; good ones have none.
const fn severity(gravity: Gravity) -> Option<Severity> {
    match gravity {
        Gravity::Obstacle => Some(Severity::Error),
        Gravity::Warning => Some(Severity::Warning),
        Gravity::Note => Some(Severity::Note),
        Gravity::Good => None,
    }
}

impl EvidenceSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let whole = ui.available_rect_before_wrap();
        let inner = whole.shrink2(vec2(theme.margin, 0.0));
        let line = inner.with_max_y(inner.top() + theme.heading_line);
        let rest = Rect::from_min_max(line.left_bottom(), inner.max - vec2(0.0, theme.gap));
        pasting::take(ui, view, outbox);
        self.keeper.settle(view, ui.ctx());
        let kept = self.keeper.kept();
        head::show(ui, line, kept, view, outbox);
        match kept {
            _ if view.project.evidence.sweeps.is_empty() => show_beginning(ui, rest, view, outbox),
            Some(kept) if !kept.frames.is_empty() => self.parts.show(ui, rest, kept, view, outbox),
            Some(kept) => _ = ui.put(rest, egui::Label::new(kept.remarks.join(" ")).wrap()),
            None => {
                let words = self.keeper.fault().unwrap_or_else(|| "Judging the sweeps…".into());
                let line = rest.with_max_y(rest.top() + theme.heading_line);
                ui.put(line, egui::Label::new(words).halign(egui::Align::Min).selectable(false));
            }
        }
        let left = ui.input(|input| input.pointer.hover_pos()).is_none_or(|at| !whole.contains(at));
        if left {
            frames::point(view, None, outbox);
        }
        ui.allocate_rect(whole, Sense::hover());
    }
}

impl Parts {
    fn show(&mut self, ui: &mut Ui, rect: Rect, kept: &Kept, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let sizes = &EVIDENCE_SIZES;
        let side = (rect.width() * sizes.side_share).clamp(sizes.side_width.0, sizes.side_width.1);
        let foot = (rect.height() * sizes.foot_share).clamp(sizes.foot_height.0, sizes.foot_height.1);
        let (split, base) = (rect.right() - side, rect.bottom() - foot);
        let above = Rect::from_min_max(rect.min, pos2(split - theme.margin, base - theme.gap));
        let beside = Rect::from_min_max(pos2(split, rect.top()), pos2(rect.right(), base - theme.gap));
        let below = Rect::from_min_max(pos2(rect.left(), base + theme.gap), pos2(split - theme.margin, rect.bottom()));
        let corner = Rect::from_min_max(pos2(split, base + theme.gap), rect.max);
        let y = ui.painter().round_to_pixel_center(base);
        ui.painter().hline(rect.expand(theme.margin).x_range(), y, hairline(color(theme.palette.rule)));
        let chosen = view.screen.evidence.chosen.as_ref().and_then(|key| kept.frame(key)).or(kept.frames.first());
        self.left(ui, above, (kept, chosen), view, outbox);
        if let Some(frame) = chosen {
            right(&mut named_part(ui, beside, "chosen sweep"), beside, (kept, frame), view, outbox);
        }
        let plan_width = (below.width() * sizes.plan_share).clamp(sizes.plan_width.0, sizes.plan_width.1);
        let plan = below.with_max_x(below.left() + plan_width);
        plan::show(&mut named_part(ui, plan, "plan of sweeps"), plan, (kept, chosen), view, outbox);
        let sticks = below.with_min_x(plan.right() + theme.margin);
        lollipops::show(&mut named_part(ui, sticks, "against the table"), sticks, (kept, chosen), view, outbox);
        next::show(&mut named_part(ui, corner, "next"), corner, (kept, &mut self.taking), view, outbox);
        let pointed = view.screen.evidence.pointed.as_ref().and_then(|key| kept.frame(key));
        let words = pointed.map_or_else(String::new, |frame| frame.status_words(view));
        outbox.point_at(view.screen, words);
    }

    fn left(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        (kept, chosen): (&Kept, Option<&Frame>),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let columns = frames::columns_that_fit(rect.width());
        let of = (kept.serial, columns);
        if self.arranged.as_ref().is_none_or(|(arranged, _)| *arranged != of) {
            let points: Vec<(f64, f64)> = kept.frames.iter().map(|frame| (frame.speed_rpm, frame.load)).collect();
            self.arranged = Some((of, Arrangement::of(&points, columns)));
        }
        let Some((_, arrangement)) = &self.arranged else { return };
        let shown = Frames { kept, arrangement, chosen };
        frames::keys(ui.ctx(), &shown, outbox);
        let key = rect.with_min_y(rect.bottom() - EVIDENCE_SIZES.key_height);
        shown.show(ui, rect.with_max_y(key.top()), view, outbox);
        key_line::show(ui, key, arrangement.is_grid(), view);
    }
}

/// The chosen sweep, its readings below it, and the line that rejects it.
fn right(ui: &mut Ui, rect: Rect, (kept, frame): (&Kept, &Frame), view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let sizes = &EVIDENCE_SIZES;
    let height = (rect.height() * sizes.large_share).clamp(sizes.large_height.0, sizes.large_height.1);
    let large = rect.with_max_y(rect.top() + height);
    large::show(ui, large, (kept, frame), view, outbox);
    let foot = rect.with_min_y(rect.bottom() - theme.field_height);
    rejecting::show(ui, foot, frame, view, outbox);
    let list = Rect::from_min_max(large.left_bottom() + vec2(0.0, theme.gap), foot.right_top() - vec2(0.0, theme.gap));
    readings::show(ui, list, frame, view, outbox);
}

/// Shows how to begin, before there is anything.
fn show_beginning(ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let place = Rect::from_min_size(
        rect.min + vec2(0.0, theme.margin),
        vec2(EVIDENCE_SIZES.begin_width.min(rect.width()), rect.height()),
    );
    let mut ui = ui.new_child(UiBuilder::new().max_rect(place).id_salt("no sweeps yet"));
    ui.add(egui::Label::new(BEGIN).wrap().selectable(false));
    ui.add_space(theme.margin);
    ui.horizontal(|ui| {
        button(ui, view, outbox, Command::ReadSweeps, "Read a file…");
        button(ui, view, outbox, Command::SampleSweeps, "Try readings of an invented day");
    });
    ui.add_space(theme.margin);
    let caution = egui::RichText::new(crate::project::cautions::SWEEP).color(color(theme.palette.ink_secondary));
    ui.add(egui::Label::new(caution).wrap().selectable(false));
}
