//! How far a phase of a run is, for whoever watches; and the wish to stop.

use super::progress::{bar, while_it_works};
use crate::study::replicate::Order;
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
pub fn with_progress<T>(
    phase: &'static str,
    total: u64,
    order: Order,
    work: impl FnOnce() -> T,
) -> T {
    if !std::io::stderr().is_terminal() {
        return work();
    }
    let bar = bar(total, "{msg} {bar:30} {pos}/{len}, {eta} to go");
    bar.set_message(phase);
    let paint = || bar.set_position(order.progress.load(Ordering::Relaxed));
    let done = while_it_works(Duration::from_millis(100), paint, work);
    bar.finish_and_clear();
    done
}
