//! How far a long command is: a line that is painted over on a terminal, a line a minute in a job log.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Between two lines of a job log.
const LINE_EVERY: Duration = Duration::from_secs(60);
/// Between two looks.
const LOOK_EVERY: Duration = Duration::from_millis(100);

/// How far a command is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Far {
    /// points done, of so many; `None` for a run, which has none
    pub points: Option<(u64, u64)>,
    /// campaigns played
    pub campaigns: u64,
    /// of so many
    pub of_campaigns: u64,
}

/// Runs `work` while somebody says on standard error how far it is: on a terminal ten times a second,
/// otherwise once a minute.
pub fn watched<T>(far: impl Fn() -> Far + Sync, work: impl FnOnce() -> T) -> T {
    let started = Instant::now();
    let spent = || started.elapsed();
    if !std::io::stderr().is_terminal() {
        return logged(LOOK_EVERY, spent, &far, std::io::stderr(), work);
    }
    let bar = bar(far().of_campaigns, "{bar:30} {msg}");
    let paint = || {
        let now = far();
        bar.set_position(now.campaigns);
        bar.set_message(line(now, spent()));
    };
    let done = while_it_works(LOOK_EVERY, paint, work);
    bar.finish_and_clear();
    done
}

/// Writes a line for every minute that `spent` says has gone by; looks so often. A log that takes no
/// lines is no reason to end the work.
fn logged<T>(
    look_every: Duration,
    spent: impl Fn() -> Duration + Send,
    far: &(impl Fn() -> Far + Sync),
    mut log: impl Write + Send,
    work: impl FnOnce() -> T,
) -> T {
    let mut next = LINE_EVERY;
    let look = move || {
        let spent = spent();
        if spent >= next {
            let _ = writeln!(log, "{}", line(far(), spent));
            next = spent + LINE_EVERY;
        }
    };
    while_it_works(look_every, look, work)
}

/// A bar on standard error.
pub(super) fn bar(total: u64, template: &str) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(total), ProgressDrawTarget::stderr());
    match ProgressStyle::with_template(template) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// Runs `work` while another thread looks, again and again.
pub(super) fn while_it_works<T>(
    every: Duration,
    mut look: impl FnMut() + Send,
    work: impl FnOnce() -> T,
) -> T {
    let over = AtomicBool::new(false);
    std::thread::scope(|s| {
        let painter = s.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                std::thread::park_timeout(every);
                look();
            }
        });
        // A panic in `work` must not leave the painter waiting for ever.
        let guard = Over { over: &over, painter: painter.thread().clone() };
        let done = work();
        drop(guard);
        done
    })
}

/// Ends a painter when it is dropped.
struct Over<'a> {
    over: &'a AtomicBool,
    painter: std::thread::Thread,
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
    let points =
        far.points.map_or(String::new(), |(done, all)| format!("{done} of {all} points, "));
    format!(
        "{points}{} of {} campaigns, {rate:.0} a second, {to_go}",
        far.campaigns, far.of_campaigns
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
    use std::sync::mpsc;

    const FAR: Far = Far { points: Some((3, 10)), campaigns: 3000, of_campaigns: 10_000 };

    #[test]
    fn a_line_says_points_campaigns_rate_and_time_left() {
        let minute = Duration::from_secs(60);
        let said = "3 of 10 points, 3000 of 10000 campaigns, 50 a second, 2 min to go";
        assert_eq!(line(FAR, minute), said);
        let run = line(Far { points: None, ..FAR }, minute);
        assert_eq!(run, "3000 of 10000 campaigns, 50 a second, 2 min to go");
        let none = line(Far { campaigns: 0, ..FAR }, Duration::from_secs(1));
        assert!(none.ends_with("time left not known yet"), "{none}");
        assert_eq!([span(12.3), span(600.0), span(7200.0)], ["12 s", "10 min", "2.0 h"]);
    }

    /// A log that also tells the worker of each line.
    struct Log<'a>(&'a mut Vec<u8>, mpsc::Sender<()>);

    impl Write for Log<'_> {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.extend_from_slice(bytes);
            if bytes.ends_with(b"\n") {
                let _ = self.1.send(());
            }
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    /// By a clock that goes on 25 s at every look: a line at the first look after each minute, while the
    /// work goes on, which waits for three of them.
    #[test]
    fn a_job_log_has_a_line_a_minute() {
        let (mut text, looks) = (Vec::new(), std::sync::atomic::AtomicU64::new(0));
        let clock = || Duration::from_secs(25 * (1 + looks.fetch_add(1, Ordering::Relaxed)));
        let far = || FAR;
        let (tell, told) = mpsc::channel();
        let work = move || (0..3).map(|_| told.recv().is_ok()).filter(|ok| *ok).count();
        let log = Log(&mut text, tell);
        assert_eq!(logged(Duration::from_millis(1), clock, &far, log, work), 3);
        let text = String::from_utf8(text).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        // At 75, 150 and 225 s; the painter may have had another look before it ended.
        let at = |s: u64| line(FAR, Duration::from_secs(s));
        assert_eq!(lines[..3], [at(75), at(150), at(225)]);
        assert!(lines.len() <= 4, "{text}");
    }

    /// Less than a minute: nothing.
    #[test]
    fn a_short_job_leaves_no_line() {
        let (mut text, (tell, told)) = (Vec::new(), mpsc::channel());
        let clock = || {
            let _ = tell.send(());
            Duration::from_secs(59)
        };
        let work = || (0..3).filter(|_| told.recv().is_ok()).count();
        assert_eq!(logged(Duration::from_millis(1), clock, &|| FAR, &mut text, work), 3);
        assert!(text.is_empty(), "{text:?}");
    }
}
