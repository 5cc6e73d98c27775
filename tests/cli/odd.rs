//! Input that nobody means to give: every one is answered by a finding or an exit code, never by a
//! panic, and never by waiting.

use super::*;

/// Checks a campaign file that is the starter with one text replaced.
fn checked(starter: &Starter, from: &str, to: &str) -> Output {
    let text = fs::read_to_string(starter.path("base/campaign.toml")).unwrap();
    assert!(text.contains(from), "nothing to patch: {from}");
    fs::write(starter.path("base/odd.toml"), text.replacen(from, to, 1)).unwrap();
    vestibule(starter.home.path(), &["check", "base/odd.toml"])
}

#[test]
fn numbers_that_cannot_be_meant_are_refused() {
    let starter = Starter::new();
    for (from, to) in [
        ("volume = \"80 m3\"", "volume = \"1e308 m3\""),
        ("volume = \"80 m3\"", "volume = \"1e-320 m3\""),
    ] {
        let out = checked(&starter, from, to);
        assert_eq!(code(&out), 1, "{to}: {}", err(&out));
        assert!(err(&out).contains("error[out-of-range]"), "{to}: {}", err(&out));
    }
    // Once an hour is a warning's business; a thousand times a second is not a failure of a part.
    let storm = "[failure.storm]\non = \"suit\"\nwhen = \"per calendar hour\"\n\
                 law = { rate = \"1e9 /a\" }\neffect = \"suit unusable\"\n\n[failure.hurt]";
    let out = checked(&starter, "[failure.hurt]", storm);
    assert_eq!(code(&out), 1, "{}", err(&out));
    assert!(err(&out).contains("`storm` occurs 8e7 times in a campaign"), "{}", err(&out));
    let out = checked(&starter, "volume = \"80 m3\"", "volume = \"80 L\"");
    assert!(
        err(&out).contains("\"80 L\" = 0.08 m3, where 1 m3 to 2000 m3 is usual"),
        "{}",
        err(&out)
    );
}

#[cfg(unix)]
#[test]
fn a_device_is_not_read() {
    let starter = Starter::new();
    for command in ["check", "run"] {
        let out = vestibule(starter.home.path(), &[command, "/dev/zero"]);
        assert_eq!(code(&out), 4, "{}", err(&out));
        assert!(err(&out).contains("not a plain file"), "{}", err(&out));
    }
}

#[test]
fn a_file_of_megabytes_is_refused_before_it_is_read() {
    let starter = Starter::new();
    fs::write(starter.path("base/big.toml"), vec![b'#'; 9 << 20]).unwrap();
    let out = vestibule(starter.home.path(), &["check", "base/big.toml"]);
    assert_eq!(code(&out), 1, "{}", err(&out));
    assert!(err(&out).contains("at most 8 MB are read"), "{}", err(&out));
}

/// Thousands of faults are told in a time that grows with their number alone.
#[test]
fn thousands_of_elements_are_answered() {
    let starter = Starter::new();
    let text = fs::read_to_string(starter.path("base/campaign.toml")).unwrap();
    let element = |i: usize| format!("\n[element.e{i}]\nkind = \"habitat\"\n");
    let many: String = (0..4000).map(element).collect();
    fs::write(starter.path("base/many.toml"), text + &many).unwrap();
    let out = vestibule(starter.home.path(), &["check", "base/many.toml"]);
    assert_eq!(code(&out), 1);
    assert!(err(&out).contains("e3999"), "the last one is told too");
}

#[cfg(unix)]
#[test]
fn a_path_that_is_not_text_is_taken_as_it_is() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let starter = Starter::new();
    let odd = OsStr::from_bytes(b"r\xff");
    let mut run = Command::cargo_bin("vestibule").unwrap();
    run.current_dir(starter.home.path());
    run.args(["run", "base/campaign.toml", "--campaigns", "8", "--drivers", "0", "--out"]);
    let out = run.arg(odd).output().unwrap();
    assert_eq!(code(&out), 0, "{}", err(&out));
    assert!(starter.home.path().join(odd).join("summary.csv").is_file());
}
