//! Engine, trigger, coils, wiring, sensors, and the readings that prove the zero.

use super::piece::{Paragraph, Piece, ink, prose};
use super::rows::Rows;
use super::sizes;
use super::tables::{decimal, decimals_for, facts, left, strips, table};
use super::views::LOOK;
use crate::compare::Told;
use crate::drawing::{FiringSpec, Rect, Scene, WheelDrawing, WheelSpec, draw_firing};
use crate::picture::bounds;
use crate::project::{Engine, Parts, Project, TimingReading, cautions};
use crate::wording::{Unit, capital, count, fixed, given, quantity, rounded, settle, signed, with_unit};
use crate::worksheet::{FirstStart, Unproved};

/// Heights for the wheel's drawing with all the room that its labels may need, in points of the screen: the largest
/// that fits is taken.
const WHEEL_HEIGHTS: [f32; 6] = [236.0, 224.0, 212.0, 200.0, 188.0, 176.0];
/// Heights of the firing sequence on paper.
const FIRING_ROW: f32 = 17.0;
const FIRING_SCALE: f32 = 24.0;

/// Facts by their paths, with the same labels as everywhere.
pub(super) fn told(told: &Told<'_>, paths: &[&str]) -> Vec<(String, String)> {
    told_under("", told, paths)
}

/// The same below a heading, leaving out a word of the labels that the heading already has.
pub(super) fn told_under(heading: &str, told: &Told<'_>, paths: &[&str]) -> Vec<(String, String)> {
    let bare = |label: String| match label.strip_prefix(heading).map(str::trim_start) {
        Some(rest) if !heading.is_empty() && !rest.is_empty() => capital(rest),
        _ => label,
    };
    let noted = |value: String| if value == "empty" { "not noted".to_owned() } else { value };
    paths.iter().map(|path| (bare(told.label(path)), noted(told.value_and_ground(path)))).collect()
}

pub(super) fn engine(project: &Project, words: &Told<'_>, room: f32) -> Piece {
    let order: Vec<String> = project.engine.firing_order.iter().map(u8::to_string).collect();
    let mut rows = told(words, &["engine.cylinders"]);
    rows.push((words.label("engine.firing_order"), order.join("-") + ground(project, &["engine.firing_order"])));
    rows.extend(told(words, &Engine::FACT_PATHS));
    facts("Engine", &rows, room)
}

pub(super) fn trigger(project: &Project, words: &Told<'_>, room: f32) -> Piece {
    let trigger = &project.trigger;
    let wheel = format!("{}−{}", trigger.wheel.teeth, trigger.wheel.missing);
    let mut rows = vec![("Wheel".to_owned(), wheel + ground(project, &["trigger.wheel"]))];
    rows.extend(told(words, &["trigger.reference_deg", "trigger.zero_offset_deg"]));
    let true_deg = settle(trigger.reference_deg + trigger.zero_offset_deg);
    rows.push(("Together".into(), format!("{} before TDC", quantity(true_deg, Unit::Degree))));
    rows.extend(told_under(
        "Trigger",
        words,
        &["trigger.sensor", "trigger.edge", "trigger.latency_us", "trigger.lead_pitches", "trigger.gaps_to_sync"],
    ));
    facts("Trigger", &rows, room)
}

/// The wheel at TDC of the first pair, with the spark at warm idle.
pub(super) fn wheel(project: &Project, room: f32) -> Piece {
    let scale = sizes::DRAWING;
    let mut spec = WheelSpec { parts: project, advance_deg: idle_deg(project), look: LOOK, rect: Rect::default() };
    let mut piece = Piece::headed("Wheel and sensor", room);
    // Labels stand on one side of the wheel or the other: what is free on the other side is left out.
    for height in WHEEL_HEIGHTS {
        spec.rect = Rect { left: 0.0, top: 0.0, width: 2.0 * height, height };
        let mut scene = Scene::default();
        WheelDrawing::new(&spec).into_iter().for_each(|drawing| drawing.draw(&spec, &mut scene));
        let Rect { left, top, width, height } = bounds(&scene);
        if width * scale <= room {
            let free = (room - width * scale) / 2.0;
            piece.drawing(&scene, (free - left * scale, piece.height - top * scale), scale);
            piece.height += height * scale + 3.0;
            break;
        }
    }
    for line in WheelDrawing::words(&spec) {
        piece.paragraph(&line, room, sizes::BODY, ink().ink_secondary);
    }
    piece
}

/// The table's advance at warm idle.
pub(super) fn idle_deg(project: &Parts) -> f64 {
    let engine = &project.engine;
    let deg = project.advance.table().lookup(engine.idle_speed_rpm, engine.idle_load);
    rounded(deg, 1)
}

