//! The shell.

/// Runs the program.
pub fn main() -> std::process::ExitCode {
    let path = std::env::args().nth(2).unwrap_or_default();
    let reading = crate::scenario::read(std::path::Path::new(&path));
    for f in &reading.findings {
        eprintln!("{}", f.show(&reading.sources));
    }
    if let Some(s) = reading.scenario {
        let (ok, findings) = crate::check::check(s);
        for f in &findings {
            eprintln!("{}", f.show(&reading.sources));
        }
        eprintln!(
            "{} findings, {}",
            findings.len(),
            if ok.is_some() { "ok" } else { "errors" }
        );
    }
    std::process::ExitCode::SUCCESS
}
