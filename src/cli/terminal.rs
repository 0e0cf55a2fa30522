//! The only printing: results on standard output, everything else on standard error.

use std::fmt::Display;
use std::io::{self, ErrorKind, IsTerminal, Write};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::JoinHandle;
use std::time::Duration;

use cavigram::job::Phase;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Prints a result on standard output, with colour on a terminal only and never under NO_COLOR.
///
/// A reader that has gone away is no error: it has seen what it wanted.
pub fn print(text: &str) -> io::Result<()> {
    let mut out = anstream::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Says on standard error why there is no result, and what to do about it.
pub fn complain(message: &dyn Display, hint: Option<&str>) {
    let mut err = anstream::stderr().lock();
    // With standard error gone, nobody is left to tell.
    let _ = writeln!(err, "cavigram: {}", one_line(&message.to_string()));
    if let Some(hint) = hint {
        let _ = writeln!(err, "hint: {}", one_line(hint));
    }
}

/// Says on standard error what was done beside the result.
pub fn tell(message: &str) {
    // With standard error gone, nobody is left to tell.
    let _ = writeln!(anstream::stderr().lock(), "cavigram: {}", one_line(message));
}

/// Letters of a message that are shown; a file that is quoted may have a word of any length.
const LONGEST: usize = 1000;

/// Without the line breaks and terminal codes that a file's name may hold, and not without end.
fn one_line(text: &str) -> String {
    let plain = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    match text.char_indices().nth(LONGEST) {
        None => text.chars().map(plain).collect(),
        Some((end, _)) => text[..end].chars().map(plain).chain(" …".chars()).collect(),
    }
}

/// Says on standard error what the command line reader could not make sense of.
pub fn print_usage(error: &clap::Error) {
    let text = error.render().ansi().to_string().replacen("error:", "cavigram:", 1);
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}

/// A bar on standard error that shows itself when the work takes a while and a person watches.
pub struct Progress {
    bar: ProgressBar,
    watcher: Option<(Sender<()>, JoinHandle<()>)>,
}

/// Quicker work shows no bar.
const PATIENCE: Duration = Duration::from_millis(500);

/// Steps of the bar.
const STEPS: u64 = 1000;

impl Progress {
    /// Starts watching the clock.
    pub fn start() -> Self {
        let bar = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{msg:<20} {wide_bar} {percent:>3} %") {
            bar.set_style(style.progress_chars("=- "));
        }
        let watcher = io::stderr().is_terminal().then(|| {
            let (done, wait) = mpsc::channel();
            let bar = bar.clone();
            let thread = std::thread::spawn(move || {
                if wait.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
                    bar.set_draw_target(ProgressDrawTarget::stderr());
                    bar.tick();
                }
            });
            (done, thread)
        });
        Self { bar, watcher }
    }

    /// Tells what is being done and how far it is, 0 to 1.
    pub fn tell(&self, phase: Phase, share: f64) {
        if self.watcher.is_some() {
            self.bar.set_message(phase.describe());
            self.bar.set_position((share.clamp(0.0, 1.0) * STEPS as f64) as u64);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some((done, thread)) = self.watcher.take() {
            drop(done);
            let _ = thread.join();
        }
        self.bar.finish_and_clear();
    }
}
