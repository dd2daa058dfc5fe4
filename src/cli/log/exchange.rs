//! `brumal log export` and `import`.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{to_read, to_write, trial, who};
use super::super::surroundings::{Surroundings, base};
use crate::logbook::{
    COLUMNS, Imported, Store, is_export, read_csv, read_jsonl, write_csv, write_jsonl,
};
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::{Mapping, table_mapping, table_records};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Write everything as JSON Lines, or as CSV
#[derive(Debug, Args)]
pub(in super::super) struct ExportArgs {
    /// CSV instead of JSON Lines
    #[arg(long)]
    csv: bool,
    /// Say what the columns of the CSV hold
    #[arg(long)]
    columns: bool,
}

/// Take in an export, or a table of another making
#[derive(Debug, Args)]
pub(in super::super) struct ImportArgs {
    /// The file: an export in JSON Lines or CSV, or a CSV table with a column for each reading
    file: PathBuf,
    /// Do it; without this, only say what would be done
    #[arg(long)]
    yes: bool,
    /// What a column is, such as "Free Cl=water.free_chlorine", "When=at", "Site=pool"; may be repeated
    #[arg(long = "map", value_name = "COLUMN=FACT")]
    maps: Vec<String>,
    /// Take on pools that the log does not have yet
    #[arg(long)]
    new_pools: bool,
}

/// Exports.
pub(super) fn export(
    args: &ExportArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    if args.columns {
        for (column, holds) in COLUMNS {
            writeln!(around.out, "{column:<10} {holds}")?;
        }
        return Ok(Done::Answered);
    }
    let store = to_read(common)?;
    let write = if args.csv { write_csv } else { write_jsonl };
    write(&store, &mut around.out).map_err(Failure::told)?;
    Ok(Done::Answered)
}

/// Imports.
pub(super) fn import(
    args: &ImportArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let bytes = std::fs::read(&args.file).map_err(|error| {
        let message = format!("`{}` cannot be read: {error}", args.file.display());
        Failure::told(Problem::error(Code::File, None, message).help("look at its name and rights"))
    })?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let message = format!("the file is not UTF-8 text (byte {at})");
        Failure::told(
            Problem::error(Code::File, None, message).help("save it as UTF-8 and try again"),
        )
    })?;
    let records = if text.trim_start().starts_with('{') {
        read_jsonl(&text).map_err(Failure::told)?
    } else if is_export(&text) {
        read_csv(&text).map_err(Failure::told)?
    } else {
        let base = base(common, around)?;
        let mapping =
            table_mapping(&base, &text, &args.maps, common.units.into()).map_err(Failure::usage)?;
        show_mapping(&mapping, around)?;
        let store =
            if args.yes { to_write(common)? } else { to_read(common).or_else(|_| trial())? };
        let pools = store.pools().map_err(Failure::told)?;
        let who = who(None);
        table_records(&base, &mapping, &pools, (around.at, &who, args.new_pools))
            .map_err(Failure::told)?
    };
    if !args.yes {
        writeln!(
            around.out,
            "{} records would be taken in, those that are there already left out. `--yes` does it.",
            records.len()
        )?;
        return Ok(Done::Answered);
    }
    let told = to_write(common)?.import(&records).map_err(Failure::told)?;
    say(&told, around)?;
    Ok(Done::Answered)
}

fn show_mapping(mapping: &Mapping, around: &mut Surroundings) -> Result<(), Failure> {
    writeln!(around.out, "The columns are read like this:")?;
    for column in &mapping.columns {
        let sample = if column.sample.is_empty() {
            String::new()
        } else {
            format!("   such as “{}”", column.sample)
        };
        writeln!(
            around.out,
            "  {:<24} {}{}",
            clean(&column.header),
            column.meaning(),
            clean(&sample)
        )?;
    }
    Ok(())
}

fn say(told: &Imported, around: &mut Surroundings) -> Result<(), Failure> {
    writeln!(
        around.out,
        "Taken in: {} pools, {} visits, {} other records. Known already: {}.",
        told.pools, told.visits, told.others, told.known
    )?;
    Ok(())
}
