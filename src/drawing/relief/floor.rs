//! The floor with its grid, and the axes' numbers and names.

use glam::DVec3;

use super::Relief;
use crate::drawing::{Color, Label, LabelRole, LabelRoom, Point, Projector, Scene, Ticks};

const FLOOR_WIDTH: f32 = 0.9;
/// Room that a number needs along its axis, points.
const SPEED_ROOM: f32 = 46.0;
const LOAD_ROOM: f32 = 36.0;
const VALUE_ROOM: f32 = 26.0;
/// Distances of numbers and of names from the edge, points: the first that no other label has. A number of a corner that
/// finds no room is left out.
const TICK_DISTANCES: [f32; 3] = [7.0, 16.0, 25.0];
const NAME_DISTANCES: [f32; 3] = [38.0, 50.0, 62.0];
/// Where along its edge a name may stand.
const NAME_SHARES: [f32; 5] = [0.5, 0.4, 0.6, 0.3, 0.7];
/// Whatever points as much to a side has an upright edge beside it; its name stands so far above its end.
const UPRIGHT: f32 = 0.995;
const NAME_ABOVE: f32 = 15.0;
/// An axis seen shorter than this is not labelled.
const SHORTEST_AXIS: f32 = 60.0;

/// An edge of the box with its scale.
struct Edge {
    from: DVec3,
    to: DVec3,
    range: (f64, f64),
    /// Below this share of its length no number is written.
    least: f64,
    /// Room for one number, points.
    room: f32,
}

impl Edge {
    fn at(&self, value: f64) -> DVec3 {
        self.from.lerp(self.to, (value - self.range.0) / (self.range.1 - self.range.0))
    }

    fn seen(&self, projector: &Projector) -> (Point, Point) {
        (projector.project(self.from), projector.project(self.to))
    }

    fn length(&self, projector: &Projector) -> f32 {
        let (from, to) = self.seen(projector);
        from.distance(to)
    }

    fn ticks(&self, projector: &Projector) -> Ticks {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
        let most = ((self.length(projector) / self.room) as usize).clamp(1, 8);
        Ticks::within(self.range.0, self.range.1, most)
    }
}

impl Relief {
    fn speed_edge(&self, y: f64) -> Edge {
        Edge {
            from: DVec3::new(0.0, y, 0.0),
            to: DVec3::new(1.0, y, 0.0),
            range: self.model.speed,
            least: 0.0,
            room: SPEED_ROOM,
        }
    }

    fn load_edge(&self, x: f64) -> Edge {
        Edge {
            from: DVec3::new(x, 0.0, 0.0),
            to: DVec3::new(x, 1.0, 0.0),
            range: self.model.load,
            least: 0.0,
            room: LOAD_ROOM,
        }
    }

    fn value_edge(&self, x: f64, y: f64) -> Edge {
        let top = DVec3::new(x, y, self.model.height());
        Edge { from: DVec3::new(x, y, 0.0), to: top, range: self.model.value, least: 0.05, room: VALUE_ROOM }
    }

    /// Lines at the round numbers of both axes, and the outline.
    pub(super) fn draw_floor(&self, projector: &Projector, scene: &mut Scene) {
        let color = self.look.palette().floor;
        let mut line = |a: DVec3, b: DVec3| {
            scene.line(projector.project(a), projector.project(b), FLOOR_WIDTH, color);
        };
        let (near, far) = (self.speed_edge(0.0), self.speed_edge(1.0));
        for &speed in near.ticks(projector).values.iter().chain([&self.model.speed.0, &self.model.speed.1]) {
            line(near.at(speed), far.at(speed));
        }
        let (left, right) = (self.load_edge(0.0), self.load_edge(1.0));
        for &load in left.ticks(projector).values.iter().chain([&self.model.load.0, &self.model.load.1]) {
            line(left.at(load), right.at(load));
        }
    }

    /// Numbers and names on the edges that lie lowest on the screen; nothing of the surface lies beyond them. Values
    /// stand at the vertical edge at the end of the speed axis, unless seen from steeply above or below. Where two axes
    /// meet their numbers make room for each other.
    pub(super) fn label_axes(&self, projector: &Projector, scene: &mut Scene) {
        let middle = projector.project(self.model.center().with_z(0.0));
        let low = |edge: &Edge| {
            let (a, b) = edge.seen(projector);
            a.y + b.y
        };
        let nearness = |edge: &Edge| projector.toward_eye(self.model.center()).dot(edge.from + edge.to);
        let lower = |a: Edge, b: Edge| {
            let further_down = low(&b) - low(&a);
            // Seen level both lie on one line; the nearer one ends where the box does.
            let takes_b =
                if further_down.abs() > 1.0 { further_down > 0.0 } else { nearness(&b) > nearness(&a) + 1e-9 };
            if takes_b { b } else { a }
        };
        let speed = lower(self.speed_edge(0.0), self.speed_edge(1.0));
        let load = lower(self.load_edge(0.0), self.load_edge(1.0));
        let load_name = if self.load_unit.is_none() { "load".to_owned() } else { format!("load {}", self.load_unit) };
        let (mut room, color) = (LabelRoom::default(), self.look.palette().ink_secondary);
        for (edge, name) in [(&speed, "speed rpm"), (&load, load_name.as_str())] {
            label_edge(edge, middle, name, projector, color, &mut room, scene);
        }
        if projector.downward().abs() < 0.87 {
            self.label_values(&speed, &load, projector, &mut room, scene);
        }
    }

