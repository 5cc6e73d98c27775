//! How far a long command is: a line that is painted over on a terminal, a line a minute in a job log.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Between two lines of a job log.
const LINE_EVERY: Duration = Duration::from_secs(60);
/// Between two looks.
const LOOK_EVERY: Duration = Duration::from_millis(100);

/// How far a sweep is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Far {
    /// points done
    pub points: u64,
    /// of so many
    pub of_points: u64,
    /// campaigns played
    pub campaigns: u64,
    /// of so many
    pub of_campaigns: u64,
}

/// Runs `work` while somebody says on standard error how far it is: on a terminal ten times a second,
/// otherwise once a minute.
pub fn watched<T: Send>(far: impl Fn() -> Far + Sync, work: impl FnOnce() -> T + Send) -> T {
    let started = Instant::now();
    let over = AtomicBool::new(false);
    let terminal = std::io::stderr().is_terminal();
    let target = match terminal {
        true => ProgressDrawTarget::stderr(),
        false => ProgressDrawTarget::hidden(),
    };
    let bar = ProgressBar::with_draw_target(Some(far().of_campaigns), target);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {msg}") {
        bar.set_style(style);
    }
    std::thread::scope(|s| {
        let painter = s.spawn(|| {
            let mut next = LINE_EVERY;
            while !over.load(Ordering::Relaxed) {
                std::thread::park_timeout(LOOK_EVERY);
                let (now, spent) = (far(), started.elapsed());
                bar.set_position(now.campaigns);
                bar.set_message(line(now, spent));
                if !terminal && spent >= next {
                    eprintln!("{}", line(now, spent));
                    next += LINE_EVERY;
                }
            }
        });
        // A panic in `work` must not leave the painter waiting for ever.
        let guard = Over { over: &over, painter: painter.thread().clone() };
        let done = work();
        drop(guard);
        bar.finish_and_clear();
        done
    })
}

/// Ends a painter when it is dropped.
pub(super) struct Over<'a> {
    /// what the painter looks at
    pub over: &'a AtomicBool,
    /// the painter, to be woken
    pub painter: std::thread::Thread,
}

impl Drop for Over<'_> {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
        self.painter.unpark();
    }
}

/// Points and campaigns done, rate, time left.
fn line(far: Far, spent: Duration) -> String {
    let rate = far.campaigns as f64 / spent.as_secs_f64().max(1e-9);
    let left = far.of_campaigns.saturating_sub(far.campaigns) as f64;
    let to_go = match far.campaigns {
        0 => "time left not known yet".to_string(),
        _ => format!("{} to go", span(left / rate)),
    };
    format!(
        "{} of {} points, {} of {} campaigns, {rate:.0} a second, {to_go}",
        far.points, far.of_points, far.campaigns, far.of_campaigns
    )
}

/// A time in words: seconds, minutes, hours.
pub fn span(seconds: f64) -> String {
    match seconds {
        s if s < 90.0 => format!("{s:.0} s"),
        s if s < 5400.0 => format!("{:.0} min", s / 60.0),
        s => format!("{:.1} h", s / 3600.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_points_campaigns_rate_and_time_left() {
        let far = Far { points: 3, of_points: 10, campaigns: 3000, of_campaigns: 10_000 };
        assert_eq!(
            line(far, Duration::from_secs(60)),
            "3 of 10 points, 3000 of 10000 campaigns, 50 a second, 2 min to go"
        );
        let none = line(Far { campaigns: 0, points: 0, ..far }, Duration::from_secs(1));
        assert!(none.ends_with("time left not known yet"), "{none}");
        assert_eq!([span(12.3), span(600.0), span(7200.0)], ["12 s", "10 min", "2.0 h"]);
    }
}
