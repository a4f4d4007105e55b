//! Our side of every figure in the README: prints one JSON object of seconds per job. `benches/run.py` runs it beside the
//! peers in the same minute and prints the ratios.
//!
//! Each job is run several times; the median counts. `--quick` runs each once on less data, to see that it works.
//! `--problems DIR` also writes the problems of fairing there, for the peers.

#![expect(clippy::expect_used, clippy::panic, reason = "a bench stops where its inputs are wrong")]

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use sparkloft::combustion::{Belief, Description, Load, SecondOpinion};
use sparkloft::project::{Advance, LoadKind, NewProject, Origin, SAMPLES};
use sparkloft::rig::{Rig, Row, Run, Settings};
use sparkloft::shaping::{Smoother, smooth};
use sparkloft::table::{Axis, Cell, Lookup, Selection, Table};

#[path = "figures/fairing.rs"]
mod fairing;
#[path = "figures/frame.rs"]
#[cfg(feature = "window")]
mod frame;
#[path = "figures/problem.rs"]
mod problem;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let quick = arguments.iter().any(|argument| argument == "--quick");
    let problems = arguments.iter().skip_while(|argument| *argument != "--problems").nth(1).map(Path::new);
    let mut figures = Figures::default();
    lookup(quick, &mut figures);
    smoothing(quick, &mut figures);
    fairing::measure(quick, problems, &mut figures);
    second_opinion(quick, &mut figures);
    rig(quick, &mut figures);
    rig_with_everything(quick, &mut figures);
    #[cfg(feature = "window")]
    frame::measure(quick, &mut figures);
    let lines: Vec<String> = figures.0.iter().map(|(name, seconds)| format!("  \"{name}\": {seconds:e}")).collect();
    println!("{{\n{}\n}}", lines.join(",\n"));
}

/// Jobs' names and their times in seconds.
#[derive(Default)]
struct Figures(Vec<(String, f64)>);

impl Figures {
    fn push(&mut self, (name, seconds): (impl Into<String>, f64)) {
        self.0.push((name.into(), seconds));
    }
}

/// What a job took, in seconds.
#[derive(Clone, Copy)]
struct Timed {
    /// The median from beginning to end.
    wall_s: f64,
    /// The mean of the processor's time, where the system tells it.
    cpu_s: Option<f64>,
}

/// The median time of a job over so many runs, in seconds.
fn median(runs: usize, mut job: impl FnMut()) -> f64 {
    job();
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            job();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

/// The times of jobs that take turns, so that whatever else the machine does disturbs all of them alike.
fn side_by_side<const COUNT: usize>(runs: usize, mut jobs: [&mut dyn FnMut(); COUNT]) -> [Timed; COUNT] {
    jobs.iter_mut().for_each(|job| job());
    let mut walls = [const { Vec::new() }; COUNT];
    let mut cpu_s = [Some(0.0); COUNT];
    for _ in 0..runs {
        for (at, job) in jobs.iter_mut().enumerate() {
            let (start, cpu) = (Instant::now(), thread_s());
            job();
            walls[at].push(start.elapsed().as_secs_f64());
            let took = thread_s().zip(cpu).map(|(now, then)| now - then);
            cpu_s[at] = cpu_s[at].zip(took).map(|(sum, took)| sum + took / runs as f64);
        }
    }
    std::array::from_fn(|at| {
        walls[at].sort_by(f64::total_cmp);
        Timed { wall_s: walls[at][runs / 2], cpu_s: cpu_s[at] }
    })
}

/// The processor's time of this thread so far, as Linux tells it: it is brought up to date a few hundred times a second.
fn thread_s() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(1e-9 * told.split(' ').next()?.parse::<f64>().ok()?)
}

/// A bumpy but believable table.
fn table(size: u32) -> Advance {
    let axis = |low: f64, high: f64| {
        let at = |i: u32| low + (high - low) * (f64::from(i) / f64::from(size - 1)).powf(1.2);
        Axis::new((0..size).map(at).collect()).expect("an axis")
    };
    let deg =
        |x: f64, y: f64| 10.0 + 25.0 * (x / 8000.0).sqrt() - 0.1 * y + 2.0 * ((x / 300.0).sin() * (y / 7.0).cos());
    Advance::uniform(Table::from_fn(axis(500.0, 8000.0), axis(0.0, 100.0), deg).expect("a table"), Origin::Starter)
        .expect("in range")
}