pub(super) fn firing(project: &Project, room: f32) -> Piece {
    let scale = sizes::DRAWING;
    #[expect(clippy::cast_precision_loss, reason = "at most four")]
    let height = FIRING_ROW * project.engine.channels.len() as f32 + FIRING_SCALE + 12.0;
    let rect = Rect { left: 0.0, top: 0.0, width: room / scale, height: height / scale };
    let spec = FiringSpec { parts: project, advance_deg: idle_deg(project), look: LOOK, rect };
    let mut piece = Piece::headed("Firing sequence over two turns of the crank", room);
    let mut scene = Scene::default();
    draw_firing(&spec, &mut scene);
    piece.drawing(&scene, (0.0, piece.height), scale);
    piece.height += height + 3.0;
    piece.paragraph(&spec.words(), room, sizes::BODY, ink().ink_secondary);
    piece
}

pub(super) fn wiring(project: &Project, room: f32) -> Piece {
    let rows: Vec<Vec<String>> = project
        .engine
        .channels
        .iter()
        .map(|channel| {
            let [first, second] = channel.cylinders;
            let wiring = if channel.wiring.is_empty() { "not noted".to_owned() } else { channel.wiring.clone() };
            vec![channel.name.clone(), format!("{first} and {second}"), wiring]
        })
        .collect();
    table("Wiring by channel", &[left("coil"), left("cylinders"), left("wiring")], &rows, room).whole(room)
}

pub(super) fn coil(project: &Project, words: &Told<'_>, room: f32) -> Piece {
    let mut paths = vec![
        "coil.kind",
        "coil.resistance_ohm",
        "coil.temperature_c",
        "coil.inductance_mh",
        "coil.harness_ohm",
        "coil.driver_drop_v",
        "coil.current_limit_a",
        "coil.rated_current_a",
        "coil.burn_time_ms",
    ];
    if project.coil.secondary_voltage_kv.is_some() {
        paths.push("coil.secondary_voltage_kv");
    }
    let mut piece = facts("Coil", &told_under("Coil", words, &paths), room);
    piece.height += 2.0;
    let decimals = decimals_for(project.coil.dwell_ms.values(), 2);
    let points: Vec<(String, String)> =
        project.coil.dwell_ms.points().map(|(volts, ms)| (given(volts, Unit::Volt), fixed(ms, decimals))).collect();
    strips(&mut piece, ("battery V", "dwell ms"), &points, room);
    piece
}

pub(super) fn sensors(project: &Project, words: &Told<'_>, room: f32) -> Piece {
    let mut rows = told(words, &["sensors.load"]);
    rows.push(("Throttle sensor".into(), linear(project, "sensors.throttle", Unit::Percent)));
    rows.push(("Pressure sensor".into(), linear(project, "sensors.pressure", Unit::Kilopascal)));
    rows.push(("Coolant sender".into(), sender(project, "sensors.coolant")));
    rows.push(("Air sender".into(), sender(project, "sensors.air")));
    rows.extend(told(words, &["sensors.lowest_battery_v", "sensors.highest_battery_v"]));
    facts("Sensors", &rows, room)
}

/// ' (assumed)' where nobody has confirmed what is at one of the paths.
fn ground(project: &Parts, paths: &[&str]) -> &'static str {
    if paths.iter().any(|path| project.is_assumed(path)) { "\u{a0}(assumed)" } else { "" }
}

fn linear(project: &Parts, path: &str, unit: Unit) -> String {
    let sensor = if path == "sensors.throttle" { &project.sensors.throttle } else { &project.sensors.pressure };
    if !sensor.fitted {
        return "not fitted".into();
    }
    let reading =
        |volts: f64, reads: f64| in_one_piece(&format!("{} = {}", quantity(volts, Unit::Volt), quantity(reads, unit)));
    let (first, second) = (reading(sensor.first_v, sensor.first_reads), reading(sensor.second_v, sensor.second_reads));
    format!("{first}, {second}{}", ground(project, &[path]))
}

