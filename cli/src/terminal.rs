//! The only place that writes to the terminal: results to standard output, progress and complaints to standard error.

use crate::study::Status;
use indicatif::{HumanCount, ProgressBar, ProgressStyle};
use panelwright_solver::{Progress, Stage};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Sets up threads and messages; called first thing in `main`.
pub fn prepare() {
    panelwright_solver::single_threaded_blas();
    // LAPACK needs deeper stacks than rayon's default 2 MiB. A pool that exists already (in tests) is as good.
    let _ = rayon::ThreadPoolBuilder::new().stack_size(16 << 20).build_global();
}

/// Prints a result on standard output. A closed pipe ends the output, not the program's good name.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = writeln!(out, "{}", text.trim_end());
}

/// Prints a message on standard error.
pub fn complain(text: &str) {
    let mut out = std::io::stderr().lock();
    let _ = writeln!(out, "{}", text.trim_end());
}

/// Shows the progress of a prediction: bars with time left on a terminal, one line per stage otherwise.
pub struct ProgressView {
    bar: Option<ProgressBar>,
    stage: Mutex<Option<Stage>>,
}

impl ProgressView {
    /// A view on standard error.
    pub fn new() -> Self {
        let bar = std::io::stderr().is_terminal().then(|| ProgressBar::new(1));
        Self { bar, stage: Mutex::new(None) }
    }

    /// Takes note of a step.
    pub fn show(&self, progress: Progress) {
        let mut stage = self.stage.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        let fresh = *stage != Some(progress.stage);
        *stage = Some(progress.stage);
        match &self.bar {
            Some(bar) => advance(bar, progress, fresh),
            None if fresh => complain(progress.stage.label()),
            None => {}
        }
    }

    /// Clears the bar.
    pub fn finish(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

fn advance(bar: &ProgressBar, progress: Progress, fresh: bool) {
    if fresh {
        bar.reset();
        bar.set_style(style_of(progress));
        bar.set_message(progress.stage.label());
        bar.enable_steady_tick(Duration::from_millis(200));
    }
    bar.set_length(progress.total as u64);
    bar.set_position(progress.done as u64);
}

/// A stage in one step has no share done: it shows that it is alive and since when.
fn style_of(progress: Progress) -> ProgressStyle {
    let template = match progress.total {
        1 => "{spinner} {msg:32} {elapsed}",
        _ => "{spinner} {msg:32} {bar:40} {percent:>3} %  {eta} left",
    };
    ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar())
}

/// Shows the progress of a study: a bar with time left on a terminal, a line now and then otherwise.
pub struct StudyView {
    bar: Option<ProgressBar>,
    workers: usize,
    told: Option<Instant>,
    /// True once it was said how long it will take.
    estimated: bool,
}

/// Time between lines where there is no terminal.
const NOW_AND_THEN: Duration = Duration::from_secs(60);

impl StudyView {
    /// A view on standard error for `pending` variants computed by so many workers.
    pub fn new(pending: usize, workers: usize) -> Self {
        let bar = (pending > 0 && std::io::stderr().is_terminal()).then(|| ProgressBar::new(pending as u64));
        if let Some(bar) = &bar {
            let template = "{spinner} {bar:40} {human_pos} of {human_len}  {msg}";
            bar.set_style(
                ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar()),
            );
            bar.enable_steady_tick(Duration::from_millis(200));
        }
        Self { bar, workers, told: None, estimated: false }
    }

    /// Takes note of how far it is.
    pub fn show(&mut self, status: &Status) {
        let Some(left) = status.time_left() else { return };
        if !self.estimated && status.fresh >= 3 * self.workers {
            self.estimated = true;
            let to_go = whole(status.total - status.finished);
            self.line(&format!(
                "By the first {}, the other {to_go} take about {}.",
                whole(status.fresh),
                duration(left)
            ));
            self.told = Some(Instant::now());
        }
        match &self.bar {
            Some(bar) => {
                bar.set_position(status.fresh as u64);
                bar.set_message(format!("{} left", duration(left)));
            }
            None if self.told.is_some_and(|told| told.elapsed() > NOW_AND_THEN) => {
                self.told = Some(Instant::now());
                let (finished, total) = (whole(status.finished), whole(status.total));
                complain(&format!("{finished} of {total} variants, {} left", duration(left)));
            }
            None => {}
        }
    }

    fn line(&self, text: &str) {
        match &self.bar {
            Some(bar) => bar.println(text),
            None => complain(text),
        }
    }

    /// Clears the bar.
    pub fn finish(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

/// `12,345`.
pub fn whole(number: usize) -> String {
    HumanCount(number as u64).to_string()
}

/// A time as people say it: "40 s", "12 min", "3 h 5 min".
pub fn duration(time: Duration) -> String {
    match time.as_secs() {
        0 => format!("{:.1} s", time.as_secs_f64()),
        seconds @ 1..90 => format!("{seconds} s"),
        seconds @ 90..5400 => format!("{} min", (seconds + 30) / 60),
        seconds => format!("{} h {} min", seconds / 3600, seconds % 3600 / 60),
    }
}

/// A number with as many digits as say something: three, or all before the point.
pub fn number(value: f64) -> String {
    match value.abs() {
        _ if !value.is_finite() => "–".into(),
        100.0.. => format!("{value:.0}"),
        10.0.. => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

impl Default for ProgressView {
    fn default() -> Self {
        Self::new()
    }
}
