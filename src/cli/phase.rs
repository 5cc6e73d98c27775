//! How far a phase of a run is, for whoever watches; and the wish to stop.

use super::progress::Over;
use crate::study::replicate::Order;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// A flag that is set when the program is asked to end (interrupt, termination, hang-up).
pub fn stop_flag() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    // A second handler cannot be set; then the first one serves.
    let _ = ctrlc::set_handler(move || flag.store(true, Ordering::SeqCst));
    stop
}

/// Runs `work` while a painter shows the phase and how far of `total` it is, ten times a second, on
/// standard error; silent when that is no terminal.
pub fn with_progress<T: Send>(
    phase: &'static str,
    total: u64,
    order: Order,
    work: impl FnOnce() -> T + Send,
) -> T {
    let target = if std::io::stderr().is_terminal() {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(total), target);
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {pos}/{len}, {eta} to go") {
        bar.set_style(style);
    }
    bar.set_message(phase);
    let over = AtomicBool::new(false);
    std::thread::scope(|s| {
        let painter = s.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                bar.set_position(order.progress.load(Ordering::Relaxed));
                std::thread::park_timeout(Duration::from_millis(100));
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
