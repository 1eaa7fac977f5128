//! How far a run is: a bar on a terminal, a plain line every so often elsewhere.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressState, ProgressStyle};

/// Between two plain lines.
const LINE_EVERY: Duration = Duration::from_secs(10);

pub(super) struct Progress {
    bar: Option<ProgressBar>,
    all: usize,
    done: AtomicUsize,
    started: Instant,
    last_line: Mutex<Instant>,
}

impl Progress {
    pub(super) fn over(all: usize) -> Self {
        Self {
            bar: io::stderr().is_terminal().then(|| bar(all)),
            all,
            done: AtomicUsize::new(0),
            started: Instant::now(),
            last_line: Mutex::new(Instant::now()),
        }
    }

    pub(super) fn step(&self, photos: usize) {
        let done = self.done.fetch_add(photos, Ordering::Relaxed) + photos;
        if let Some(bar) = &self.bar {
            bar.inc(photos as u64);
            return;
        }
        let mut last = self
            .last_line
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if last.elapsed() >= LINE_EVERY {
            *last = Instant::now();
            let line = line(done, self.all, self.started.elapsed());
            // Nothing is left to be told when even the error stream is gone.
            let _ = writeln!(anstream::stderr().lock(), "seepline: {line}");
        }
    }

    pub(super) fn end(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

fn bar(all: usize) -> ProgressBar {
    let bar = ProgressBar::new(all as u64);
    let template = "{bar:30} {pos} of {len} photos, {rate} a second, {time_left} left";
    if let Ok(style) = ProgressStyle::with_template(template) {
        // Where the line cannot be written there is nobody to tell.
        let rate = |state: &ProgressState, line: &mut dyn fmt::Write| {
            let _ = write!(line, "{:.1}", state.per_sec());
        };
        let time_left = |state: &ProgressState, line: &mut dyn fmt::Write| {
            let _ = line.write_str(&self::time_left(state.eta().as_secs_f64()));
        };
        bar.set_style(
            style
                .with_key("rate", rate)
                .with_key("time_left", time_left),
        );
    }
    bar
}

/// `1200 of 5000 photos, 12.3 a second, 6 min left`.
fn line(done: usize, all: usize, elapsed: Duration) -> String {
    // Never by zero: the first photos may be done before the clock moves.
    let rate = done as f64 / elapsed.as_secs_f64().max(1e-3);
    let left = time_left(all.saturating_sub(done) as f64 / rate.max(1e-9));
    format!("{done} of {all} photos, {rate:.1} a second, {left} left")
}

fn time_left(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{seconds:.0} s")
    } else if seconds < 5400.0 {
        format!("{:.0} min", seconds / 60.0)
    } else {
        format!("{:.1} h", seconds / 3600.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_says_rate_and_time_left() {
        let said = line(1200, 5000, Duration::from_secs(100));
        assert_eq!(said, "1200 of 5000 photos, 12.0 a second, 5 min left");
    }
}