    fn label_values(&self, speed: &Edge, load: &Edge, projector: &Projector, room: &mut LabelRoom, scene: &mut Scene) {
        let palette = self.look.palette();
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let shared = |x: f64, y: f64| x == load.from.x && y == speed.from.y;
        let seen_x = |(x, y): (f64, f64)| projector.project(DVec3::new(x, y, 0.0)).x;
        let free = corners.into_iter().filter(|&(x, y)| !shared(x, y));
        let center = projector.project(self.model.center()).x;
        // Of the two outermost corners the one at the end of the speed axis; its other side is free of numbers.
        let outermost =
            |a: &(f64, f64), b: &(f64, f64)| (seen_x(*a) - center).abs().total_cmp(&(seen_x(*b) - center).abs());
        let on_speed = free.clone().filter(|corner| corner.1 == speed.from.y).max_by(outermost);
        let Some(corner) = on_speed.or_else(|| free.max_by(outermost)) else {
            return;
        };
        let edge = self.value_edge(corner.0, corner.1);
        let length = edge.length(projector);
        if length < SHORTEST_AXIS {
            return;
        }
        let (from, to) = edge.seen(projector);
        scene.line(from, to, FLOOR_WIDTH, palette.floor);
        let beside = Point::new(center, f32::midpoint(from.y, to.y));
        label_edge(&edge, beside, "°", projector, palette.ink_secondary, room, scene);
    }
}

/// Puts the numbers and the name of an edge on the side away from `inside`.
fn label_edge(
    edge: &Edge,
    inside: Point,
    name: &str,
    projector: &Projector,
    color: Color,
    room: &mut LabelRoom,
    scene: &mut Scene,
) {
    let (from, to) = edge.seen(projector);
    let length = from.distance(to);
    if length < SHORTEST_AXIS {
        return;
    }
    let normal = Point::new((from.y - to.y) / length, (to.x - from.x) / length);
    let middle = from.lerp(to, 0.5);
    let away = (middle.x - inside.x) * normal.x + (middle.y - inside.y) * normal.y;
    // Seen edge-on, the inside lies on the edge itself: outwards is then down, or left of an upright edge.
    let outward = if away.abs() > 0.5 {
        away.signum()
    } else if normal.y.abs() > 0.5 {
        normal.y.signum()
    } else {
        -normal.x.signum()
    };
    let outward = Point::new(normal.x * outward, normal.y * outward);
    let anchor = (0.5 - outward.x * 0.5, 0.5 - outward.y * 0.5);
    let beyond = |at: Point, distance: f32| Point::new(at.x + outward.x * distance, at.y + outward.y * distance);
    let mut label = |places: Vec<Point>, text: String, role: LabelRole| {
        let label = Label { at: middle, anchor, text, role, color, halo: Color::default() };
        scene.labels.extend(room.label(label, places));
    };
    let ticks = edge.ticks(projector);
    let least = edge.range.0 + (edge.range.1 - edge.range.0) * edge.least;
    for &value in ticks.values.iter().filter(|&&value| value >= least) {
        let unit = if name == "°" { name } else { "" };
        let at = projector.project(edge.at(value));
        let places = TICK_DISTANCES.map(|distance| beyond(at, distance)).to_vec();
        label(places, ticks.text(value) + unit, LabelRole::Tick);
    }
    if name != "°" {
        let along = |distance: f32| NAME_SHARES.map(|share| beyond(from.lerp(to, share), distance));
        // Beside an upright edge a name would take much room: it stands over its numbers.
        let top = if from.y < to.y { from } else { to };
        let over = (outward.x.abs() > UPRIGHT).then(|| Point::new(top.x, top.y - NAME_ABOVE));
        let places = over.into_iter().chain(NAME_DISTANCES.into_iter().flat_map(along)).collect();
        label(places, name.to_owned(), LabelRole::AxisName);
    }
}
