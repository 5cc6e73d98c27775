//! `--plan` of a run: what it says, that nothing is left, and that its memory is that of the run (of a
//! sweep too).

use super::*;

/// The first number after a word at the beginning of a line.
fn number(text: &str, word: &str) -> f64 {
    let line = text.lines().find(|l| l.starts_with(word)).unwrap_or_else(|| panic!("{text}"));
    let number = line[word.len()..].split_whitespace().find_map(|w| w.parse().ok());
    number.unwrap_or_else(|| panic!("{line}"))
}

#[test]
fn a_plan_of_a_run_says_what_it_would_take_and_writes_nothing() {
    let s = Starter::new();
    let planned = s.play("out", &["--campaigns", "300", "--plan"]);
    assert_eq!(code(&planned), 0, "{}", err(&planned));
    let said = out(&planned);
    for line in [
        "points          1\n",
        "campaigns       300, each with 2 architectures\n",
        "core-hours      ",
        "time            ",
        "The probe played 300 campaigns",
    ] {
        assert!(said.contains(line), "{line} in {said}");
    }
    assert_eq!(names(s.home.path()), ["base"]);
    assert!(!s.path("base/results").exists() && !s.path("base/out").exists());
    // The results are as large as was said.
    assert_eq!(code(&s.play("out", &["--campaigns", "300"])), 0);
    let files = names(&s.path("out"));
    let size = |n: &String| fs::metadata(s.path("out").join(n)).unwrap().len() as f64;
    let bytes: f64 = files.iter().map(size).sum();
    assert!((number(&said, "results") - bytes / 1e6).abs() < 0.06, "{bytes} and {said}");
    let sets = s.play("out", &["--outer", "20", "--inner", "4", "--drivers", "0", "--plan"]);
    assert!(out(&sets).contains("campaigns       80 (20 parameter sets of 4)"), "{}", out(&sets));
    assert_eq!(code(&s.play("out", &["--plan", "--shard", "0/2"])), 2);
}

/// The most memory that a command uses, MB: as the system tells while it goes on.
#[cfg(target_os = "linux")]
fn most_memory(s: &Starter, arguments: &[&str]) -> f64 {
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_vestibule"))
        .current_dir(s.home.path())
        .args(arguments)
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0.0_f64;
    while child.try_wait().unwrap().is_none() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        if let Some(line) = text.lines().find(|l| l.starts_with("VmHWM:")) {
            most = most.max(number(line, "VmHWM:") * 1024.0 / 1e6);
        }
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    assert!(child.wait().unwrap().success() && most > 0.0);
    most
}

/// The memory of a plan is at least four fifths of what the run or the sweep then uses, and at most
/// twice as much; with campaigns that the probe does not play, and with many sets.
#[cfg(target_os = "linux")]
#[test]
fn the_memory_of_a_plan_is_that_of_the_run() {
    let s = Starter::new();
    looped(&s);
    fs::write(
        s.path("base/sweep.toml"),
        "[sweep]\nbase = \"campaign.toml\"\ndesign = \"latin hypercube\"\npoints = 300\nseed = 5\n\
         campaigns = 10\nmeasures = [\"gas_lost_kg\", \"eva_lost_h\"]\n[factor.recovery]\nkey = \
         \"access.single-lock.pump.main.recovery\"\nrange = { low = 0.5, high = 0.9 }\n",
    )
    .unwrap();
    let run = ["run", "base/campaign.toml", "--drivers", "0", "--out", "out"];
    let sets = [&run[..], &["--outer", "4000", "--inner", "2"]].concat();
    let plain = ["run", "base/campaign.toml", "--campaigns", "400", "--out", "out"];
    let sweep = ["sweep", "base/sweep.toml", "--out", "swept"];
    for arguments in [&plain[..], &sets, &sweep] {
        let planned = s.run(&[arguments, &["--plan"]].concat());
        assert_eq!(code(&planned), 0, "{}", err(&planned));
        let (told, used) = (number(&out(&planned), "memory"), most_memory(&s, arguments));
        println!("{arguments:?}: {told} MB planned, {used} MB used");
        assert!(told > 0.8 * used && told < 2.0 * used, "{arguments:?}: {told} for {used} MB");
    }
}
