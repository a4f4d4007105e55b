//! Every tool by its name on the command line: the same as the tool itself.

use serde_json::json;
use sparkloft::shaping::{Along, Extension, Keep, Side, Tool, Way};
use sparkloft::table::{Axis, Cell, Selection};

use super::bench::{Bench, SAMPLE};

pub(super) type Ends = Option<(f64, f64)>;

/// Uses the tool itself and the job; both must come to the same.
pub(super) fn same(bench: &Bench, (speed, load): (Ends, Ends), words: &str, tool: &Tool) {
    let project = bench.project(SAMPLE);
    let selection = Selection::ranges(project.advance.table(), speed, load).unwrap();
    let shaped = tool.apply(&project.advance, &selection).unwrap();
    let mut job = format!("shape {SAMPLE} -o out.ron --json");
    for (name, ends) in [("speed", speed), ("load", load)] {
        job += &ends.map_or_else(String::new, |(low, high)| format!(" --{name} {low}..{high}"));
    }
    let done = bench.json(&format!("{job} {words}"));
    assert_eq!(bench.project("out.ron").advance, shaped.advance, "{words}");
    assert_eq!(done["label"], tool.label(&shaped));
    let counts = (done["selected"].clone(), done["changed"].clone(), done["held"].clone());
    assert_eq!(counts, (shaped.selected.into(), shaped.changed.into(), shaped.held.into()), "{words}");
}

#[test]
fn amounts_may_be_negative() {
    let bench = Bench::new();
    let low = (None, Some((-5.0, 10.0)));
    same(&bench, low, "set -1.5", &Tool::Set { deg: -1.5 });
    same(&bench, low, "add -.5", &Tool::Add { deg: -0.5 });
    same(&bench, low, "add 1e0", &Tool::Add { deg: 1.0 });
    same(&bench, low, "scale -10", &Tool::Scale { percent: -10.0 });
    same(&bench, low, "clamp -5 20", &Tool::Clamp { low_deg: -5.0, high_deg: 20.0 });
    same(&bench, low, "round 2", &Tool::Round { step_deg: 2.0 });
}

#[test]
fn surfaces_are_filled_smoothed_and_lifted() {
    let bench = Bench::new();
    let block = (Some((2000.0, 5300.0)), Some((10.0, 66.0)));
    same(&bench, block, "interpolate speed", &Tool::Interpolate(Way::Line(Along::Speed)));
    same(&bench, block, "interpolate load", &Tool::Interpolate(Way::Line(Along::Load)));
    same(&bench, block, "interpolate corners", &Tool::Interpolate(Way::Corners));
    same(&bench, block, "interpolate edges", &Tool::Interpolate(Way::Edges));
    same(&bench, (None, None), "smooth 2", &Tool::Smooth { strength: 2.0, most_deg: 150.0 });
    same(&bench, (None, None), "smooth 2 --within 0.5", &Tool::Smooth { strength: 2.0, most_deg: 0.5 });
    // Nearest to 3250 rpm, 50 % are the breakpoints 3200 rpm, 48 %.
    let tool = Tool::Lift { centre: Cell::new(10, 8), amount_deg: -1.5, radius_cells: 3.0, step_deg: None };
    same(&bench, (None, None), "lift 3250 50 -1.5 3", &tool);
    // 56 % is row 11; 2400 to 4200 rpm are columns 6 to 10, the last pass counts.
    let (row, column) = ((None, Some((56.0, 56.0))), (Some((3200.0, 3200.0)), None));
    let mut degs = vec![None; 16];
    (6..11).zip([20.0, 22.0, 24.0, 30.0, 31.0]).for_each(|(index, deg)| degs[index] = Some(deg));
    let tool = Tool::Draw { along: Along::Speed, line: 11, degs };
    same(&bench, row, "draw --at 2400,3200,4200,3700 --deg 20,24,31,30", &tool);
    let degs = (0..16).map(|index| (index < 2).then_some(-1.5)).collect();
    same(&bench, column, "draw --at 0,3 --deg -1.5,-1.5", &Tool::Draw { along: Along::Load, line: 8, degs });
    same(&bench, block, "hold", &Tool::Hold { measured: false });
    same(&bench, block, "hold --measured", &Tool::Hold { measured: true });
    same(&bench, (None, None), "release", &Tool::Release);
    let tool = Tool::LimitSlope { per_1000rpm: 12.0, per_load_unit: 0.8 };
    same(&bench, block, "limit-slope 12 0.8", &tool);
}

#[test]
fn lines_are_repeated_and_extended_from_the_usual_side_or_another() {
    let bench = Bench::new();
    let (row, column) = ((None, Some((88.0, 100.0))), (Some((800.0, 800.0)), None));
    let repeat = |from, offset_deg| Tool::Repeat { from, offset_deg };
    same(&bench, row, "repeat --offset -1.5", &repeat(Side::LowLoad, -1.5));
    same(&bench, column, "repeat", &repeat(Side::LowSpeed, 0.0));
    same(&bench, column, "repeat --from high-speed --offset 1", &repeat(Side::HighSpeed, 1.0));
    same(&bench, column, "repeat --from right --offset 1", &repeat(Side::HighSpeed, 1.0));
    let extend = |to, how| Tool::Extend { to, how };
    same(&bench, row, "extend", &extend(Side::HighLoad, Extension::Linear));
    let corner = (Some((7000.0, 9000.0)), Some((88.0, 100.0)));
    same(&bench, corner, "extend --to high-speed --how flat", &extend(Side::HighSpeed, Extension::Flat));
    assert!(
        bench.failed(&format!("shape {SAMPLE} -o x.ron --speed 7000..9000 --load 88..100 extend")).contains("--to")
    );
    assert!(bench.failed(&format!("shape {SAMPLE} -o x.ron --speed 2000..3000 extend")).contains("reaches no edge"));
}

