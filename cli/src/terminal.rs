//! The only place that writes to the terminal: results to standard output, progress and complaints to standard error.

use indicatif::{ProgressBar, ProgressStyle};
use panelwright_solver::{Progress, Stage};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;

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
        let bar = std::io::stderr().is_terminal().then(|| {
            let style = ProgressStyle::with_template("{msg:32} {bar:40} {percent:>3} %  {eta} left")
                .unwrap_or_else(|_| ProgressStyle::default_bar());
            ProgressBar::new(1).with_style(style)
        });
        Self { bar, stage: Mutex::new(None) }
    }

    /// Takes note of a step.
    pub fn show(&self, progress: Progress) {
        let mut stage = self.stage.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        let fresh = *stage != Some(progress.stage);
        *stage = Some(progress.stage);
        match &self.bar {
            Some(bar) => {
                if fresh {
                    bar.reset();
                    bar.set_message(progress.stage.label());
                }
                bar.set_length(progress.total as u64);
                bar.set_position(progress.done as u64);
            }
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

impl Default for ProgressView {
    fn default() -> Self {
        Self::new()
    }
}