/// The text with non-breaking spaces.
fn in_one_piece(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

fn sender(project: &Parts, path: &str) -> String {
    let sender = if path == "sensors.coolant" { &project.sensors.coolant } else { &project.sensors.air };
    let stand_in = quantity(sender.stand_in_c, Unit::Celsius);
    if !sender.fitted {
        return format!("not fitted; taken as {stand_in}");
    }
    let points = sender.points_c.iter().zip(&sender.points_ohm);
    let points: Vec<String> = points
        .map(|(c, ohm)| in_one_piece(&format!("{} = {}", quantity(*c, Unit::Celsius), quantity(*ohm, Unit::Ohm))))
        .collect();
    let pull_up = quantity(sender.pull_up_ohm, Unit::Ohm);
    let [of_points, of_pull_up] = [format!("{path}.points_ohm"), format!("{path}.pull_up_ohm")];
    format!(
        "{}{}\npull-up {pull_up}{}; taken as {stand_in} if it fails",
        points.join(", "),
        ground(project, &[&of_points]),
        ground(project, &[&of_pull_up])
    )
}

/// Whether the zero is proved for the trigger as it is now.
pub(super) fn zero_is_proved(project: &Parts) -> bool {
    Unproved::of(project).is_empty()
}

/// What has to be done before the engine runs for the first time.
pub(super) fn first_start(project: &Project, room: f32) -> Rows {
    let mut paragraphs = vec![Paragraph::plain(FirstStart::caution()).unparted()];
    paragraphs.push(Paragraph::plain(format!("True top dead centre first. {}", cautions::TRUE_TDC)).unparted());
    for part in FirstStart::of(project).steps() {
        paragraphs.push(Paragraph::heading(part.heading));
        paragraphs.extend(part.steps.into_iter().map(Paragraph::item));
    }
    prose("Before the first start", &paragraphs, room)
}

/// If there are more readings than this, the first page has a summary, and they are listed on a later page.
const MOST_READINGS: usize = 12;
const READINGS: &str = "Timing-light readings";

/// The readings or their summary, and what they mean.
pub(super) fn timing_light(project: &Project, room: f32) -> Piece {
    let light = &project.timing_light;
    if light.readings.is_empty() {
        let mut piece = Piece::headed(READINGS, room);
        piece.warning("None: the zero is NOT PROVED.", room);
        let text = "Until it is, no advance on this sheet is known to be what the engine gets. Prove it with a timing \
                    light before the engine is driven.";
        piece.paragraph(text, room, sizes::BODY, ink().ink);
        typed_readings(&mut piece, project, room);
        return piece;
    }
    let mut piece = if light.readings.len() > MOST_READINGS {
        let mut piece = Piece::headed(READINGS, room);
        let differences = light.readings.iter().map(|reading| reading.observed_deg - reading.commanded_deg);
        let (low, high) = differences.fold((f64::MAX, f64::MIN), |(low, high), deg| (low.min(deg), high.max(deg)));
        let text = format!(
            "{}, listed further on; observed less commanded: {} to {}.",
            count(light.readings.len(), "reading"),
            with_unit(&signed(low, 1), Unit::Degree),
            with_unit(&signed(high, 1), Unit::Degree)
        );
        piece.paragraph(&text, room, sizes::BODY, ink().ink);
        piece
    } else {
        reading_rows(project, room).whole(room)
    };
    let taken = format!("Taken {}.", date(&light.taken_at));
    piece.paragraph(&taken, room, sizes::BODY, ink().ink_secondary);
    let missing = Unproved::of(project);
    if !missing.is_empty() {
        piece.warning(&format!("The zero is NOT PROVED: {}.", Unproved::all_words(&missing)), room);
    }
    typed_readings(&mut piece, project, room);
    piece
}

/// Adds readings on which the zero offset does not depend yet.
fn typed_readings(piece: &mut Piece, project: &Project, room: f32) {
    let typed = project.typed_readings.iter().filter(|row| row.finished().is_some()).count();
    if typed > 0 {
        let text = format!("{} more typed and not applied.", count(typed, "reading"));
        piece.paragraph(&text, room, sizes::BODY, ink().ink_secondary);
    }
}

/// The list of all readings, if there are too many for the first page.
pub(super) fn many_readings(project: &Project, room: f32) -> Option<Rows> {
    (project.timing_light.readings.len() > MOST_READINGS).then(|| reading_rows(project, room))
}

fn reading_rows(project: &Project, room: f32) -> Rows {
    let readings = &project.timing_light.readings;
    let all: Vec<f64> = readings.iter().flat_map(|reading| [reading.commanded_deg, reading.observed_deg]).collect();
    let decimals = decimals_for(&all, 1);
    let row = |reading: &TimingReading| {
        vec![
            fixed(reading.commanded_deg, decimals),
            fixed(reading.observed_deg, decimals),
            signed(reading.observed_deg - reading.commanded_deg, decimals),
            given(reading.speed_rpm, Unit::Rpm),
        ]
    };
    let rows: Vec<Vec<String>> = readings.iter().map(row).collect();
    let columns = [decimal("commanded °"), decimal("observed °"), decimal("off °"), decimal("at rpm")];
    table(READINGS, &columns, &rows, room)
}

/// '2026-03-14 15:20 UTC' for '2026-03-14T15:20:00Z'; any other text unchanged.
pub(super) fn date(text: &str) -> String {
    let is_date = |part: &str| part.chars().all(|c| c.is_ascii_digit() || "-T:".contains(c));
    match (text.get(..16), text.ends_with('Z')) {
        (Some(minute), true) if is_date(minute) => format!("{} UTC", minute.replace('T', " ")),
        _ if text.is_empty() => "at a time not noted".into(),
        _ => text.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_read_well() {
        assert_eq!(date("2026-03-14T15:20:00Z"), "2026-03-14 15:20 UTC");
        assert_eq!(date("2026-03-14T15:20:00+02:00"), "2026-03-14T15:20:00+02:00");
        assert_eq!(date(""), "at a time not noted");
    }
}
