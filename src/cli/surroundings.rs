//! The clock, the terminal and the environment, looked at once.

use super::args::{Color, Common, Format};
use super::exit::Failure;
use super::logbook::{Log, pool_called, who};
use crate::clock::Moment;
use crate::language::PoolNames;
use crate::logbook::Store;
use crate::render::View;
use crate::session::{Base, Book, Keep, Session, Settings};
use etcetera::BaseStrategy;
use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::{Path, PathBuf};

/// Lines wider than this tire the eye.
const WIDEST: usize = 88;
/// Words do not fit a narrower column.
const NARROWEST: usize = 24;

/// Where the program runs.
pub(super) struct Surroundings {
    /// The clock to answer by.
    pub(super) at: Moment,
    /// Whether the clock was given, and stands still.
    pub(super) clock_given: bool,
    /// Standard output, buffered.
    pub(super) out: Box<dyn Write>,
    /// How standard output is written.
    pub(super) view: View,
    /// How standard error is written.
    pub(super) error_view: View,
    /// Text or JSON.
    pub(super) format: Format,
}

impl Surroundings {
    /// Looks at them.
    pub(super) fn look(common: &Common) -> Self {
        let units = common.units.into();
        let width = width();
        let plain = common.plain;
        let view = |terminal: bool| View {
            width,
            colour: !plain && coloured(common.color, terminal),
            units,
            plain,
        };
        Self {
            at: common.at.unwrap_or_else(now),
            clock_given: common.at.is_some(),
            out: Box::new(BufWriter::with_capacity(1 << 16, io::stdout().lock())),
            view: view(io::stdout().is_terminal()),
            error_view: view(io::stderr().is_terminal()),
            format: common.format,
        }
    }

    /// The moment of the next turn: the given one, or what the clock says by now.
    pub(super) fn moment(&self) -> Moment {
        if self.clock_given { self.at } else { now() }
    }

    /// The moment of a turn; a clock that was given and stands still moves on by a second a turn, so that what is
    /// kept has an order.
    pub(super) fn at_for(&self, turn: u32) -> Moment {
        let step = if self.clock_given { f64::from(turn) / 3600.0 } else { 0.0 };
        self.moment().plus_hours(step)
    }

    /// Looks at the terminal's width again: it may have been turned or resized.
    pub(super) fn look_at_width(&mut self) {
        self.view.width = width();
    }

    /// Says something that is no data, on standard error.
    pub(super) fn note(&self, text: &str) {
        // A closed standard error is no reason to stop.
        let _ = writeln!(io::stderr(), "brumal: {text}");
    }
}

/// The knowledge: that of a folder, or the one that was built in.
pub(super) fn base(common: &Common, _around: &Surroundings) -> Result<Base, Failure> {
    match &common.knowledge {
        Some(folder) => Base::from_folder(folder).map_err(|problems| {
            let texts = crate::knowledge::read_folder(folder).unwrap_or_default();
            Failure::Files(problems, texts)
        }),
        None => packed(),
    }
}

/// The knowledge that was checked and packed when the program was built.
fn packed() -> Result<Base, Failure> {
    Base::packed().map_err(|problems| Failure::Files(problems, Vec::new()))
}

/// A conversation with the pool and the facts of the command line and, if there is one, the record.
pub(super) fn session<'b>(
    base: &'b Base,
    record: Option<(&'b Log, Keep)>,
    common: &Common,
) -> Result<Session<'b>, Failure> {
    let pools = common.pool.as_deref().map(|name| PoolNames::new([name]));
    let mut session =
        Session::new(base, Settings { units: common.units.into(), pools, ..Settings::default() });
    let mut pool = common.pool.clone();
    if let Some((store, keep)) = record {
        let keep = if common.log { Keep::AtOnce } else { keep };
        session.with_book(Book::new(store, keep, &who(None)).map_err(Failure::told)?);
        let has_pools = !store.pools().map_err(Failure::told)?.is_empty();
        if let Some(name) = pool.as_ref().filter(|_| has_pools) {
            pool = Some(pool_called(store, name)?.name);
        }
    }
    session.pool(pool);
    for (name, value) in common.stated() {
        session.state(name, value).map_err(Failure::usage)?;
    }
    Ok(session)
}

#[expect(clippy::disallowed_methods, reason = "the one place that reads the clock")]
fn now() -> Moment {
    Moment::new(chrono::Local::now().fixed_offset())
}

/// An environment variable that is set to something.
#[expect(clippy::disallowed_methods, reason = "the one place that reads the environment")]
pub(super) fn environment(name: &str) -> Option<String> {
    std::env::var_os(name)?.into_string().ok().filter(|value| !value.is_empty())
}

fn width() -> usize {
    let asked = environment("COLUMNS").and_then(|columns| columns.trim().parse::<usize>().ok());
    asked.unwrap_or_else(textwrap::termwidth).clamp(NARROWEST, WIDEST)
}

fn coloured(wish: Color, terminal: bool) -> bool {
    match wish {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => {
            let dumb = environment("TERM").is_some_and(|term| term == "dumb");
            terminal && !dumb && environment("NO_COLOR").is_none()
        }
    }
}

/// The file that keeps what was typed in the chat; `None` if the user has no folder for such files.
pub(super) fn history_file() -> Option<PathBuf> {
    let folders = etcetera::choose_base_strategy().ok()?;
    Some(folders.data_dir().join("brumal").join("history.txt"))
}

/// Makes a folder that only its user can look into.
pub(super) fn private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(folder)
}
