//! One picture over speed: the advance along a load with the limits applied, and below it what limits and outputs do, with
//! the limits as sentences beside their bands.

use eframe::egui::{Align, Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::drawing::{ChartAxis, ChartSpec, round_range};
use crate::project::{CutPattern, LoadKind, Parts, Project};
use crate::spark::{Conditions, State};
use crate::window::kit::chart::{Chart, Line};
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::engine_sheet_sizes::LIMITS_SIZES;
use crate::window::kit::theme::kit_sizes::CHART;
use crate::window::kit::theme::{Theme, color, elided, elided_middle, hairline, whole_parts};
use crate::window::sheets::limits::edges::{self, Edge, Held, LaneOf, edges};
use crate::window::sheets::limits::sweep::{Band, Moment, Sweep, bands, top_rpm};
use crate::window::sheets::limits::{band, band_key};
use crate::window::state::limits_state::LimitsMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, lower_first, one_line, quantity, with_unit};

/// The scale of the advance reaches at least so high, degrees.
const LEAST_HIGHEST_DEG: f64 = 10.0;

/// What the picture is drawn from, kept until project or load change.
#[derive(Default)]
pub(super) struct Picture {
    of: Option<(Project, u64)>,
    plain: Sweep,
    launch: Sweep,
    lanes: Vec<Lane>,
    top_rpm: f64,
    held: Option<Held>,
    /// The field that was clicked, until it is on show and can have the keyboard.
    wanted: Option<(LaneOf, String)>,
}

/// One row of bands with its words and its edges.
struct Lane {
    of: LaneOf,
    edges: Vec<Edge>,
    name: String,
    words: String,
    bands: Vec<Band>,
}

/// Whether sparks come, be it every other one.
fn fires(moment: &Moment) -> bool {
    moment.breakdown.fires || moment.breakdown.cut == Some(CutPattern::AlternateCoils)
}

/// The conditions of the picture: the load, temperatures as of a failed sender, the throttle of a standing start.
fn conditions(project: &Project, load: f64, launch_switch: bool) -> Conditions {
    Conditions {
        load,
        coolant_c: Some(project.sensors.coolant.stand_in_c),
        air_c: Some(project.sensors.air.stand_in_c),
        battery_v: Some(project.sensors.highest_battery_v.min(14.0)),
        throttle_pct: (launch_switch || project.sensors.load == LoadKind::Pressure).then_some(100.0),
        launch_switch,
        ..Conditions::default()
    }
}

impl Picture {
    /// Brings it up to date.
    pub(super) fn settle(&mut self, project: &Project, load: f64) {
        let is_scale_due = self.held.is_none() && self.top_rpm != top_rpm(project);
        if !is_scale_due && self.of.as_ref().is_some_and(|(of, at)| of.is_same(project) && *at == load.to_bits()) {
            return;
        }
        self.of = Some((project.clone(), load.to_bits()));
        self.plain = Sweep::new(project, &conditions(project, load, false));
        self.launch = Sweep::new(project, &conditions(project, load, true));
        // The scale does not run away under an edge that is dragged.
        if self.held.is_none() {
            self.top_rpm = top_rpm(project);
        }
        let lane = |of: LaneOf, name: &str, words: String, bands| Lane {
            of,
            edges: edges(project, of),
            name: name.to_owned(),
            words,
            bands,
        };
        self.lanes = vec![
            lane(
                LaneOf::Cranking,
                "Cranking",
                cranking(project),
                bands(&self.plain, |moment| moment.cranking(&project.limits.cranking)),
            ),
            lane(LaneOf::OverSpeed, "Over-speed", over_speed(project), bands(&self.plain, Moment::over_speed)),
            lane(LaneOf::Launch, "Launch", launch(project), bands(&self.launch, Moment::launch)),
        ];
        for (index, output) in project.outputs.iter().enumerate() {
            let bands = bands(&self.plain, |moment| moment.output(index));
            self.lanes.push(lane(LaneOf::Output(index), &output.name, output.words(project.sensors.load), bands));
        }
    }

    /// The height it needs at a width.
    pub(super) fn height(&self, ui: &Ui, theme: &Theme, width: f32) -> f32 {
        #[expect(clippy::cast_precision_loss, reason = "a few lanes")]
        let lanes = self.lanes.len() as f32;
        let key = band_key::height(ui, theme, width);
        LIMITS_SIZES.chart_height + lanes * theme.small_target + LIMITS_SIZES.speeds_height + key
    }