#[test]
fn new_breakpoints_keep_the_surface_or_the_numbers() {
    let bench = Bench::new();
    let speed = || Axis::new(vec![500.0, 1000.0, 2000.0, 4000.0, 8000.0]).unwrap();
    let load = || bench.project(SAMPLE).advance.table().load().clone();
    let tool = Tool::Axes { speed: speed(), load: load(), keep: Keep::Surface };
    same(&bench, (None, None), "axes --new-speed 500,1000,2000,4000,8000", &tool);
    let all = bench.json(&format!(
        "shape {SAMPLE} -o more.ron axes --keep surface --json --new-speed 500,650,800,1000,1300,1600,2000,2400,2800,3200,3700,4200,4800,5300,6400,7500,8000"
    ));
    assert_eq!((&all["largest_change_deg"], &all["changed"]), (&json!(0), &json!(16)));
    let fewer = bench.json(&format!("shape {SAMPLE} -o f.ron axes --new-load 0,100 --keep surface --json"));
    let largest = fewer["largest_change_deg"].as_f64().unwrap();
    assert!(largest > 1.0 && fewer["largest_change"]["deg"].as_f64().unwrap().abs() == largest, "{fewer}");
    let text = bench.done(&format!("shape {SAMPLE} -o f.ron axes --new-load 0,100 --keep surface"));
    assert!(text.contains("largest change anywhere"), "{text}");
    bench.done("shape f.ron -o f.ron axes --new-load 5,95 --keep numbers");
    assert_eq!(bench.project("f.ron").advance.table().load().breakpoints(), [5.0, 95.0]);
    assert!(bench.failed("shape f.ron -o f.ron axes --new-load 5,50,95 --keep numbers").contains("cannot keep"));
    assert!(bench.failed("shape f.ron -o f.ron --speed 1..2 axes --new-load 5,95").contains("leave --speed"));
    assert!(bench.failed("shape f.ron -o f.ron axes --new-load -5,95").contains("outside 0..100 %"));
}

#[test]
fn options_stand_before_or_after_the_tool() {
    let bench = Bench::new();
    bench.done(&format!("shape {SAMPLE} -o a.ron --speed 2000..3000 --load 10..30 add -1"));
    bench.done(&format!("shape {SAMPLE} add -1 --load 10..30 --speed=2000..3000 -o b.ron"));
    bench.done(&format!("shape --load 10..30 --output=c.ron {SAMPLE} add --speed 2000..3000 -1"));
    assert!(bench.text("a.ron") == bench.text("b.ron") && bench.text("b.ron") == bench.text("c.ron"));
    assert_ne!(bench.text("a.ron"), bench.text(SAMPLE));
}

#[test]
fn the_text_tells_how_many_cells_changed() {
    let bench = Bench::new();
    let text = bench.done(&format!("shape {SAMPLE} -o out.ron --load 0..3 add 1"));
    assert_eq!(text, "Raise 28 cells by 1.0°\n28 of 32 cells changed, 4 held cells left alone\nwrote out.ron\n");
}

#[test]
fn what_cannot_be_is_refused_with_the_range() {
    let bench = Bench::new();
    let failed = |words: &str| bench.failed(&format!("shape {SAMPLE} -o x.ron {words}"));
    assert!(failed("--speed 5..1 add 1").contains("backwards"));
    assert!(failed("--speed 510..520 add 1").contains("the axis runs 500..8000"));
    assert!(failed("--load 5 add 1").contains("LOWEST..HIGHEST"));
    assert!(failed("add 100").contains("outside −60..90°"));
    assert!(failed("add inf").contains("not a number"));
    assert!(failed("smooth 11").contains("0..10"));
    assert!(failed("lift 9000 50 1 2").contains("500..8000"));
    assert!(failed("--load 0..100 repeat").contains("lowest load"));
    assert!(failed("--load 56..56 draw --at 500,900 --deg 1").contains("as many degrees as places"));
    assert!(failed("draw --at 500,900 --deg 1,2").contains("select one row by --load or one column by --speed"));
    assert!(failed("--load 56..56 draw --at 400,900 --deg 1,2").contains("400 lies outside the table's 500..8000"));
    assert!(bench.failed(&format!("shape {SAMPLE} add 1")).contains("-o OUT is missing"));
}

#[test]
fn image_items_that_keep_their_size_are_told() {
    let bench = Bench::new();
    let tight = bench.project("wren-four.ron").edit(|parts| {
        // One item ends where the next begins.
        let mut address = parts.image.start;
        parts.image.checksum.kind = sparkloft::project::ChecksumKind::None;
        for at in 0..parts.image.items.len() {
            parts.image.items[at].address = address;
            let size = parts.content_size(&parts.image.items[at]);
            address += u32::try_from(size.speeds * size.loads).unwrap() * parts.image.items[at].cell.size();
        }
    });
    bench.put("tight.ron", &sparkloft::project::write(&tight.unwrap()).unwrap());
    let run = bench.say("shape tight.ron -o out.ron axes --new-load 0,5,10,18,30,50,75,90,100");
    assert_eq!(run.code, Some(0), "{}", run.err);
    assert!(run.err.contains("the image has no room for the larger table"), "{}", run.err);
    assert!(run.err.contains("keep 8 × 8"), "{}", run.err);
    assert_eq!(bench.say("shape tight.ron -o out.ron add 1").err, "");
    // A size that was asked for is none that had to be kept.
    let run = bench.say("set wren-four.ron -o out.ron image.items[2].speeds=8 image.items[2].loads=8");
    assert_eq!((run.code, run.err.as_str()), (Some(0), ""));
}