/// Bilinear lookup of ten million points on 16 × 16, on one thread and on two.
fn lookup(quick: bool, figures: &mut Figures) {
    let count = if quick { 100_000 } else { 10_000_000 };
    let advance = table(16);
    let mut state = 88_172_645_463_325_252_u64;
    let mut random = |low: f64, high: f64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        low + (high - low) * ((state >> 11) as f64 / (1_u64 << 53) as f64)
    };
    let speed: Vec<f64> = (0..count).map(|_| random(500.0, 8000.0)).collect();
    let load: Vec<f64> = (0..count).map(|_| random(0.0, 100.0)).collect();
    let mut out = vec![0.0; count];
    let prepared = Lookup::new(advance.table());
    let runs = if quick { 1 } else { 5 };
    figures.push(("lookup_1_thread", median(runs, || prepared.fill(&speed, &load, black_box(&mut out)))));
    let half = count / 2;
    let two = median(runs, || {
        let (first, second) = out.split_at_mut(half);
        std::thread::scope(|scope| {
            scope.spawn(|| prepared.fill(&speed[..half], &load[..half], black_box(first)));
            prepared.fill(&speed[half..], &load[half..], black_box(second));
        });
    });
    figures.push(("lookup_2_threads", two));
}

/// Smoothing 64 × 64 at strength 2: nothing fixed, the same prepared for a live preview, and one cell in ten held.
fn smoothing(quick: bool, figures: &mut Figures) {
    let runs = if quick { 1 } else { 21 };
    // As in a window that has been open for a while: once a larger block was freed, the C library keeps small ones mapped.
    // In a fresh process a third of the time would be the system's, mapping the same pages again and again.
    drop(black_box(vec![0_u8; 16 << 20]));
    let advance = table(64);
    let all = Selection::all(advance.table());
    figures.push(("smooth_free", median(runs, || drop(black_box(smooth(&advance, &all, 2.0))))));
    let prepared = Smoother::new(&advance, &all).expect("a selection");
    figures.push(("smooth_free_prepared", median(runs, || drop(black_box(prepared.smooth(2.0))))));
    let mut some = Selection::none(64, 64);
    some.extend(
        advance.table().cells().filter(|cell: &Cell| ((cell.load * 64 + cell.speed) * 7919).is_multiple_of(10)),
    );
    let held = advance.with_held(&some, true);
    figures.push(("smooth_tenth_held", median(runs, || drop(black_box(smooth(&held, &all, 2.0))))));
}

/// The second opinion on 16 × 16 cells, with sweeps and bands, on one thread and on two.
fn second_opinion(quick: bool, figures: &mut Figures) {
    let opinion = SecondOpinion::new(Description::default(), Belief::untested());
    let rows = |from: u32, to: u32| {
        for load in from..to {
            for speed in 0..16 {
                let pressure = Load::PressureKpa(f64::from(36 + 4 * load));
                drop(black_box(opinion.at(f64::from(1200 + 320 * speed), pressure, 25.0)));
            }
        }
    };
    let runs = if quick { 1 } else { 7 };
    figures.push(("opinion_1_thread", median(runs, || rows(0, 16))));
    let two = median(runs, || {
        std::thread::scope(|scope| {
            scope.spawn(|| rows(0, 8));
            rows(8, 16);
        });
    });
    figures.push(("opinion_2_threads", two));
}

/// A run to 8000 rpm with 36−1 summed up: ten minutes of it are 2.8 million edges.
fn rig(quick: bool, figures: &mut Figures) {
    let new = NewProject { name: "bench".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 };
    let project = new.create().expect("a project");
    let project = project.edit(|parts| parts.limits.over_speed.enabled = false).expect("a project without a limit");
    let row = |time_s, speed_rpm| Row {
        time_s,
        speed_rpm,
        load: 60.0,
        coolant_c: Some(85.0),
        air_c: Some(20.0),
        battery_v: 14.0,
        throttle_pct: None,
        launch: false,
    };
    let end_s = if quick { 6.0 } else { 600.0 };
    let run = Run::new(vec![row(0.0, 900.0), row(2.0, 8000.0), row(end_s, 8000.0)]).expect("a run");
    let rig = Rig::new(&project, Settings::default()).expect("a rig");
    figures.push(("rig_run", median(if quick { 1 } else { 5 }, || drop(black_box(rig.run(&run, &mut ()))))));
}

/// A run of 300 rows through idle, launch, limits and outputs of the first sample, with every column: 60−2 gives
/// 2.5 million edges in ten minutes. `benches/peers/peers.py` computes the same rows.
fn rig_with_everything(quick: bool, figures: &mut Figures) {
    let project = SAMPLES[0].project().expect("a sample");
    let rows = if quick { 4 } else { 300 };
    let row = |index: u32| {
        let (step, share) = (f64::from(index), |factor: u32| f64::from(index * factor % 101) / 100.0);
        Row {
            time_s: 2.0 * step,
            speed_rpm: 900.0 + 6900.0 * share(37),
            load: 100.0 * share(53),
            coolant_c: Some(-10.0 + 0.4 * step),
            air_c: Some(60.0 * share(17)),
            battery_v: 11.0 + 3.5 * share(29),
            throttle_pct: Some(100.0 * share(53)),
            launch: index % 10 < 3,
        }
    };
    let run = Run::new((0..rows).map(row).collect()).expect("a run");
    let rig = Rig::new(&project, Settings::default()).expect("a rig");
    figures.push(("rig_everything", median(if quick { 1 } else { 5 }, || drop(black_box(rig.run(&run, &mut ()))))));
}