    /// Gives the keyboard to the field that was clicked, once it is on show.
    fn focus_wanted(&mut self, ui: &Ui, view: &View<'_>) {
        let is_shown = |of: LaneOf| match of {
            LaneOf::Output(index) => view.screen.limits.output == index,
            _ => true,
        };
        if let Some((_, path)) = self.wanted.take_if(|(of, _)| is_shown(*of)) {
            ui.memory_mut(|memory| memory.request_focus(form::id(&path)));
        }
    }

    /// Draws it into a place; the answer is what the pointer is over, in words.
    pub(super) fn show(&mut self, ui: &mut Ui, whole: Rect, view: &View<'_>, outbox: &mut Outbox) -> Option<String> {
        self.focus_wanted(ui, view);
        let project = self.of.as_ref().map(|(project, _)| project.clone())?;
        let project = &project;
        let key = whole.with_min_y(whole.bottom() - band_key::height(ui, view.theme, whole.width()));
        band_key::show(ui, key, view.theme);
        let rect = whole.with_max_y(key.top());
        let spec = ChartSpec {
            rect: viewport(rect),
            along: (0.0, self.top_rpm),
            up: self.degrees(),
            units: (Unit::Rpm, Unit::Degree),
            gutter: LIMITS_SIZES.gutter,
            is_upright: true,
            rows_below: rect.height() - LIMITS_SIZES.chart_height - LIMITS_SIZES.speeds_height
                + LIMITS_SIZES.below_chart,
        };
        let mut chart = Chart::new(ui.painter(), view.theme, &spec)?;
        chart.paint_scales();
        let plot = chart.plot();
        let whole = Rect::from_min_max(plot.min, plot.max + vec2(0.0, spec.rows_below));
        let ink = color(view.theme.palette.ink_secondary);
        for (y, name) in [(plot.top(), "Advance"), (whole.bottom() + CHART.number_gap, "Speed")] {
            ui.painter().text(pos2(rect.left(), y), Align2::LEFT_TOP, name, view.theme.small_font(), ink);
        }
        self.paint_advance(&mut chart, project);
        let mut top = rect.top() + LIMITS_SIZES.chart_height;
        let (speed, mut clicked) = (&chart.frame().along, None);
        for lane in &self.lanes {
            let place = Rect::from_min_max(pos2(rect.left(), top), pos2(plot.right(), top + view.theme.small_target));
            let band = self.lane(ui, place, speed, lane, view);
            let edge = edges::show(ui, (place, speed), &lane.edges, &mut self.held, view, outbox);
            clicked = clicked.or(edge.or(band).map(|path| (lane.of, path)));
            top = place.bottom();
        }
        edges::go_on(ui, speed, &mut self.held, view, outbox);
        if let Some((of, path)) = clicked {
            if let LaneOf::Output(index) = of {
                outbox.send(LimitsMessage::Open(index));
            }
            self.wanted = Some((of, path));
            ui.ctx().request_repaint();
        }
        let canvas = ui.interact(plot, ui.scope_id().with("advance over speed"), Sense::hover());
        canvas.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Advance over speed with the limits applied"));
        self.told(chart.pointed(ui, whole)?, project, view)
    }

    /// The moments of a launch.
    fn launching(&self) -> impl Iterator<Item = &Moment> {
        let launching = |moment: &&Moment| moment.breakdown.contributions.launch < 0.0 && moment.breakdown.fires;
        self.launch.rising.iter().filter(launching)
    }

    /// The range of the advance wherever sparks come.
    fn degrees(&self) -> (f64, f64) {
        let moments = self.plain.rising.iter().filter(|moment| fires(moment)).chain(self.launching());
        let range = moments.fold((0.0, LEAST_HIGHEST_DEG), |(low, high): (f64, f64), moment| {
            let deg = moment.breakdown.commanded_deg;
            (low.min(deg), high.max(deg))
        });
        round_range(range, 0.0, 5)
    }

