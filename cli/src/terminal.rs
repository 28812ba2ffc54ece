//! The only place that writes to the terminal: results to standard output, progress and complaints to standard error.

use indicatif::{ProgressBar, ProgressStyle};
use panelwright_solver::{Progress, Stage};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::time::Duration;

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

impl Default for ProgressView {
    fn default() -> Self {
        Self::new()
    }
}
