//! A terminal that is made narrower while the chat is open, by tmux: the next answer keeps to its new width.

use super::{AT, PROGRAM, home};
use std::process::{Command, Output};
use std::time::Duration;

/// A server of its own, which ends with the test.
struct Screen {
    name: String,
}

impl Screen {
    fn run(&self, arguments: &[&str]) -> Output {
        Command::new("tmux")
            .args(["-L", &self.name, "-f", "/dev/null"])
            .args(arguments)
            .output()
            .unwrap()
    }

    /// What stands on the screen, once it holds some words.
    fn with(&self, words: &str) -> String {
        let mut text = String::new();
        for _ in 0..600 {
            let out = self.run(&["capture-pane", "-p", "-t", "chat"]);
            text = String::from_utf8_lossy(&out.stdout).into_owned();
            if text.contains(words) {
                return text;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("no `{words}` in:\n{text}");
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        self.run(&["kill-server"]);
    }
}

/// Opens the chat on a screen of its own; nothing where tmux is not installed.
fn open(test: &str, size: (&str, &str), more: &str) -> Option<Screen> {
    if Command::new("tmux").arg("-V").output().is_err() {
        println!("skipped: tmux is not installed (.ci/run installs it)");
        return None;
    }
    let home = home(test);
    let screen = Screen { name: format!("brumal-{test}-{}", std::process::id()) };
    let chat = format!(
        "env -u COLUMNS HOME={} TERM=screen {PROGRAM} --at {AT} --no-history --no-log {more}",
        home.display()
    );
    let (x, y) = size;
    let begun = screen.run(&["new-session", "-d", "-s", "chat", "-x", x, "-y", y, &chat]);
    assert!(begun.status.success(), "{begun:?}");
    screen.with("Tell what you see");
    Some(screen)
}

const PUMP_DIED: &str = "pump died, 19 out, windy, breaker trips";

#[test]
fn the_next_answer_keeps_to_the_new_width() {
    let Some(screen) = open("resize", ("100", "200"), "--no-pages") else { return };
    screen.run(&["send-keys", "-t", "chat", PUMP_DIED, "Enter"]);
    let wide = screen.with("?  ");
    let widest = |text: &str| text.lines().map(|line| line.chars().count()).max().unwrap();
    assert!(widest(&wide) > 60 && widest(&wide) <= 88, "{}", widest(&wide));
    screen.run(&["resize-window", "-t", "chat", "-x", "48", "-y", "200"]);
    screen.run(&["send-keys", "-t", "chat", "C-l"]);
    screen.run(&["send-keys", "-t", "chat", "again", "Enter"]);
    screen.with("DO NOW");
    let narrow = screen.with("?  ");
    assert!(widest(&narrow) <= 48, "{narrow}");
    let rows = |text: &str| text.lines().filter(|line| !line.trim().is_empty()).count();
    assert!(rows(&narrow) > 30, "wrapped into more rows, not cut:\n{narrow}");
    screen.run(&["send-keys", "-t", "chat", "C-d"]);
}

/// A phone: 60 columns, 20 rows. What cannot wait stands on the first page; what is typed at its end is the next message.
#[test]
fn a_long_answer_stops_at_each_page_and_the_next_message_may_be_typed_there() {
    let Some(screen) = open("pages", ("60", "20"), "") else { return };
    screen.run(&["send-keys", "-t", "chat", PUMP_DIED, "Enter"]);
    let first = screen.with("Enter for more");
    assert!(first.contains("1. Switch off the breakers"), "{first}");
    screen.run(&["send-keys", "-t", "chat", "Enter"]);
    screen.with("5. Close the valves");
    screen.run(&["send-keys", "-t", "chat", "next", "Enter"]);
    screen.with("STEP 1 OF");
    // The hint offers what can be said.
    screen.with("done, next, skip");
    screen.run(&["send-keys", "-t", "chat", "C-d"]);
}