    /// What happens at a speed, in words.
    fn told(&self, speed_rpm: f64, project: &Project, view: &View<'_>) -> Option<String> {
        let moment = self.plain.at(speed_rpm)?;
        let state = match moment.breakdown.state {
            State::Stopped => "no spark",
            State::Cranking => "cranking",
            State::LimitCut => "sparks cut",
            State::OverSpeed => "eases off",
            State::LaunchCut | State::Launch | State::Running => "running",
        };
        let on = project.outputs.iter().zip(&moment.shown).filter(|(_, shown)| shown.is_on());
        let on: Vec<_> = on.map(|(output, _)| one_line(&output.name)).collect();
        let on = if on.is_empty() { String::new() } else { format!(" · {} on", on.join(", ")) };
        let deg = with_unit(&view.degrees(moment.breakdown.commanded_deg), Unit::Degree);
        Some(format!("{} rising · {deg} · {state}{on}", figure(speed_rpm, Unit::Rpm)))
    }

    fn paint_advance(&self, chart: &mut Chart<'_>, project: &Project) {
        let clamp = &project.limits.clamp;
        for (deg, word) in [(clamp.floor_deg, "floor"), (clamp.ceiling_deg, "ceiling")] {
            chart.bound(deg, &format!("{word} {}", quantity(deg, Unit::Degree)));
        }
        let place = |moment: &Moment| (moment.speed_rpm, moment.breakdown.commanded_deg);
        let launch: Vec<(f64, f64)> = self.launching().map(place).collect();
        chart.line(&launch, Line::Compared);
        for run in self.plain.rising.chunk_by(|a, b| fires(a) == fires(b)) {
            if run.first().is_some_and(fires) {
                chart.line(&run.iter().map(place).collect::<Vec<_>>(), Line::Main);
            }
        }
        if let Some(&end) = launch.last() {
            chart.name(end, "launch", true);
        }
    }

    /// Draws a lane; returns the path of the field whose band was clicked.
    fn lane(&self, ui: &mut Ui, place: Rect, speed: &ChartAxis, lane: &Lane, view: &View<'_>) -> Option<String> {
        let (theme, palette) = (view.theme, view.theme.palette);
        let painter = ui.painter();
        let middle = painter.round_to_pixel_center(place.center().y);
        let (left, right) = (speed.screen.0, speed.screen.1);
        let room = Rect::from_min_size(place.min, vec2(LIMITS_SIZES.gutter - LIMITS_SIZES.name_air, place.height()));
        elided_middle(ui, room, &lane.name, theme.small_font()).write(ui, Align::Min, color(palette.ink));
        painter.hline(left..=right, middle, hairline(color(palette.rule)));
        let spans: Vec<(Rect, Band)> = lane
            .bands
            .iter()
            .map(|&band| {
                let (from, to) = (speed.to_screen(band.from_rpm), speed.to_screen(band.to_rpm));
                let (from, to) = (from.min(right), to.min(right));
                let span = Rect::from_min_max(
                    pos2(from, middle - LIMITS_SIZES.band_height / 2.0),
                    pos2(to, middle + LIMITS_SIZES.band_height / 2.0),
                );
                (span, band)
            })
            .collect();
        for &(span, band) in &spans {
            band::paint(painter, span, band, theme);
        }
        let free = [(left, spans.first().map_or(right, |span| span.0.left()))];
        let free = free.into_iter().chain([(spans.last().map_or(left, |span| span.0.right()), right)]);
        let widest = free.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).unwrap_or((left, right));
        write(ui, widest, (left, right), middle, &lane.words, theme);
        let response = ui.interact(place, ui.scope_id().with(("lane", &lane.name)), Sense::hover());
        let words = format!("{}: {}", lane.name, lane.words);
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        response.on_hover_text(&words);
        let mut clicked = None;
        for (index, &(span, band)) in spans.iter().enumerate() {
            let Some(edge) = edges::of_band(&lane.edges, lane.of, &band) else { continue };
            // The edges take the keyboard; a band only leads to its field.
            // The whole height of the lane: a band is thin.
            let target = Rect::from_x_y_ranges(span.x_range(), place.y_range());
            let response = ui.interact(target, ui.scope_id().with(("band", &lane.name, index)), Sense::CLICK);
            let name = format!("Band: {}", lower_first(&form::name_of(view, &edge.path)));
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            if response.on_hover_text(format!("{words}\nA click goes to its field.")).clicked() {
                clicked = Some(edge.path.clone());
            }
        }
        clicked
    }
}

