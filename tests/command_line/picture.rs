//! `picture`.

use super::bench::{Bench, SAMPLE};

#[test]
fn every_view_is_written_and_is_the_same_each_time() {
    let bench = Bench::new();
    for view in ["surface", "plan", "slice", "delta", "wheel", "firing"] {
        let job = format!("picture {SAMPLE} --view {view} --scale 0.5 -o");
        for file in ["a.svg", "a.png", "b.svg", "b.png"] {
            assert!(bench.done(&format!("{job} {file}")).starts_with(&format!("wrote {file}: 720 × ")), "{view}");
        }
        assert_eq!(bench.text("a.svg"), bench.text("b.svg"), "{view}");
        assert_eq!(bench.bytes("a.png"), bench.bytes("b.png"), "{view}");
        assert!(bench.text("a.svg").starts_with("<svg ") && bench.text("a.svg").ends_with("</svg>\n"));
        let size = image::load_from_memory(&bench.bytes("a.png")).unwrap();
        assert_eq!(size.width(), 360, "{view}");
    }
}

#[test]
fn looks_cameras_and_sizes_differ() {
    let bench = Bench::new();
    let mut seen = Vec::new();
    for options in
        ["", " --look dark", " --look sunlight", " --camera front", " --camera plan", " --size 500x400", " --base SNAP"]
    {
        let words: Vec<String> = format!("picture {SAMPLE} --view surface -o a.svg{options}")
            .split(' ')
            .map(|word| if word == "SNAP" { "start of season".into() } else { word.into() })
            .collect();
        let run = bench.run(&words);
        assert_eq!(run.code, Some(0), "{options}: {}", run.err);
        let text = bench.text("a.svg");
        assert!(!seen.contains(&text), "{options}");
        seen.push(text);
    }
}

#[test]
fn layers_tint_surface_and_plan_over_the_range_asked_for() {
    let bench = Bench::new();
    let mut seen = Vec::new();
    let jobs = [
        "plan",
        "plan --range 0..60",
        "plan --layer difference",
        "plan --layer difference --range -9..9",
        "plan --layer curvature",
        "plan --layer origin",
        "surface --layer curvature --range -1..1",
        "slice --range -10..60",
        "delta --range -9..9",
    ];
    for job in jobs {
        bench.done(&format!("picture {SAMPLE} -o a.svg --view {job}"));
        let text = bench.text("a.svg");
        assert!(!seen.contains(&text), "{job}");
        assert_eq!(text.contains("fixed range"), job.contains("--range"), "{job}");
        seen.push(text);
    }
}

#[test]
fn how_sure_cells_are_is_drawn_for_a_project_with_points_alone() {
    let bench = Bench::new();
    let sure = |project: &str| format!("picture {project} --view plan --layer how-sure -o sure.svg");
    let error = bench.failed(&sure(SAMPLE));
    assert!(error.contains("no measured point that is in use lies within the table's axes"), "{error}");
    bench.put("points.csv", "name,speed_rpm,load,advance_deg\nP1,3000,60,24\n");
    bench.done(&format!("points {SAMPLE} -o measured.ron --add points.csv"));
    bench.done(&sure("measured.ron"));
    let told = bench.text("sure.svg");
    assert!(told.contains("how sure the cells are of a fit: \u{b1} about nine times in ten"));
    bench.done(&format!("{} --range 0..4", sure("measured.ron")));
    assert!(bench.text("sure.svg").contains("fixed range"));
    let error = bench.failed(&format!("{} --range -4..4", sure("measured.ron")));
    assert!(error.contains("outside"), "{error}");
}

#[test]
fn a_slice_has_its_comb_if_asked() {
    let bench = Bench::new();
    bench.done(&format!("picture {SAMPLE} --view slice --load 40 -o plain.svg"));
    bench.done(&format!("picture {SAMPLE} --view slice --load 40 --comb -o comb.svg"));
    let told =
        |file: &str| bench.text(file).lines().find(|line| line.contains("<title>")).unwrap_or_default().to_owned();
    assert!(told("comb.svg").contains(" · comb: 10 points = "), "{}", told("comb.svg"));
    assert!(!told("plain.svg").contains("comb") && bench.text("comb.svg").len() > bench.text("plain.svg").len());
}

#[test]
fn json_tells_the_base() {
    let bench = Bench::new();
    let answer = bench.json(&format!("picture {SAMPLE} --view delta --json -o a.svg"));
    assert!(answer["base"].as_str().is_some_and(|name| !name.is_empty()));
    assert_eq!((answer["width_points"].as_f64(), answer["format"].as_str()), (Some(720.0), Some("svg")));
    let answer = bench.json(&format!("picture {SAMPLE} --view slice --base wren-four.ron --json -o a.svg"));
    assert_eq!(answer["base"], "wren-four");
}

#[test]
fn bad_wishes_are_refused_and_nothing_is_written() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle -o fresh.ron");
    let cases = [
        (format!("picture {SAMPLE} --view surface -o a.gif"), ".svg or .png"),
        ("picture fresh.ron --view delta -o a.svg".into(), "no base to compare with"),
        (format!("picture {SAMPLE} --view slice --load 41 -o a.svg"), "the nearest is 40 %"),
        (format!("picture {SAMPLE} --view slice --load 40 --speed 800 -o a.svg"), "cannot be used with"),
        (format!("picture {SAMPLE} --view plan --load 40 -o a.svg"), "--load belongs to slice"),
        (format!("picture {SAMPLE} --view firing --comb -o a.svg"), "--comb belongs to slice"),
        (format!("picture {SAMPLE} --view plan --advance 10 -o a.svg"), "--advance belongs to wheel and firing"),
        (format!("picture {SAMPLE} --view delta --base nobody -o a.svg"), "'start of season'"),
        (format!("picture {SAMPLE} --view delta --base larch-six.ron -o a.svg"), "cannot be compared"),
        (format!("picture {SAMPLE} --view slice --layer origin -o a.svg"), "--layer belongs to surface and plan"),
        (format!("picture {SAMPLE} --view plan --layer knock -o a.svg"), "possible values: advance, difference"),
        (format!("picture {SAMPLE} --view plan --layer origin --range 0..9 -o a.svg"), "no layer of origins"),
        (format!("picture {SAMPLE} --view delta --range 2..9 -o a.svg"), "leaves out zero"),
        (format!("picture {SAMPLE} --view plan --range 9..2 -o a.svg"), "no range"),
        (format!("picture {SAMPLE} --view plan --range 9 -o a.svg"), "FROM..TO"),
        ("picture fresh.ron --view plan --layer difference -o a.svg".into(), "no base to compare with"),
        (format!("picture {SAMPLE} --view surface --size 99x9 -o a.svg"), "WIDTHxHEIGHT"),
        (format!("picture {SAMPLE} --view surface --size 8000x8000 --scale 8 -o a.png"), "pixels"),
        (format!("picture {SAMPLE} --view wheel --size 120x120 -o a.svg"), "no room"),
        (format!("picture {SAMPLE} --view globe -o a.svg"), "possible values"),
    ];
    for (words, says) in cases {
        let error = bench.failed(&words);
        assert!(error.contains(says), "{words}: {error}");
    }
}

#[test]
fn a_name_without_letters_is_told() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o odd.ron name=漢"));
    let run = bench.say("picture odd.ron --view slice -o a.svg");
    assert_eq!(run.code, Some(0));
    assert!(run.err.contains("the typeface lacks '漢'"), "{}", run.err);
}
