//! One revolution closely: a picture kept until something changes, and the cursor over it.

use std::sync::Arc;

use eframe::egui::{self, Id, Label, Rect, Response, Role, Sense, WidgetInfo, vec2};

use super::bench::{Bench, Driven};
use super::trace_view::{area, cursor, head, row_name};
use crate::drawing::{Frame, Look, Scene, Strip, StripAxis, StripSpec};
use crate::rig::Revolution;
use crate::window::kit::scene_painter::{self, Sheet, viewport};
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::RIG_STRIP_HEAD;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::sheets::rig::rig_words;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::surface::{keep_arrows, quiet_button};
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, quantity, signed, with_unit};

/// The widget that is scrubbed.
pub(super) fn id() -> Id {
    Id::unique("rig strip")
}

/// The picture and what it was made of.
#[derive(Default)]
pub(super) struct StripView {
    scene: Scene,
    sheet: Sheet,
    strip: Option<Strip>,
    made_of: Option<(u64, Rect, Look, StripAxis, f32)>,
}

impl StripView {
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
        let whole = ui.max_rect();
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), RIG_STRIP_HEAD));
        let shown = bench.driven().zip(bench.revolution()).filter(|_| bench.is_current());
        let title = "One revolution";
        head(ui, line, title, |ui| axes(ui, view, shown.map(|(driven, _)| driven), outbox), view);
        let rect = Rect::from_min_max(line.left_bottom() + vec2(0.0, TIGHT_GAP), whole.max);
        let Some((driven, revolution)) = shown else { return };
        self.make(ui, rect, view, (driven, revolution, bench.serial()));
        let Some(strip) = &self.strip else {
            ui.put(
                line.translate(vec2(0.0, RIG_STRIP_HEAD)),
                Label::new("Make the window larger to see one revolution."),
            );
            return;
        };
        let canvas = ui.interact(area(strip.plot()), id(), Sense::click_and_drag());
        canvas.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, describe(driven, revolution)));
        self.sheet.paint(ui.painter(), view.theme);
        strip.rows.iter().for_each(|row| row_name(ui, row, view));
        let cursor_s = view.screen.rig.cursor_s;
        let x = strip.x((cursor_s, driven.motion.crank_deg(cursor_s)));
        cursor(ui, x, strip.plot(), &self.scene.labels, view);
        react(ui, &canvas, strip, (driven, revolution), view, outbox);
        if canvas.has_focus() {
            keep_arrows(ui, &canvas, view);
        }
    }

    fn make(
        &mut self,
        ui: &egui::Ui,
        rect: Rect,
        view: &View<'_>,
        (driven, revolution, serial): (&Driven, &Arc<Revolution>, u64),
    ) {
        let (look, axis) = (view.theme.palette.look, view.screen.rig.axis);
        let made_of = Some((serial, rect, look, axis, ui.pixels_per_point()));
        if self.made_of == made_of {
            return;
        }
        self.made_of = made_of;
        let frame = Frame { look, rect: viewport(rect), names: false };
        let spec = StripSpec { driven: driven.to_draw(), revolution, axis, frame };
        self.strip = Strip::new(&spec);
        self.scene.clear();
        if let Some(strip) = &self.strip {
            strip.draw(&spec, &mut self.scene);
        }
        scene_painter::snap_lines(&mut self.scene, ui.painter());
        self.sheet.fill(&self.scene);
    }
}

/// What runs along the strip, to be chosen, and what its zero is.
fn axes(ui: &mut egui::Ui, view: &View<'_>, driven: Option<&Arc<Driven>>, outbox: &mut Outbox) {
    let choices = [
        (StripAxis::Time, "time", "Strip over time", "Show the revolution over time."),
        (StripAxis::Crank, "crank angle", "Strip over crank angle", "Show the revolution over crank angle."),
    ];
    for (axis, text, name, told) in choices {
        if quiet_button(ui, view.theme, text, name, view.screen.rig.axis == axis, told).clicked() {
            outbox.send(RigMessage::Axis(axis));
        }
    }
    ui.add_space(view.theme.gap);
    let Some(driven) = driven else { return };
    let [a, b] = driven.project.engine.channels.first().map_or([1, 1], |channel| channel.cylinders);
    let trigger = &driven.project.trigger;
    let reference_deg = trigger.reference_deg + trigger.zero_offset_deg;
    let words = format!("0 = TDC {a} and {b} · first edge {} before it", quantity(reference_deg, Unit::Degree));
    let ink = color(view.theme.palette.ink_secondary);
    ui.add(Label::new(egui::RichText::new(words).size(view.theme.small).color(ink)).truncate());
}

/// The revolution in words, for screen readers.
fn describe(driven: &Driven, revolution: &Revolution) -> String {
    use crate::rig::CoilEnd;
    let mut words = vec![format!("One revolution, {} edges", revolution.edges.len())];
    for coil in &revolution.coils {
        let name = driven.project.engine.channels.get(coil.channel).map_or("", |channel| channel.name.as_str());
        if let CoilEnd::Spark { actual_deg, current_a, energy_mj } = coil.end {
            words.push(format!(
                "coil {name} spark {} degrees before TDC, dwell {}, {}, {} stored",
                fixed(actual_deg, 1),
                figure(coil.dwell_ms(), Unit::Millisecond),
                figure(current_a, Unit::Ampere),
                figure(energy_mj, Unit::Millijoule)
            ));
        }
    }
    let cuts = revolution.others.iter().filter(|event| matches!(event.what, crate::rig::What::Cut { .. })).count();
    if cuts > 0 {
        words.push(format!("{cuts} cut"));
    }
    words.join("; ")
}

fn react(
    ui: &egui::Ui,
    canvas: &Response,
    strip: &Strip,
    (driven, revolution): (&Driven, &Revolution),
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    if let Some(at) = canvas.interact_pointer_pos().filter(|_| canvas.dragged() || canvas.clicked())
        && let Some((time_s, _)) = strip.instant(at.x, &driven.motion)
    {
        canvas.request_focus();
        outbox.send(RigMessage::StopAt(time_s));
    }
    let hovering = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(canvas.rect));
    let Some(at) = hovering else { return };
    let plot = strip.plot();
    let instant = strip.instant(at.x, &driven.motion).filter(|_| (plot.left..=plot.left + plot.width).contains(&at.x));
    let Some((time_s, crank_deg)) = instant else {
        return outbox.point_at(view.screen, String::new());
    };
    let relative_deg = crank_deg - revolution.turn.tdc_deg;
    let mut told = vec![with_unit(&signed(relative_deg, 1), Unit::Degree), rig_words::time(time_s, 0.0)];
    if let Some(channel) = strip.row_at(at.y).and_then(|row| strip.channel_of(row)) {
        told.push(rig_words::coil(driven, revolution, channel, time_s));
    } else {
        told.push(rig_words::crank(driven, crank_deg));
    }
    outbox.point_at(view.screen, told.join(" · "));
}