/// The words of a lane: beside its bands where they are free, over the middle of them where nothing is. Clauses for which
/// there is no room are left out whole, so that no number is cut; the tooltip has them.
fn write(ui: &Ui, free: (f32, f32), (left, right): (f32, f32), middle: f32, words: &str, theme: &Theme) {
    let ink = color(theme.palette.ink_secondary);
    let is_free = free.1 - free.0 > LIMITS_SIZES.least_free;
    let span = if is_free { free } else { (left, right) };
    let align = match is_free {
        true if free.0 > left || free == (left, right) => Align::Min,
        true => Align::Max,
        false => Align::Center,
    };
    let room = Rect::from_x_y_ranges(span.0..=span.1, middle..=middle).shrink2(vec2(LIMITS_SIZES.words_gap, 0.0));
    let shown = whole_parts(ui, words, room.width(), &theme.small_font(), &["; ", ", "]);
    let line = elided(ui, room, shown, theme.small_font());
    ui.painter().rect_filled(
        line.place(align).expand2(vec2(LIMITS_SIZES.words_air, 0.0)),
        0.0,
        color(theme.palette.paper),
    );
    line.paint(ui, align, ink);
}

fn rpm(speed: f64) -> String {
    quantity(speed, Unit::Rpm)
}

/// 'no spark below 50 rpm; leaves cranking at 500 rpm, blends over 200 rpm; cranks again below 400 rpm'.
pub(super) fn cranking(parts: &Parts) -> String {
    let cranking = &parts.limits.cranking;
    format!(
        "{} while cranking, no spark below {}; left at {}, blends over {}; again below {}",
        quantity(cranking.advance_deg, Unit::Degree),
        rpm(cranking.no_spark_below_rpm),
        rpm(cranking.leave_at_rpm),
        rpm(cranking.blend_rpm),
        rpm(cranking.below_rpm)
    )
}

/// 'eases off by 10.0° from 7150 rpm; cuts every other spark at 7400 rpm, all at 7600 rpm; fires again below 7280 rpm'.
pub(super) fn over_speed(parts: &Parts) -> String {
    let over = &parts.limits.over_speed;
    if !over.enabled {
        return "switched off".into();
    }
    let cuts = match over.pattern {
        CutPattern::AlternateCoils => {
            format!("cuts every other spark at {}, all at {}", rpm(over.cuts_at_rpm), rpm(over.cuts_all_at_rpm))
        }
        CutPattern::All => format!("cuts all sparks at {}", rpm(over.cuts_at_rpm)),
    };
    format!(
        "eases off by {} from {}; {cuts}; fires again below {}",
        quantity(over.eases_by_deg, Unit::Degree),
        rpm(over.eases_from_rpm),
        rpm(over.fires_again_below_rpm)
    )
}

/// 'retards to 0.0° from 3500 rpm; cuts at 4500 rpm, fires again below 4300 rpm'.
pub(super) fn launch(parts: &Parts) -> String {
    let launch = &parts.limits.launch;
    if !launch.enabled {
        return "switched off".into();
    }
    format!(
        "with the switch closed: retards to {} from {}; cuts at {}, fires again below {}",
        quantity(launch.advance_deg, Unit::Degree),
        rpm(launch.retards_from_rpm),
        rpm(launch.cuts_at_rpm),
        rpm(launch.cuts_at_rpm - launch.resume_drop_rpm)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn limits_are_told_as_they_are_set() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let project = project
            .edit(|parts| {
                let over = &mut parts.limits.over_speed;
                (over.eases_from_rpm, over.cuts_at_rpm, over.cuts_all_at_rpm) = (6000.0, 6250.0, 6400.0);
                (over.fires_again_below_rpm, over.eases_by_deg) = (6100.0, 8.0);
                let launch = &mut parts.limits.launch;
                (launch.enabled, launch.retards_from_rpm, launch.cuts_at_rpm) = (true, 3000.0, 4000.0);
                (launch.resume_drop_rpm, launch.advance_deg) = (150.0, -2.0);
            })
            .unwrap();
        assert_eq!(
            over_speed(&project),
            "eases off by 8.0° from 6000 rpm; cuts every other spark at 6250 rpm, all at 6400 rpm; fires again below 6100 rpm"
        );
        assert!(
            launch(&project)
                .contains("retards to \u{2212}2.0° from 3000 rpm; cuts at 4000 rpm, fires again below 3850 rpm")
        );
        assert!(cranking(&project).contains("again below"));
    }
}
