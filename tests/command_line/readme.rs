//! The README's commands, as they stand.

use super::bench::Bench;

const README: &str = include_str!("../../README.md");

/// The lines of the block that begins by writing the samples, without their remarks.
fn commands() -> impl Iterator<Item = (&'static str, &'static str)> {
    let lines =
        README.lines().skip_while(|line| !line.starts_with("sparkloft samples")).take_while(|line| *line != "```");
    lines.map(|line| line.split_once('#').unwrap_or((line, "")))
}

/// The files that the README leaves to the reader.
fn with_files_of_yours() -> Bench {
    let bench = Bench::new();
    bench.put("log.csv", "speed_rpm,load\n900,20\n3200,60\n");
    bench.put("drive.csv", "time_s,speed_rpm,load\n0,900,20\n2,4000,80\n");
    bench
        .put("light.csv", "commanded_deg,observed_deg,speed_rpm\n10,12,1000\n10,12,2000\n10,11.5,3000\n10,11.5,4000\n");
    bench.put("day.csv", include_str!("../../sample-projects/dyno-day.csv"));
    bench.put("both.csv", &super::first_tables::log());
    bench.put("old.ron", super::first_tables::DISTRIBUTOR);
    bench
}

#[test]
fn every_command_does_what_the_readme_says() {
    let bench = with_files_of_yours();
    let mut count = 0;
    for (line, remark) in commands() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let run = bench.run(&words[1..]);
        let may_say_no = remark.contains("exit 1");
        assert!(run.code == Some(0) || may_say_no && run.code == Some(1), "{line}: {:?} {}", run.code, run.err);
        if let Some(at) = words.iter().position(|word| *word == "-o").filter(|_| run.code == Some(0)) {
            assert!(bench.path(words[at + 1]).exists(), "{line}");
        }
        count += 1;
    }
    assert!(count > 20, "{count}");
    assert!(bench.names().contains(&"six.a2l".to_owned()));
}
